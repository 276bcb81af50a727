// The parts that a look shows, one row each: found, nothing found, or it could not be seen.
import { conditionSeen, couldNotSee, lookedAgain, nothingFound, shownOn, timesLooked } from "./facts.js";
import { fill, make } from "./making.js";
import { askSeen } from "./seen.js";
import { describedRecord } from "./watch-list.js";

export class LookList {
  constructor({ place, by, page, visit, seen, record }) {
    Object.assign(this, { place, by, page, visit, seen, record, order: [], orders: new Map(), card: null });
  }

  /** Begin with a look: what is suspected most stands first, and stays where it stands. */
  open(card) {
    this.card = card;
    if (!this.orders.has(card.key)) {
      const chance = ({ part }) => this.visit.answer?.parts[part]?.chance ?? 0;
      this.orders.set(card.key, [...this.page.cards.views[card.view].watches].sort((a, b) => chance(b) - chance(a)));
    }
    this.order = this.partsOf(card);
    this.rows = new Map(this.order.map((watch) => [watch.id, this.row(watch)]));
    this.place.replaceChildren(...this.rows.values());
    this.show();
  }

  /** All parts of a look; of one that is done again those that it is for, and without advice those looked at so often. */
  partsOf(card) {
    const all = this.orders.get(card.key);
    if (card.times === undefined) return all;
    this.asked = lookedAgain(this.visit, all, card);
    return this.asked.length ? this.asked : all.filter((watch) => timesLooked(this.visit, watch) === card.times);
  }

  /** Whether the advice by now asks for other parts on the open card. */
  changed() {
    if (this.card.times === undefined) return false;
    const now = lookedAgain(this.visit, this.orders.get(this.card.key), this.card);
    return now.length > 0 && (!this.asked.length || now.some((watch) => !this.order.includes(watch)));
  }

  row(watch) {
    const { words, may_record: may } = this.page;
    const { times } = this.card;
    const button = (said, label, call) => make("button", { type: "button", "data-look": said, disabled: !may, onclick: call }, label);
    const what = make("div", { class: "what" }, make("b", {}, watch.name), make("span", { class: "where" }, watch.proves ? watch.where : ""), make("span", { class: "found" }));
    const choices = watch.proves
      ? [button("found", words["look found"], () => this.ask(watch)), button("nothing", words["look nothing"], () => this.record(() => nothingFound(this.visit, [watch], times))),
        button("unseen", words["look unseen"], () => this.record(() => couldNotSee(this.visit, watch, times)))]
      : [...watch.sees.map((id) => button("found", capital(this.page.cards.conditions[id]), () => this.record(() => conditionSeen(this.visit, watch.part, id, { proves: false, times })))),
        button("nothing", words["look nothing"], () => this.record(() => nothingFound(this.visit, [watch], times)))];
    return make("li", {}, what, make("div", { class: "choices", role: "group", "aria-label": watch.name }, choices));
  }

  /** Ask what is found: what is looked for here first, then whatever else may be seen on the part. */
  ask({ part, sees }) {
    const { cards, words } = this.page;
    const { times } = this.card;
    const others = cards.seen_on[part].filter((id) => !sees.includes(id));
    askSeen(this.seen, cards, part, [...sees, ...others], words["what is found"], (condition) => this.record(() => conditionSeen(this.visit, part, condition, { times })));
  }

  /** Say in every row what is recorded of it. */
  show() {
    for (const watch of this.order) {
      const row = this.rows.get(watch.id);
      const said = shownOn(this.visit, watch, this.card);
      row.querySelector(".found").textContent = this.found(said);
      row.classList.toggle("read", Boolean(this.found(said)));
      for (const button of row.querySelectorAll("[data-look]")) {
        const { look } = button.dataset;
        button.setAttribute("aria-pressed", String(look === "found" ? said.found.length > 0 : said[look]));
      }
    }
  }

  found({ found, nothing, unseen }) {
    const { words, cards } = this.page;
    const said = found.map((id) => fill(words["seen on it"], { what: cards.conditions[id] ?? id }));
    if (!said.length && nothing) said.push(words["look nothing"]);
    if (!said.length && unseen) said.push(words["could not be seen"]);
    return said.join("; ");
  }

  /** What one touch passes: all that is not recorded in another way. */
  group() {
    return this.order.filter((watch) => { const said = shownOn(this.visit, watch, this.card); return !said.found.length && !said.unseen; });
  }

  passing() {
    return this.group().length > 0 && this.group().every((watch) => shownOn(this.visit, watch, this.card).nothing);
  }

  pass() {
    return nothingFound(this.visit, this.group(), this.card.times);
  }

  /** This person's last record of a part that this card looks at, which a photo belongs to. */
  lastOf(card) {
    const parts = this.page.cards.views[card.view].watches.filter(({ sees }) => sees.length).map(({ part }) => part);
    const here = ({ kind, payload }) => kind === "not-checked" || (kind === "condition" && (payload.again ?? 0) === (card.times ?? 0));
    return this.visit.facts.findLast((fact) => here(fact) && parts.includes(fact.payload.part) && fact.account === this.visit.account)?.id ?? null;
  }

  readWatches() {
    return new Set(this.order.filter((watch) => this.rows.get(watch.id).classList.contains("read")).map((watch) => watch.id));
  }

  complete() {
    return this.readWatches().size === this.order.length;
  }
}

function capital(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** What one touch recorded, in words: several parts are counted. */
export function describedTouch(records, visit, page) {
  const { words, cards } = page;
  const said = records.filter(({ kind }) => kind !== "withdrawn");
  const last = said.at(-1) ?? records.at(-1);
  if (last.kind !== "condition" || last.payload.present) return describedRecord(last, visit, page);
  const parts = [...new Set(said.map(({ payload }) => payload.part))];
  return fill(words[last.payload.again ? "found nothing again" : "found nothing"], { parts: parts.length === 1 ? cards.parts[parts[0]] : fill(words.parts, { n: parts.length }) });
}
