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
  const payload = { setup: card.setup, stop_gap_mm: null, observer: visit.observer, readings: [], passed_parts: [], note: "", hidden: [], ...more };
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

/** The last record of this person is taken back: what it corrected holds again, else nothing does. */
export function takenBack(visit, last) {
  const byId = new Map(visit.records.map((record) => [record.id, record]));
  const record = byId.get(last.end);
  const before = record?.supersedes ? byId.get(record.supersedes) : null;
  const undo = before && before.kind !== "withdrawn"
    ? [{ kind: before.kind, payload: before.payload, supersedes: last.end }]
    : [{ kind: "withdrawn", payload: { because: "taken back on the sheet" }, supersedes: last.end }];
  const check = visit.checks.find((one) => one.id === last.payload?.check);
  const alone = check && !before && check.payload.passed_parts.length === 0 && check.readings.length + check.hidden.length === 1;
  return alone ? [...undo, { kind: "withdrawn", payload: { because: "taken back on the sheet" }, supersedes: check.end }] : undo;
}
