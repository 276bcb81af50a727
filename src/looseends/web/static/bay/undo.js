// What this person recorded last in a visit, from the records alone, so that it can be taken back after a reload too.

import { setupKey } from "./records.js";

/**
 * The record to take back, or null: what it replaced holds again, else nothing does.
 * @param {import("./visit.js").Visit} visit
 * @returns {{record: any, before: any, end: string, touch: {record: any, before: any, end: string}[]}|null} `touch`: all
 *   that one touch recorded of parts that were looked at
 */
export function undoable(visit) {
  const byId = new Map(visit.records.map((record) => [record.id, record]));
  const ends = new Map(visit.facts.map((fact) => [fact.id, fact.end]));
  const done = [];
  // in the order of receipt: clocks of two devices may be hours apart
  for (const record of visit.records.filter((one) => one.account === visit.account)) {
    const root = rootOf(record, byId);
    const own = done.filter((one) => one.root === root);
    if (record.kind === "withdrawn") own.forEach((one) => done.splice(done.indexOf(one), 1));
    else if (own.length > 1 && same(own.at(-2).record.payload, record.payload)) done.splice(done.indexOf(own.at(-1)), 1);
    else if (ofTheSheet(record, visit) && !onlyBegun(record, byId)) done.push({ record, root });
  }
  const last = done.findLast((one) => byId.get(ends.get(one.root))?.account === visit.account);
  if (!last) return null;
  const before = done.findLast((one) => one.root === last.root && one !== last)?.record ?? begunBefore(last, byId);
  return { record: last.record, before, end: ends.get(last.root), touch: touchOf(last.record, visit, byId) };
}

/** What was recorded by the same touch, at one time, of parts that are looked at; a correction restores what it corrected. */
function touchOf({ kind, device_time: at }, visit, byId) {
  if (!["condition", "not-checked"].includes(kind)) return [];
  const corrected = new Map(visit.records.map((record) => [record.supersedes, record.id]));
  const endOf = (id) => (corrected.has(id) ? endOf(corrected.get(id)) : id);
  return visit.records
    .filter((one) => one.account === visit.account && Date.parse(one.device_time) === Date.parse(at))
    .map((record) => ({ record, before: byId.get(record.supersedes) ?? null, end: endOf(record.id) }))
    .map((one) => (one.before?.kind === "withdrawn" ? { ...one, before: null } : one));
}

/** What the sheet records: not what was told at taking in, nor the look at the lift points. */
function ofTheSheet({ kind, payload }, visit) {
  return kind === "check" ? visit.keys.has(setupKey(payload.setup)) : ["reading", "hidden", "condition", "not-checked"].includes(kind);
}

/** A check that only holds what is read in it is no step of its own. */
function onlyBegun(record, byId) {
  if (record.kind !== "check" || record.supersedes) return false;
  const { passed_parts, stop_gap_mm, note } = record.payload;
  return !passed_parts.length && stop_gap_mm === null && !note && [...byId.values()].some((one) => one.payload?.check === record.id);
}

/** The check as it was begun, where the step only added to it. */
function begunBefore({ record, root }, byId) {
  return record.id === root ? null : byId.get(root);
}

function rootOf(record, byId) {
  while (record?.supersedes && byId.has(record.supersedes)) record = byId.get(record.supersedes);
  return record?.id;
}

/** Whether two payloads say the same, however their fields are ordered. */
function same(one, other) {
  return ordered(one) === ordered(other);
}

function ordered(value) {
  return JSON.stringify(value, (_, found) => (found && typeof found === "object" && !Array.isArray(found)
    ? Object.fromEntries(Object.entries(found).sort(([a], [b]) => (a < b ? -1 : 1))) : found));
}
