// Records as they are made on the sheet, from what holds when they are made.

import { timeOrderedId } from "../asking.js";

const WITHDRAWN = { kind: "withdrawn", payload: { because: "taken back on the sheet" } };

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

/** A condition seen on a part; `times` is the card's, where it is a look once more. */
export function conditionSeen(visit, part, condition, { proves = true, times } = {}) {
  return [...(proves ? seenAfterAll(visit, part) : []), ...stated(visit, part, condition, true, times)];
}

/** A condition that was seen is taken back, where it still holds. */
export function conditionTakenBack(visit, id) {
  const fact = visit.facts.find((one) => one.id === id);
  return fact ? [{ kind: "withdrawn", payload: { because: "taken back on the plan" }, supersedes: fact.end }] : [];
}

/** These parts were looked at, and none of the conditions that are looked for there was found. */
export function nothingFound(visit, watches, times) {
  return watches.flatMap(({ part, sees, proves }) => [...(proves ? seenAfterAll(visit, part) : []), ...sees.flatMap((condition) => stated(visit, part, condition, false, times))]);
}

/** A part could not be seen: what this person said of it in this look holds no more. */
export function couldNotSee(visit, { part, sees }, times) {
  if (notSeen(visit, part)) return [];
  const said = ownLook(visit, part, times).filter(({ payload }) => sees.includes(payload.condition));
  return [...said.map(({ end }) => ({ ...WITHDRAWN, supersedes: end })), { kind: "not-checked", payload: { part, because: visit.words["could not be seen"] } }];
}

/** What is on record of a part that is looked at, whoever looked and however often. */
export function lookedAt(visit, watch) {
  return said(watch, conditionsOf(visit, watch.part), leftUnseen(visit, watch.part));
}

/** What a card shows of a part: the first look of whoever looked; done again, this person's own by the card's times. */
export function shownOn(visit, watch, { times }) {
  const own = ownLook(visit, watch.part, times);
  const first = conditionsOf(visit, watch.part).filter(({ payload }) => !payload.again);
  const unseen = leftUnseen(visit, watch.part).filter(({ account }) => times === undefined || account === visit.account);
  return said(watch, times === undefined ? first : own, own.length ? [] : unseen);
}

function said({ sees, proves }, conditions, unseen) {
  const named = (there) => conditions.filter(({ payload }) => payload.present === there).map(({ payload }) => payload.condition);
  const found = named(true).filter((condition) => proves || sees.includes(condition));
  const nothing = sees.some((condition) => named(false).includes(condition)) && !sees.some((condition) => found.includes(condition));
  return { found, nothing, unseen: proves && unseen.length > 0 };
}

/** How often this person has looked at a part for what a look sees. */
export function timesLooked(visit, { part, sees }) {
  const own = conditionsOf(visit, part).filter(({ payload, account }) => account === visit.account && sees.includes(payload.condition));
  return Math.max(0, ...own.map(({ payload }) => (payload.again ?? 0) + 1));
}

/** The parts that are looked at again on a card: what is asked for now, and what this person has said there. */
export function lookedAgain(visit, watches, { key, times }) {
  const asked = visit.answer?.advice.find((advice) => advice.again && advice.key === key)?.watches ?? [];
  const due = (watch) => asked.includes(watch.id) && timesLooked(visit, watch) === times;
  return watches.filter((watch) => due(watch) || ownLook(visit, watch.part, times).length);
}

/** Whether all that a look looks at is on record. */
export function lookDone(visit, watches) {
  return watches.length > 0 && watches.every((watch) => watch.sees.length && Object.values(lookedAt(visit, watch)).some((said) => (Array.isArray(said) ? said.length : said)));
}

/**
 * A condition that is there or not: another word of the same person in the same look corrects the first. Nobody's is
 * doubled, but by a look that was asked for again.
 */
function stated(visit, part, condition, present, times) {
  const of = conditionsOf(visit, part).filter(({ payload }) => payload.condition === condition);
  const own = of.findLast((fact) => ofLook(visit, fact, times));
  if (own ? own.payload.present === present : times === undefined && of.some(({ payload, account }) => account !== visit.account && payload.present === present)) return [];
  const payload = { ...(own?.payload ?? { part, condition, observer: visit.observer, note: "", ...(times ? { again: times } : {}) }), present };
  return [{ kind: "condition", payload, supersedes: own?.end ?? null }];
}

function conditionsOf(visit, part) {
  return (visit.facts ?? []).filter(({ kind, payload }) => kind === "condition" && payload.part === part);
}

/** Whether a condition is of this person's look that was taken after so many. */
function ofLook(visit, { payload, account }, times) {
  return account === visit.account && (payload.again ?? 0) === (times ?? 0);
}

function ownLook(visit, part, times) {
  return conditionsOf(visit, part).filter((fact) => ofLook(visit, fact, times));
}

function leftUnseen(visit, part) {
  return (visit.facts ?? []).filter(({ kind, payload }) => kind === "not-checked" && payload.part === part);
}

function notSeen(visit, part) {
  return leftUnseen(visit, part).findLast(({ account }) => account === visit.account);
}

function seenAfterAll(visit, part) {
  const before = notSeen(visit, part);
  return before ? [{ ...WITHDRAWN, supersedes: before.end }] : [];
}

/** The record of `undoable` is taken back, and with the last that a check holds the check itself; so is all of one touch. */
export function takenBack(visit, { record, before, end, touch }) {
  if (touch.length > 1) return touch.map((one) => ({ ...(one.before ? { kind: one.before.kind, payload: one.before.payload } : WITHDRAWN), supersedes: one.end }));
  const undo = before ? { kind: before.kind, payload: before.payload, supersedes: end } : { ...WITHDRAWN, supersedes: end };
  const check = visit.checks.find((one) => one.id === record.payload?.check);
  const alone = check && !before && !check.payload.passed_parts.length && check.readings.length + check.hidden.length === 1;
  return alone ? [undo, { ...WITHDRAWN, supersedes: check.end }] : [undo];
}
