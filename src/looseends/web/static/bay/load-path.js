// Where the weight runs as the vehicle is held, on the plan: broad where it enters, and which joints it shuts.
import { draw } from "./making.js";

const RING = 9;
const LETTER = 10; // a letter's width at most, on average [px]
const OUTWARD = 58; // from a joint to the words beside it [px]
const ABOVE = 130; // from the joints to the words above them [px]

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

/** What each joint carries, in words outward of it or, where the frame has no room there, above; a line joins them. */
function tags(view, joints, unit) {
  const { seen } = view;
  const below = new Map();
  const narrow = joints.some(({ part, tag }) => {
    const [x] = view.spot(view.places[part]);
    return Math.max(seen.x - x, x - seen.x - seen.width) + (OUTWARD + LETTER * tag.length) * unit > 0;
  });
  const top = Math.max(Math.min(...joints.map(({ part }) => view.places[part][1])) - ABOVE * unit, seen.y + 20 * unit);
  return joints.map(({ part, tag }) => {
    const [x, y] = view.spot(view.places[part]);
    const outward = x > view.whole.width / 2 ? 1 : -1;
    const line = Math.max(narrow ? top : y, (below.get(outward) ?? -1e6) + 24 * unit);
    below.set(outward, line);
    const edge = outward > 0 ? seen.x + seen.width - 8 * unit : seen.x + 8 * unit;
    const at = [narrow ? edge : x + outward * OUTWARD * unit, line];
    const end = narrow ? [edge - outward * 0.5 * LETTER * tag.length * unit, line + 8 * unit] : [at[0] - outward * 4 * unit, line];
    const anchor = (outward > 0) === narrow ? "end" : "start";
    const set = { x: at[0], y: at[1] + 6 * unit, "font-size": 17 * unit, "font-weight": 700, "text-anchor": anchor };
    return draw("g", {},
      draw("path", { class: "ink-line", d: `M${x} ${y}L${end[0]} ${end[1]}`, "stroke-width": 1.4 * unit, fill: "none" }),
      draw("text", { ...set, class: "paper-line paper-fill", "stroke-width": 6 * unit, "stroke-linejoin": "round" }, tag),
      draw("text", { ...set, class: "ink-fill" }, tag));
  });
}
