// What this device keeps: records that wait, those that were sent since a page was made, the last answer of a visit.
import { openDB } from "../vendor/idb.js";

const database = openDB("looseends", 1, {
  upgrade(db) {
    const outbox = db.createObjectStore("outbox", { keyPath: "n", autoIncrement: true });
    outbox.createIndex("id", "id", { unique: true });
    db.createObjectStore("sent", { keyPath: "id" }).createIndex("visit", "visit");
    db.createObjectStore("answers", { keyPath: "visit" });
  },
});
const SURE = { durability: "strict" };
const tabs = new BroadcastChannel("looseends-kept");

/** Keep records until they are sent; when this has ended they are on the device. */
export async function keep(records) {
  const transaction = (await database).transaction("outbox", "readwrite", SURE);
  await Promise.all([...records.map((record) => transaction.store.add(record)), transaction.done]);
  tabs.postMessage("kept");
}

/** Call back whenever another tab of this device kept something. */
export function onKept(call) {
  tabs.addEventListener("message", call);
}

/** All that waits, in the order in which it was recorded; of one visit, where one is named. */
export async function waiting(visit) {
  const all = await (await database).getAll("outbox");
  return visit === undefined ? all : all.filter((record) => record.visit === visit);
}

/** One that waits, if it still does. */
export async function stillWaiting(n) {
  return (await database).get("outbox", n);
}

/** A record is with the server: it leaves the outbox and is remembered, without its picture or film, until the page brings it. */
export async function sent(record) {
  const transaction = (await database).transaction(["outbox", "sent"], "readwrite", SURE);
  const { photo, clip, ...rest } = record;
  await Promise.all([
    transaction.objectStore("outbox").delete(record.n),
    transaction.objectStore("sent").put({ ...rest, photo: photo !== undefined, clip: clip !== undefined }),
    transaction.done,
  ]);
}

/** The server's sentence beside a record that it did not take; without one it is tried again. */
export async function refused(record, sentence) {
  await (await database).put("outbox", { ...record, refused: sentence });
}

/** What was sent from here in a visit. */
export async function sentOf(visit) {
  return (await database).getAllFromIndex("sent", "visit", visit);
}

/** Forget what was sent, once a page brings it. */
export async function forget(ids) {
  const transaction = (await database).transaction("sent", "readwrite");
  await Promise.all([...ids.map((id) => transaction.store.delete(id)), transaction.done]);
}

/** The last answer of a visit, for when there is no connection. */
export async function keepAnswer(visit, answer) {
  await (await database).put("answers", { visit, answer, at: Date.now() });
}

export async function lastAnswer(visit) {
  return (await database).get("answers", visit);
}
