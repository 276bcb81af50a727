// The minutes that are at hand for a visit's checks, as somebody set them on this device; none: no limit.
import { typedNumber } from "./number-pad.js";

const MOST = 600;
const name = (visit) => `looseends-until-${visit}`;

/** Whole minutes left, 0 once they are over, null without a limit. */
export function minutesLeft(visit) {
  const until = Number(localStorage.getItem(name(visit)));
  return until ? Math.max(0, Math.ceil((until - Date.now()) / 60000)) : null;
}

/** Begin with so many minutes as were typed; an empty field ends the limit. Returns whether it was a number. */
export function setMinutes(visit, text) {
  const minutes = typedNumber(text);
  if (minutes === null) localStorage.removeItem(name(visit));
  else if (!(minutes >= 0 && minutes <= MOST)) return false;
  else localStorage.setItem(name(visit), String(Date.now() + minutes * 60000));
  return true;
}
