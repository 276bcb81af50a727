// The places of a check, one row each, with the grades of the chosen way of looking.
import { conditionSeen, hidden, nothingMoved, ownCheck, reading } from "./facts.js";
import { fill, make } from "./making.js";
import { askSeen, seenOn, seenWords } from "./seen.js";

const WAYS = ["hand", "eye", "ear", "feel", "gauge", "hidden", "seen"];
const HIDERS = ["grease", "rust", "dry joint", "cover"];

export class WatchList {
  constructor({ place, by, page, visit, pad, seen, record }) {
    Object.assign(this, { place, by, page, visit, pad, seen, record, way: "hand", order: [], orders: new Map(), card: null });
    const { words } = page;
    by.replaceChildren(...WAYS.map((way) => make("button", { type: "button", "data-way": way, onclick: () => this.choose(way) }, words[way])));
  }

  /** Begin with a check: what is asked for again, then what is suspected most stands first, and stays where it stands. */
  open(card) {
    this.card = card;
    if (!this.orders.has(card.key)) {
      const chance = ({ part }) => this.visit.answer?.parts[part]?.chance ?? 0;
      this.orders.set(card.key, [...this.page.cards.views[card.view].watches].sort((a, b) => chance(b) - chance(a)));
    }
    const again = card.times > 0 && this.visit.answer?.advice.find((advice) => advice.again && advice.key === card.key);
    const asked = ({ id }) => Number(Boolean(again) && again.watches.includes(id));
    this.order = [...this.orders.get(card.key)].sort((a, b) => asked(b) - asked(a));
    this.choose("hand");
  }

  choose(way) {
    this.way = way;
    for (const button of this.by.children) button.setAttribute("aria-pressed", String(button.dataset.way === way));
    this.rows = new Map(this.order.map((watch) => [watch.id, this.row(watch)]));
    this.place.replaceChildren(...this.rows.values());
    this.show(this.visit.checks && ownCheck(this.visit, this.card));
  }

  row(watch) {
    const what = make("div", { class: "what" }, make("b", {}, watch.name), make("span", { class: "where" }, watch.where), make("span", { class: "found" }));
    return make("li", {}, what, make("div", { class: "choices", role: "group", "aria-label": watch.name }, this.buttons(watch)));
  }

  buttons(watch) {
    const { words, entry, may_record: may } = this.page;
    const button = (label, grade, call) => make("button", { type: "button", "data-grade": grade, disabled: !may || (["hidden", "seen"].includes(this.way) && !watch.part), onclick: call }, label);
    if (this.way === "gauge") return [button(words.gauge, null, () => this.measure(watch))];
    if (this.way === "hidden") return HIDERS.map((what) => button(words[what], what, () => this.hide(watch, what)));
    if (this.way === "seen") return [button(words["what is seen"], null, () => this.look(watch.part))];
    return entry.grades[this.way].map((grade) => button(words[`grade ${grade}`], grade, () => this.take(watch, { by: this.way, grade })));
  }

  take(watch, taken) {
    const { card } = this;
    this.record(() => reading(this.visit, card, watch.id, taken));
  }

  measure(watch) {
    const most = this.page.entry.most_mm[watch.tread ? "tread" : "elsewhere"];
    const before = ownCheck(this.visit, this.card)?.readings.findLast((fact) => fact.payload.reading.watch === watch.id)?.payload.reading;
    this.pad.ask({ title: watch.name, most, before }, (gauge, free) => this.take(watch, { by: "gauge", gauge_mm: gauge, free_mm: free }));
  }

  hide(watch, what) {
    const { card } = this;
    this.record(() => hidden(this.visit, card, watch.part, what));
  }

  /** Ask which condition is seen on a part, those of its kind first. */
  look(part) {
    const { cards, words } = this.page;
    askSeen(this.seen, cards, part, cards.seen_on[part], words["what is seen asked"], (condition) => this.record(() => conditionSeen(this.visit, part, condition)));
  }

  /** The parts that one touch passes: all that are watched here and not read by themselves. */
  group() {
    if (!this.card) return [];
    const own = this.visit.checks && ownCheck(this.visit, this.card);
    const apart = new Set([...(own?.readings ?? []).map((fact) => fact.payload.reading.watch)]);
    const hid = new Set((own?.hidden ?? []).map((fact) => fact.payload.hidden.part));
    return [...new Set(this.order.filter((watch) => watch.part && !apart.has(watch.id) && !hid.has(watch.part)).map((watch) => watch.part))];
  }

