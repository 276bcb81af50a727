// What holds of a visit's records: corrections applied, in the order of the devices' times, as the server does.

/** @typedef {{id: string, kind: string, payload: any, device_time: string, supersedes: string|null, account: string}} Recorded */
/** @typedef {{id: string, end: string, kind: string, payload: any, account: string, at: string}} Fact */

/** @param {Recorded[]} records @returns {Fact[]} what holds, each under the id of what was first recorded */
export function standing(records) {
  const byId = new Map(records.map((record) => [record.id, record]));
  const corrected = new Set(records.map((record) => record.supersedes).filter(Boolean));
  const inOrder = [...byId.values()].sort((a, b) => Date.parse(a.device_time) - Date.parse(b.device_time) || (a.id < b.id ? -1 : 1));
  const ends = new Map();
  for (const record of inOrder) if (!corrected.has(record.id)) ends.set(root(record, byId), record);
  return inOrder
    .filter((record) => !record.supersedes && ends.get(record.id)?.kind !== "withdrawn")
    .map((record) => {
      const end = ends.get(record.id);
      return { id: record.id, end: end.id, kind: record.kind, payload: end.payload, account: record.account, at: end.device_time };
    });
}

/** @param {Recorded[]} records @param {Fact[]} facts the checks that hold, with their readings and what was hidden */
export function checksDone(records, facts) {
  const byId = new Map(records.map((record) => [record.id, record]));
  const of = (kind, check) => facts.filter((fact) => fact.kind === kind && root(byId.get(fact.payload.check), byId) === check);
  return facts.filter((fact) => fact.kind === "check").map((fact) => ({
    ...fact, key: setupKey(fact.payload.setup), readings: of("reading", fact.id), hidden: of("hidden", fact.id),
  }));
}

/** A setup as addresses and cards name it. */
export function setupKey(setup) {
  return [setup.check, setup.support, setup.side ?? "whole", setup.steer, setup.brake].join(".");
}

/** The records of several sources, each id once: the server's stand before what this device knows. */
export function merged(...sources) {
  const found = new Map();
  for (const record of sources.flat()) if (!found.has(record.id)) found.set(record.id, record);
  return [...found.values()];
}

function root(record, byId) {
  while (record?.supersedes && byId.has(record.supersedes)) record = byId.get(record.supersedes);
  return record?.id;
}
