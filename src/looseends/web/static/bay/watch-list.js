// The places of a check, one row each, with the grades of the chosen way of looking.
import { hidden, ownCheck, reading } from "./facts.js";
import { fill, make } from "./making.js";

const WAYS = ["hand", "eye", "ear", "feel", "gauge", "hidden"];
const HIDERS = ["grease", "rust", "dry joint", "cover"];

export class WatchList {
  constructor({ place, by, page, visit, pad, hider, record }) {
    Object.assign(this, { place, by, page, visit, pad, hider, record, way: "hand", order: [], orders: new Map(), card: null });
    const { words } = page;
    by.replaceChildren(...WAYS.map((way) => make("button", { type: "button", "data-way": way, onclick: () => this.choose(way) }, words[way])));
    hider.querySelector("#hiders").replaceChildren(...HIDERS.map((what) => make("button", { type: "button", onclick: () => this.hide(what) }, words[what])));
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
    const button = (label, grade, call) => make("button", { type: "button", "data-grade": grade, disabled: !may || (this.way === "hidden" && !watch.part), onclick: call }, label);
    if (this.way === "gauge") return [button(words.gauge, null, () => this.measure(watch))];
    if (this.way === "hidden") return [button(words.hidden, null, () => this.askHider(watch))];
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

  askHider(watch) {
    this.hiding = watch;
    this.hider.querySelector("h2").textContent = watch.name;
    this.hider.showModal();
  }

  hide(what) {
    this.hider.close();
    const { card, hiding } = this;
    if (hiding.part) this.record(() => hidden(this.visit, card, hiding.part, what));
  }

  /** The parts that one touch passes: all that are watched here and not read by themselves. */
  groupParts() {
    if (!this.card) return [];
    const own = this.visit.checks && ownCheck(this.visit, this.card);
    const apart = new Set([...(own?.readings ?? []).map((fact) => fact.payload.reading.watch)]);
    const hid = new Set((own?.hidden ?? []).map((fact) => fact.payload.hidden.part));
    return [...new Set(this.order.filter((watch) => watch.part && !apart.has(watch.id) && !hid.has(watch.part)).map((watch) => watch.part))];
  }

  /** Say in every row what is recorded of it. */
  show(own) {
    for (const watch of this.order) {
      const row = this.rows.get(watch.id);
      const found = own?.readings.findLast((fact) => fact.payload.reading.watch === watch.id)?.payload.reading;
      const text = this.found(watch, own, found);
      row.querySelector(".found").textContent = text;
      row.classList.toggle("read", Boolean(text));
      for (const button of row.querySelectorAll("[data-grade]")) button.setAttribute("aria-pressed", String(found?.by === this.way && found?.grade === button.dataset.grade));
    }
  }

  readWatches(own) {
    return new Set(this.order.filter((watch) => this.rows.get(watch.id)?.classList.contains("read")).map((watch) => watch.id));
  }

  found(watch, own, taken) {
    const { words } = this.page;
    if (taken) return readingWords(taken, words, this.pad.unit);
    const hid = own?.hidden.findLast((fact) => fact.payload.hidden.part === watch.part);
    if (hid) return fill(words["hidden by"], { what: words[hid.payload.hidden.by] });
    return watch.part && own?.payload.passed_parts.includes(watch.part) ? words.passed : "";
  }
}

/** A reading in words, in the person's unit. */
export function readingWords(taken, words, unit) {
  if (taken.gauge_mm === null) return `${words[`by ${taken.by}`]}: ${words[`grade ${taken.grade}`]}`;
  const shown = (mm) => `${Number((unit === "in" ? mm / 25.4 : mm).toFixed(unit === "in" ? 4 : 3))} ${words[unit]}`;
  const free = taken.free_mm === null ? null : shown(taken.free_mm);
  return fill(words[free === null ? "read" : "free of it"], { movement: shown(taken.gauge_mm), free });
}

/** A record in words, for the line of what was recorded and the list of what waits. */
export function describedRecord(record, visit, { cards, words, entry }) {
  const { kind, payload } = record;
  if (kind === undefined) return words.photo;
  if (kind === "check") return `${cards.checks[payload.setup.check]?.name ?? payload.setup.check}: ${payload.passed_parts.length ? words.passed : words.begun}`;
  if (kind === "reading") return `${watchName(payload.reading.watch, cards)}, ${readingWords(payload.reading, words, entry.unit)}`;
  if (kind === "hidden") return `${cards.parts[payload.hidden.part]}, ${fill(words["hidden by"], { what: words[payload.hidden.by] })}`;
  if (kind === "not-checked") return `${cards.checks[payload.part]?.name ?? payload.part}, ${fill(words.skipped, { why: payload.because })}`;
  return fill(words.withdrawn, { what: "" }).trim();
}

function watchName(id, cards) {
  for (const view of Object.values(cards.views)) for (const watch of view.watches) if (watch.id === id) return watch.name;
  return id;
}
