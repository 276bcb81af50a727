// Moving and zooming a plan by one or two fingers, by mouse and wheel, and by keys.

const STILL = 8; // a finger that moved less meant to touch [px]

/** @param {import("./plan-view.js").PlanView} view @param {(x: number, y: number) => void} ontouch a place was touched */
export function movable(view, ontouch) {
  const { svg } = view;
  const down = new Map();
  let moved = 0;
  svg.addEventListener("pointerdown", (event) => {
    svg.setPointerCapture(event.pointerId);
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size === 1) moved = 0;
  });
  svg.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const now = [event.clientX, event.clientY];
    const others = [...down].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
    moved += Math.hypot(now[0] - before[0], now[1] - before[1]);
    down.set(event.pointerId, now);
    if (moved < STILL) return;
    if (others.length) pinch(view, before, now, others[0]);
    else shift(view, now[0] - before[0], now[1] - before[1]);
  });
  const up = (event) => {
    const alone = down.delete(event.pointerId) && down.size === 0;
    if (alone && moved < STILL && event.type === "pointerup") ontouch(event.clientX, event.clientY);
  };
  svg.addEventListener("pointerup", up);
  svg.addEventListener("pointercancel", up);
  svg.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoom(view, event.deltaY > 0 ? 1.15 : 1 / 1.15, event.clientX, event.clientY);
  }, { passive: false });
}

/** Zoom about a place of the screen, or the middle; a factor below 1 brings the drawing nearer. */
export function zoom(view, factor, clientX, clientY) {
  const box = view.svg.getBoundingClientRect();
  const x = ((clientX ?? box.left + box.width / 2) - box.left) / box.width;
  const y = ((clientY ?? box.top + box.height / 2) - box.top) / box.height;
  const { seen } = view;
  const [width, height] = [seen.width * factor, seen.height * factor];
  view.show({ x: seen.x + (seen.width - width) * x, y: seen.y + (seen.height - height) * y, width, height });
}

function shift(view, right, down) {
  const { seen, unit } = view;
  view.show({ ...seen, x: seen.x - right * unit, y: seen.y - down * unit });
}

function pinch(view, before, now, other) {
  const apart = (place) => Math.max(Math.hypot(place[0] - other[0], place[1] - other[1]), 1);
  zoom(view, apart(before) / apart(now), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
}
