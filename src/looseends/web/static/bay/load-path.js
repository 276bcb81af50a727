// Where the weight runs as the vehicle is held, on the plan: broad where it enters, and which joints it shuts.
import { draw } from "./making.js";

const RING = 9;
const LETTER = 10; // a letter's width at most, on average [px]

/** @param {import("./plan-view.js").PlanView & {loaded: any}} view */
export function drawLoad(view) {
  const { loaded, unit } = view;
  if (!loaded) { view.overlay.replaceChildren(); return; }
  view.overlay.replaceChildren(
    ...loaded.lines.map((line) => stretch(view.spot(line.start), view.spot(line.end), line.half * unit, unit)),
    ...loaded.joints.map((joint) => ring(view.spot(view.places[joint.part]), joint, unit)),
    ...tags(view, loaded.joints, unit));
}

function stretch([x0, y0], [x1, y1], half, unit) {
  const long = Math.hypot(x1 - x0, y1 - y0);
  // straight up or down on the vehicle: a mark of its size
  if (long < 2 * half) return draw("circle", { class: "ink-fill load", cx: x0, cy: y0, r: half + unit });
  const [nx, ny] = [-(y1 - y0) / long, (x1 - x0) / long];
  const corner = (x, y, w) => `${(x + nx * w).toFixed(1)},${(y + ny * w).toFixed(1)}`;
  const points = [corner(x0, y0, half + unit), corner(x1, y1, 0.5 * half + unit), corner(x1, y1, -0.5 * half - unit), corner(x0, y0, -half - unit)];
  return draw("polygon", { class: "ink-fill load", points: points.join(" ") });
}

/** Shut by the load: filled; else open. */
function ring([x, y], { free }, unit) {
  return draw("circle", { class: `${free ? "paper-fill" : "ink-fill"} ink-line`, cx: x, cy: y, r: RING * unit, "stroke-width": 3 * unit });
}

/** What each joint carries, in words outward of it, each joined to its joint by a line. */
function tags(view, joints, unit) {
  const below = new Map();
  return joints.map(({ part, tag }) => {
    const [x, y] = view.spot(view.places[part]);
    const outward = x > view.whole.width / 2 ? 1 : -1;
    const line = Math.max(y, (below.get(outward) ?? -1e6) + 24 * unit);
    below.set(outward, line);
    const long = (LETTER * tag.length + 6) * unit;
    const { seen } = view;
    const free = x + outward * 58 * unit;
    const at = [outward > 0 ? Math.min(free, seen.x + seen.width - long) : Math.max(free, seen.x + long), line];
    const set = { x: at[0], y: at[1] + 6 * unit, "font-size": 17 * unit, "font-weight": 700, "text-anchor": outward > 0 ? "start" : "end" };
    return draw("g", {},
      draw("path", { class: "ink-line", d: `M${x} ${y}L${at[0] - outward * 4 * unit} ${at[1]}`, "stroke-width": 1.4 * unit, fill: "none" }),
      draw("text", { ...set, class: "paper-line paper-fill", "stroke-width": 6 * unit, "stroke-linejoin": "round" }, tag),
      draw("text", { ...set, class: "ink-fill" }, tag));
  });
}
