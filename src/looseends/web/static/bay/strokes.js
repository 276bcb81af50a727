// What is gripped and watched, drawn on the plan: arrows at grips, eyes with numbers at watches.
import { draw } from "./making.js";

const APART = 34; // eyes keep so far from one another [px]

/**
 * @param {import("./plan-view.js").PlanView} view
 * @param {{grips: {x: number, y: number, to: number[], label: string}[], both_ways: boolean}} stroke
 * @param {{x: number, y: number, number: number, read: boolean}[]} watches
 * @param {Record<string, string>} words
 */
export function drawStroke(view, stroke, watches, words) {
  const { unit } = view;
  const grips = stroke.grips.map((grip) => ({ ...grip, at: view.spot([grip.x, grip.y]) }));
  const eyes = spread(watches.map((watch) => ({ ...watch, at: view.spot([watch.x, watch.y]) })), grips, APART * unit);
  view.overlay.replaceChildren(
    ...eyes.map((eye) => leader(eye, unit)),
    ...grips.map((grip) => arrow(grip, stroke.both_ways, view.above, unit, words)),
    ...eyes.map((eye) => eyeMark(eye, unit)),
  );
}

function leader({ at, place }, unit) {
  return draw("path", { class: "ink-line", d: `M${at[0]} ${at[1]}L${place[0]} ${place[1]}`, "stroke-width": 1.4 * unit, fill: "none" });
}

function eyeMark({ place, number, read }, unit) {
  const [fill, ink] = read ? ["ink-fill", "paper-fill"] : ["paper-fill", "ink-fill"];
  return draw("g", { transform: `translate(${place[0]} ${place[1]}) scale(${unit})` },
    draw("path", { class: `${fill} ink-line`, d: "M-20 0Q0 -25 20 0Q0 25 -20 0Z", "stroke-width": 2.2 }),
    draw("text", { class: ink, y: 5, "text-anchor": "middle", "font-size": 15, "font-weight": 700 }, String(number)));
}

function arrow({ at, to, label }, bothWays, above, unit, words) {
  const [right, down, up] = [above ? -to[0] : to[0], to[1], to[2]];
  // two grips above one another: one arrow a little before the other
  const aside = label ? (up || right > 0 ? -15 : 15) : 0;
  const flat = Math.hypot(right, down);
  const group = draw("g", { transform: `translate(${at[0]} ${at[1]}) scale(${unit}) translate(0 ${aside})` });
  if (Math.abs(up) > flat) {
    const word = bothWays ? `${words.up} / ${words.down}` : up > 0 ? words.up : words.down;
    group.append(
      draw("circle", { class: "paper-fill ink-line", r: 15, "stroke-width": 4 }),
      draw("path", { class: "ink-line", d: bothWays ? "M0 -9V9M-6 -3L0 -10L6 -3M-6 3L0 10L6 3" : up > 0 ? "M0 9V-9M-6 -3L0 -10L6 -3" : "M0 -9V9M-6 3L0 10L6 3", "stroke-width": 3.4, fill: "none" }),
      said(`${label} ${word}`.trim(), 22, 5));
    return group;
  }
  const turn = (Math.atan2(down, right) * 180) / Math.PI;
  const shape = bothWays ? "M-34 0H34M-22 -11L-36 0L-22 11M22 -11L36 0L22 11" : "M-34 0H34M22 -11L36 0L22 11";
  group.append(
    draw("path", { class: "paper-line", d: shape, transform: `rotate(${turn})`, "stroke-width": 12, fill: "none" }),
    draw("path", { class: "ink-line", d: shape, transform: `rotate(${turn})`, "stroke-width": 5, fill: "none" }));
  if (label) group.append(said(label, 42, 5));
  return group;
}

function said(text, x, y) {
  const set = { x, y, "font-size": 15, "font-weight": 700 };
  return draw("g", {},
    draw("text", { ...set, class: "paper-line paper-fill", "stroke-width": 5, "stroke-linejoin": "round" }, text),
    draw("text", { ...set, class: "ink-fill" }, text));
}

/** The eyes pushed apart, and off the grips, each still joined to its place by a line. */
function spread(eyes, grips, apart) {
  const placed = eyes.map((eye) => ({ ...eye, place: [...eye.at] }));
  const fixed = grips.map((grip) => grip.at);
  for (let round = 0; round < 60; round += 1) {
    for (const [i, one] of placed.entries()) {
      for (const other of placed.slice(i + 1)) push(one.place, other.place, apart, 0.5);
      for (const spot of fixed) push(one.place, spot, 1.5 * apart, 0);
    }
  }
  return placed;
}

function push(one, other, apart, share) {
  let [x, y] = [one[0] - other[0], one[1] - other[1]];
  let gap = Math.hypot(x, y);
  if (gap >= apart) return;
  if (gap < 1e-6) [x, y, gap] = [0.3, 1, 1.044];
  const lacking = (apart - Math.hypot(one[0] - other[0], one[1] - other[1])) / gap;
  for (const k of [0, 1]) {
    one[k] += [x, y][k] * lacking * (1 - share);
    other[k] -= [x, y][k] * lacking * share;
  }
}
