// The drawing of a check on the sheet: the part of the plan that it needs, with grips and watches.
import { make } from "./making.js";
import { PlanView } from "./plan-view.js";
import { drawStroke } from "./strokes.js";

export class StrokePicture {
  constructor(svg, cards, words) {
    this.view = new PlanView(svg, cards.places);
    this.cards = cards;
    this.words = words;
    this.read = new Set();
  }

  /** Draw a check; `order` numbers its watches, `caption` lists its strokes. */
  open(card, order, caption) {
    const view = this.cards.views[card.view];
    this.strokes = view.strokes;
    this.numbers = new Map(order.map((watch, at) => [watch.id, { ...watch, number: at + 1 }]));
    this.chosen = 0;
    this.view.mark({}, new Set(order.map((watch) => watch.part).filter(Boolean)));
    const { look_for: looked } = this.cards.checks[card.setup.check];
    caption.replaceChildren(this.strokes.length
      ? make("ol", { class: "strokes" }, view.strokes.map((stroke, at) => make("li", {}, this.strokeLine(stroke, at, caption))))
      : make("div", { class: "strokes" }, make("b", {}, this.words["look for"]), make("ul", {}, looked.map((what) => make("li", {}, what)))));
    this.again();
  }

  strokeLine(stroke, at, caption) {
    const said = `${stroke.words} ${stroke.force}`;
    if (this.strokes.length === 1) return said;
    const choose = (event) => {
      this.chosen = at;
      for (const other of caption.querySelectorAll("button")) other.setAttribute("aria-pressed", String(other === event.currentTarget));
      this.again();
    };
    return make("button", { type: "button", "aria-pressed": String(at === 0), onclick: choose }, said);
  }

  /** Fill the eyes of what was read. */
  show(read) {
    this.read = read;
    this.again();
  }

  again() {
    if (!this.strokes) return;
    const stroke = this.strokes[this.chosen] ?? { grips: [], both_ways: false, watches: [...this.numbers.keys()] };
    const watches = stroke.watches.map((id) => this.numbers.get(id)).filter(Boolean);
    this.view.frame([...stroke.grips, ...watches].map(({ x, y }) => [x, y]));
    drawStroke(this.view, stroke, watches.map((watch) => ({ ...watch, read: this.read.has(watch.id) })), this.words);
  }
}
