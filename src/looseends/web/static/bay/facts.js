// Records as they are made on the sheet, from what holds when they are made.

import { timeOrderedId } from "../asking.js";

/** This person's own checks in a setup: another person's stand beside them and are not touched. */
export function ownChecks(visit, key) {
  return visit.checks.filter((check) => check.key === key && check.account === visit.account);
}

/** The own check that a card records into: the last one, where it is done again one beyond those that were there. */
export function ownCheck(visit, card) {
  return ownChecks(visit, card.key).slice(card.times ?? 0).at(-1);
}

/** The check that records hang on, with itself first among the records if it is not there yet. */
function begun(visit, card, more = {}) {
  const own = ownCheck(visit, card);
  if (own) return [own.id, []];
  const gap = gapOf(visit, card) ?? { stop_gap_mm: null, note: "" };
  const payload = { setup: card.setup, ...gap, observer: visit.observer, readings: [], passed_parts: [], hidden: [], ...more };
  const id = timeOrderedId();
  return [id, [{ id, kind: "check", payload }]];
}

/** A reading of a watch; the same again is nothing new, another one corrects it. */
export function reading(visit, card, watch, taken) {
  const own = ownCheck(visit, card);
  const before = own?.readings.findLast((fact) => fact.payload.reading.watch === watch);
  const content = { watch, by: "hand", gauge_mm: null, grade: null, note: "", free_mm: null, ...taken };
  if (before && ["by", "gauge_mm", "grade", "free_mm"].every((name) => before.payload.reading[name] === content[name])) return [];
  const [check, first] = begun(visit, card);
  return [...first, { kind: "reading", payload: { check, reading: content }, supersedes: before?.end ?? null }];
}

/** These parts were gripped, and nothing moved. */
export function nothingMoved(visit, card, parts) {
  const own = ownCheck(visit, card);
  if (!own) return begun(visit, card, { passed_parts: parts })[1];
  const passed = [...new Set([...own.payload.passed_parts, ...parts])];
  if (passed.length === own.payload.passed_parts.length) return [];
  return [{ kind: "check", payload: { ...own.payload, passed_parts: passed }, supersedes: own.end }];
}

/** Something hid a part. */
export function hidden(visit, card, part, by) {
  const own = ownCheck(visit, card);
  const before = own?.hidden.findLast((fact) => fact.payload.hidden.part === part);
  if (before?.payload.hidden.by === by) return [];
  const [check, first] = begun(visit, card);
  return [...first, { kind: "hidden", payload: { check, hidden: { part, by } }, supersedes: before?.end ?? null }];
}

/** A check could not be done. */
export function leftOut(visit, card, because) {
  const before = visit.facts.findLast((fact) => fact.kind === "not-checked" && fact.payload.part === card.setup.check);
  if (before?.payload.because === because) return [];
  return [{ kind: "not-checked", payload: { part: card.setup.check, because }, supersedes: before?.end ?? null }];
}

/** The gap at the rebound stop under these stands [mm]; null where it was seen open and not measured. */
export function stopGap(visit, card, mm) {
  const own = ownCheck(visit, card);
  const open = visit.words["stop open"];
  const said = { stop_gap_mm: mm, note: mm === null ? open : "" };
  if (!own) return begun(visit, card, said)[1];
  if (own.payload.note && own.payload.note !== open) said.note = own.payload.note;
  if (own.payload.stop_gap_mm === said.stop_gap_mm && own.payload.note === said.note) return [];
  return [{ kind: "check", payload: { ...own.payload, ...said }, supersedes: own.end }];
}

/** What was found of the stop in this check; else in the last one, where the same stands stood then. */
export function gapOf(visit, card) {
  if (!card.asks_gap) return null;
  const last = ownCheck(visit, card) ?? visit.checks.filter((check) => check.account === visit.account).at(-1);
  const { setup, stop_gap_mm, note } = last?.payload ?? {};
  if (setup?.support !== card.setup.support || setup.side !== card.setup.side) return null;
  return { stop_gap_mm, note: note === visit.words["stop open"] ? note : "" };
}

/** A condition seen on a part. */
export function conditionSeen(visit, part, condition) {
  const known = visit.facts.some(({ kind, payload }) => kind === "condition" && payload.part === part && payload.condition === condition && payload.present);
  if (known) return [];
  return [{ kind: "condition", payload: { part, condition, observer: visit.observer, note: "", present: true } }];
}

/** A condition that was seen is taken back, where it still holds. */
export function conditionTakenBack(visit, id) {
  const fact = visit.facts.find((one) => one.id === id);
  return fact ? [{ kind: "withdrawn", payload: { because: "taken back on the plan" }, supersedes: fact.end }] : [];
}

/** The record of `undoable` is taken back, and with the last that a check holds the check itself. */
export function takenBack(visit, { record, before, end }) {
  const withdrawn = { kind: "withdrawn", payload: { because: "taken back on the sheet" } };
  const undo = before ? { kind: before.kind, payload: before.payload, supersedes: end } : { ...withdrawn, supersedes: end };
  const check = visit.checks.find((one) => one.id === record.payload?.check);
  const alone = check && !before && !check.payload.passed_parts.length && check.readings.length + check.hidden.length === 1;
  return alone ? [undo, { ...withdrawn, supersedes: check.end }] : [undo];
}