  passing(own) {
    return this.group().every((part) => own?.payload.passed_parts.includes(part));
  }

  pass() {
    return nothingMoved(this.visit, this.card, this.group());
  }

  /** Say in every row what is recorded of it. */
  show(own) {
    for (const watch of this.order) {
      const row = this.rows.get(watch.id);
      const found = own?.readings.findLast((fact) => fact.payload.reading.watch === watch.id)?.payload.reading;
      const text = this.found(watch, own, found);
      row.querySelector(".found").textContent = [text, ...seenOn(this.visit, watch.part).map((fact) => seenWords(fact, this.page))].filter(Boolean).join("; ");
      row.classList.toggle("read", Boolean(text));
      const chosen = this.way === "hidden" ? this.hider(watch, own) : found?.by === this.way && found.grade;
      for (const button of row.querySelectorAll("[data-grade]")) button.setAttribute("aria-pressed", String(button.dataset.grade === chosen));
    }
  }

  readWatches(own) {
    return new Set(this.order.filter((watch) => this.rows.get(watch.id)?.classList.contains("read")).map((watch) => watch.id));
  }

  found(watch, own, taken) {
    const { words } = this.page;
    if (taken) return readingWords(taken, words, this.pad.unit);
    const hider = this.hider(watch, own);
    if (hider) return fill(words["hidden by"], { what: words[hider] });
    return watch.part && own?.payload.passed_parts.includes(watch.part) ? words.passed : "";
  }

  hider(watch, own) {
    return own?.hidden.findLast((fact) => fact.payload.hidden.part === watch.part)?.payload.hidden.by;
  }

  /** Whether every part of the check is recorded in one way or another. */
  complete() {
    return this.order.every((watch) => !watch.part || this.rows.get(watch.id)?.classList.contains("read"));
  }
}

/** A reading in words, in the person's unit. */
export function readingWords(taken, words, unit) {
  if (taken.gauge_mm === null) return `${words[`by ${taken.by}`]}: ${words[`grade ${taken.grade}`]}`;
  const free = taken.free_mm === null ? null : inUnit(taken.free_mm, words, unit);
  return fill(words[free === null ? "read" : "free of it"], { movement: inUnit(taken.gauge_mm, words, unit), free });
}

/** What was found of the rebound stop, in words. */
export function gapWords({ stop_gap_mm: mm, note }, words, unit) {
  if (mm === 0) return words["stop touching"];
  return mm === null || mm === undefined ? note : fill(words.gap, { gap: inUnit(mm, words, unit) });
}

function inUnit(mm, words, unit) {
  return `${Number((unit === "in" ? mm / 25.4 : mm).toFixed(unit === "in" ? 4 : 3))} ${words[unit]}`;
}

/** A record in words, for the line of what was recorded and the list of what waits. */
export function describedRecord(record, visit, { cards, words, entry }) {
  const { kind, payload } = record;
  if (kind === undefined) return words[record.clip ? "clip" : "photo"];
  if (kind === "check") return `${cards.checks[payload.setup.check]?.name ?? payload.setup.check}: ${payload.passed_parts.length ? words.passed : gapWords(payload, words, entry.unit) || words.begun}`;
  if (kind === "condition") return `${cards.parts[payload.part]}, ${seenWords(record, { cards, words })}`;
  if (kind === "reading") return `${watchName(payload.reading.watch, cards)}, ${readingWords(payload.reading, words, entry.unit)}`;
  if (kind === "hidden") return `${cards.parts[payload.hidden.part]}, ${fill(words["hidden by"], { what: words[payload.hidden.by] })}`;
  if (kind === "not-checked") return `${cards.checks[payload.part]?.name ?? cards.parts[payload.part] ?? payload.part}, ${cards.parts[payload.part] ? payload.because : fill(words.skipped, { why: payload.because })}`;
  if (kind === "minutes") return payload.minutes === null ? words["whole route"] : fill(words["minutes set"], { n: payload.minutes });
  return fill(words.withdrawn, { what: "" }).trim();
}

function watchName(id, cards) {
  for (const view of Object.values(cards.views)) for (const watch of view.watches) if (watch.id === id) return watch.name;
  return id;
}
