// The minutes that are at hand for a visit's checks, as somebody set them: they begin where this device first opens the
// sheet after that, for clocks of two devices may be hours apart. None: the whole route, without a limit.
import { typedNumber } from "./number-pad.js";

const [LEAST, MOST] = [1, 600];
const name = (fact) => `looseends-begun-${fact.id}`;

/** The record that counts: the last one. */
function chosen(visit) {
  return (visit.facts ?? []).findLast(({ kind }) => kind === "minutes");
}

/** Begin on this device, if it has not begun yet. */
export function begin(visit) {
  const fact = chosen(visit);
  if (fact && localStorage.getItem(name(fact)) === null) localStorage.setItem(name(fact), String(Date.now()));
}

/** Whole minutes left, 0 once they are over, null without a limit. */
export function minutesLeft(visit) {
  const fact = chosen(visit);
  if (!fact || fact.payload.minutes === null) return null;
  const begun = Number(localStorage.getItem(name(fact)) ?? Date.now());
  return Math.max(0, Math.ceil(fact.payload.minutes - (Date.now() - begun) / 60000));
}

/** The record of so many minutes as were typed, an empty field for the whole route; null for what is no number. */
export function minutesSet(text) {
  const minutes = typedNumber(text);
  return minutes === null || (minutes >= LEAST && minutes <= MOST) ? { kind: "minutes", payload: { minutes } } : null;
}
