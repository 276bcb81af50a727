// The underside plan on the screen: framed, moved and zoomed, with marks by verdict and what is gripped and watched.
import { draw } from "./making.js";

const FINGER = 24; // half of the least place that a finger needs [px]

export class PlanView {
  /** @param {SVGSVGElement} svg @param {Record<string, [number, number]>} places marks by part, in the drawing's units */
  constructor(svg, places) {
    this.svg = svg;
    this.places = places;
    this.turned = svg.querySelector(".turned");
    this.overlay = svg.querySelector(".overlay");
    const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
    this.whole = { x: 0, y: 0, width, height };
    this.seen = { ...this.whole };
    this.all = true;
    this.above = false;
    svg.removeAttribute("width");
    svg.removeAttribute("height");
  }

  /** Drawing units in a pixel of the screen. */
  get unit() {
    const box = this.svg.getBoundingClientRect();
    return Math.max(this.seen.width / (box.width || 1), this.seen.height / (box.height || 1));
  }

  /** The frame's width for a height of 1. */
  get shape() {
    const box = this.svg.getBoundingClientRect();
    return (box.width || 3) / (box.height || 2);
  }

  /** Where a place lies, with left and right changed over where the plan is looked at from above. */
  spot([x, y]) {
    return [this.above ? this.whole.width - x : x, y];
  }

  /** Show at least a part of the drawing, in the frame's own shape, so that nothing shown lies outside of the frame. */
  show(seen) {
    const most = 1.4 * Math.max(this.whole.width, this.whole.height * this.shape);
    const width = Math.min(Math.max(seen.width, seen.height * this.shape, 60), most);
    const height = width / this.shape;
    const about = (start, size, whole) => Math.min(Math.max(start + size / 2, 0), whole);
    const x = about(seen.x, seen.width, this.whole.width) - width / 2;
    const y = about(seen.y, seen.height, this.whole.height) - height / 2;
    this.seen = { x, y, width, height };
    this.all = seen === this.whole;
    this.scale = this.unit;
    this.svg.setAttribute("viewBox", [x, y, width, height].map((value) => value.toFixed(1)).join(" "));
    this.onshown?.();
  }

  /** Show the same in a frame of another size. */
  reshape() {
    if (this.all) return this.show(this.whole);
    const box = this.svg.getBoundingClientRect();
    const [width, height] = [box.width * this.scale, box.height * this.scale];
    const { seen } = this;
    return this.show({ x: seen.x + (seen.width - width) / 2, y: seen.y + (seen.height - height) / 2, width, height });
  }

  /** Bring some places into view, with room around them. */
  frame(places, room = 90) {
    if (!places.length) return this.show(this.whole);
    const spots = places.map((place) => this.spot(place));
    const [xs, ys] = [spots.map(([x]) => x), spots.map(([, y]) => y)];
    const [low, high] = [[Math.min(...xs), Math.min(...ys)], [Math.max(...xs), Math.max(...ys)]];
    const width = Math.max(high[0] - low[0] + 2 * room, 260);
    const height = high[1] - low[1] + 2 * room;
    return this.show({ x: (low[0] + high[0] - width) / 2, y: (low[1] + high[1] - height) / 2, width, height });
  }

  /** Look from below, as the technician stands, or from above. */
  turn(above) {
    this.above = above;
    if (above) this.turned.setAttribute("transform", `matrix(-1 0 0 1 ${this.whole.width} 0)`);
    else this.turned.removeAttribute("transform");
  }

  /** Put in the marks of the verdicts, and a heavy ring where something is being checked now. */
  mark(verdicts, ringed = new Set()) {
    for (const group of this.turned.querySelectorAll("g.part")) {
      const part = group.dataset.part;
      const old = group.querySelector("g.mark");
      const verdict = verdicts[part] ?? "unproven";
      if (old.dataset.verdict !== verdict) {
        const fresh = this.svg.querySelector(`#mark-${verdict} g.mark`).cloneNode(true);
        fresh.setAttribute("transform", old.getAttribute("transform"));
        old.replaceWith(fresh);
      }
      group.querySelector("circle.highlight")?.remove();
      if (ringed.has(part)) {
        const [x, y] = this.places[part];
        group.append(draw("circle", { class: "ink-line highlight", cx: x, cy: y, r: 14.7, fill: "none", "stroke-width": 3.4 }));
      }
    }
  }

  /** The parts at a place of the screen that a finger may mean, the nearest first. */
  touched(clientX, clientY) {
    const at = new DOMPoint(clientX, clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    const reach = FINGER * this.unit;
    return Object.entries(this.places)
      .map(([part, place]) => [part, Math.hypot(this.spot(place)[0] - at.x, this.spot(place)[1] - at.y)])
      .filter(([, distance]) => distance <= reach)
      .sort((a, b) => a[1] - b[1])
      .map(([part]) => part);
  }
}
