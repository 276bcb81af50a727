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
    this.above = false;
    svg.removeAttribute("width");
    svg.removeAttribute("height");
  }

  /** Drawing units in a pixel of the screen. */
  get unit() {
    const box = this.svg.getBoundingClientRect();
    return Math.max(this.seen.width / (box.width || 1), this.seen.height / (box.height || 1));
  }

  /** Where a place lies, with left and right changed over where the plan is looked at from above. */
  spot([x, y]) {
    return [this.above ? this.whole.width - x : x, y];
  }

  show(seen) {
    const most = 1.4 * Math.max(this.whole.width, this.whole.height);
    const width = Math.min(Math.max(seen.width, 60), most);
    const height = (width * seen.height) / seen.width;
    const within = (start, size, whole) => Math.min(Math.max(start, -size / 2), whole - size / 2);
    this.seen = { x: within(seen.x, width, this.whole.width), y: within(seen.y, height, this.whole.height), width, height };
    this.svg.setAttribute("viewBox", [this.seen.x, this.seen.y, width, height].map((value) => value.toFixed(1)).join(" "));
    this.onshown?.();
  }

  /** Bring some places into view, with room around them. */
  frame(places, room = 90) {
    if (!places.length) return this.show(this.whole);
    const spots = places.map((place) => this.spot(place));
    const [xs, ys] = [spots.map(([x]) => x), spots.map(([, y]) => y)];
    const box = this.svg.getBoundingClientRect();
    const shape = (box.width || 3) / (box.height || 2);
    const [low, high] = [[Math.min(...xs) - room, Math.min(...ys) - room], [Math.max(...xs) + room, Math.max(...ys) + room]];
    let [width, height] = [high[0] - low[0], high[1] - low[1]];
    width = Math.max(width, height * shape, 260);
    height = width / shape;
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
