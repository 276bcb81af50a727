// The force-movement curve of one watch in ink: dead zone, stop and spring, with the present place marked.

const WIDE = 460;
const HIGH = 300;
const EDGE = { left: 74, right: 16, top: 26, bottom: 52 };

/** SVG of a watch's curves; `words` and `speak` are the page's. */
export function curveSvg(shown, watch, words, speak) {
  const forces = shown.shares.map((share) => share * shown.force_N);
  const most = Math.max(...watch.worn.moved_mm, ...watch.sound.moved_mm, 0.05);
  const least = Math.min(0, ...watch.worn.moved_mm, ...watch.sound.moved_mm);
  const x = (force) => EDGE.left + ((force - forces[0]) / (forces.at(-1) - forces[0])) * (WIDE - EDGE.left - EDGE.right);
  const y = (moved) => HIGH - EDGE.bottom - ((moved - least) / (most - least)) * (HIGH - EDGE.top - EDGE.bottom);
  const path = (curve) => curve.moved_mm.map((moved, k) => `${k ? "L" : "M"}${x(forces[k]).toFixed(1)} ${y(moved).toFixed(1)}`).join("");
  const text = (px, py, said, anchor = "start", more = "") => `<text class="ink-fill" x="${px.toFixed(1)}" y="${py.toFixed(1)}" text-anchor="${anchor}"${more}>${escaped(said)}</text>`;
  const dead = watch.worn.in_dead_zone.flatMap((inside, k) => (inside ? [[x(forces[k]), x(forces[k + 1])]] : []));
  const bands = dead.map(([a, b]) => `<rect x="${a.toFixed(1)}" y="${EDGE.top}" width="${Math.max(b - a, 2).toFixed(1)}" height="${HIGH - EDGE.top - EDGE.bottom}" fill="url(#dead)"/>`).join("");
  const ends = [watch.worn.moved_mm.at(-1), watch.sound.moved_mm.at(-1)];
  const apart = Math.abs(y(ends[0]) - y(ends[1])) < 20;
  return `<svg viewBox="0 0 ${WIDE} ${HIGH}" role="img" aria-label="${escaped(words.curve_heard.replace("{watch}", watch.name).replace("{total}", speak.length(watch.worn.total_mm)).replace("{free}", speak.length(watch.worn.free_mm)))}">
<defs><pattern id="dead" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="ink-line" d="M0 0V7" stroke-width="1.1" opacity="0.55"/></pattern></defs>
${bands}<path class="ink-line" fill="none" stroke-width="1.4" d="M${EDGE.left} ${EDGE.top}V${HIGH - EDGE.bottom}H${WIDE - EDGE.right}"/>
${forces[0] < 0 ? `<path class="ink-line" stroke-width="0.8" d="M${x(0).toFixed(1)} ${EDGE.top}V${HIGH - EDGE.bottom}"/>` : ""}
<path class="ink-line" fill="none" stroke-width="1.4" d="${path(watch.sound)}"/><path class="ink-line" fill="none" stroke-width="3.4" stroke-linejoin="round" d="${path(watch.worn)}"/>
${text(WIDE - EDGE.right - 4, y(ends[0]) - 9, words.worn, "end", ' font-weight="700"')}${apart ? "" : text(WIDE - EDGE.right - 4, y(ends[1]) - 8, words.sound, "end")}
${dead.length ? text(Math.min(Math.max((dead[0][0] + dead.at(-1)[1]) / 2, EDGE.left + 60), WIDE - 80), EDGE.top - 8, words.dead_zone, "middle") : ""}
${text(EDGE.left - 8, y(0) + 5, speak.length(0), "end")}${text(EDGE.left - 8, y(most) + 9, speak.length(most), "end")}
${text(EDGE.left, HIGH - 26, speak.force(forces[0]), "start")}${text(WIDE - EDGE.right, HIGH - 26, speak.force(forces.at(-1)), "end")}
${text((WIDE + EDGE.left) / 2, HIGH - 6, words.force_at_hand, "middle")}
<path id="curve-now" class="ink-line" stroke-width="2" fill="none" d=""/></svg>`;
}

/** The mark of the present place: a ring on the worn curve and a line down to the force. */
export function markNow(svg, shown, watch, at) {
  const low = Math.min(Math.floor(at), shown.shares.length - 2);
  const part = at - low;
  const between = (list) => list[low] + part * (list[low + 1] - list[low]);
  const first = shown.shares[0];
  const span = shown.shares.at(-1) - first;
  const most = Math.max(...watch.worn.moved_mm, ...watch.sound.moved_mm, 0.05);
  const least = Math.min(0, ...watch.worn.moved_mm, ...watch.sound.moved_mm);
  const x = EDGE.left + ((between(shown.shares) - first) / span) * (WIDE - EDGE.left - EDGE.right);
  const y = HIGH - EDGE.bottom - ((between(watch.worn.moved_mm) - least) / (most - least)) * (HIGH - EDGE.top - EDGE.bottom);
  svg.querySelector("#curve-now")?.setAttribute("d", `M${x - 7} ${y}a7 7 0 1 0 14 0a7 7 0 1 0 -14 0M${x} ${y + 7}V${HIGH - EDGE.bottom}`);
}

function escaped(said) {
  return String(said).replace(/[&<>"]/g, (sign) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[sign]);
}
