// What waits as a file, for when a tablet's connection does not come back, and such a file taken in elsewhere.
import { keep, sentOf, waiting } from "./kept.js";

const WHAT = "looseends-outbox";
const FORMAT = 1;
const MOST_BYTES = 400_000_000; // two dozen clips, fifty photos and some days of records
const MOST_RECORDS = 5000;
const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

/** All that waits on this device, as a file; it goes on waiting here. */
export async function outboxFile() {
  const records = await Promise.all((await waiting()).map(plain));
  return new Blob([JSON.stringify({ what: WHAT, format: FORMAT, sha256: await checksum(records), records })], { type: "application/json" });
}

/**
 * Take a file in: what is new here waits to be sent from here, what is here already is not taken twice.
 * @param {Blob} file @returns {Promise<{taken: number, known: number}>} rejects with an Error whose `key` names the sentence
 */
export async function takeIn(file) {
  if (file.size > MOST_BYTES) throw wrong("file too large");
  const read = await file.text().then(JSON.parse).catch(() => { throw wrong("file of something else"); });
  if (read?.what !== WHAT || !Array.isArray(read.records)) throw wrong("file of something else");
  if (read.format !== FORMAT) throw wrong("file of another time");
  if (read.records.length > MOST_RECORDS) throw wrong("file too large");
  if ((await checksum(read.records)) !== read.sha256 || !read.records.every(isRecord)) throw wrong("file damaged");
  const here = new Set((await waiting()).map((record) => record.id));
  for (const visit of new Set(read.records.map((record) => record.visit))) for (const { id } of await sentOf(visit)) here.add(id);
  const fresh = [...new Map(read.records.filter(({ id }) => !here.has(id)).map((record) => [record.id, record])).values()];
  await keep(fresh.map(unpacked));
  return { taken: fresh.length, known: read.records.length - fresh.length };
}

/** A record without what only this device needs, its picture and its film as text. */
async function plain({ n, refused, ...record }) {
  const blobs = Object.entries(record).filter(([, value]) => value instanceof Blob);
  const texts = blobs.map(async ([name, blob]) => [name, { type: blob.type, base64: await base64(blob) }]);
  return { ...record, ...Object.fromEntries(await Promise.all(texts)) };
}

function unpacked(record) {
  const texts = Object.entries(record).filter(([name]) => name === "photo" || name === "clip");
  return { ...record, ...Object.fromEntries(texts.map(([name, text]) => [name, blobOf(text)])) };
}

function blobOf({ type, base64: text }) {
  return new Blob([Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0))], { type });
}

function isRecord({ id, visit, account, observer, device_time, kind, payload, photo, clip }) {
  const fact = typeof kind === "string" && payload && typeof payload === "object";
  const film = clip === undefined || (clip?.type?.startsWith("video/") && typeof clip.base64 === "string");
  const picture = kind === undefined && photo?.type === "image/jpeg" && typeof photo.base64 === "string" && film;
  return ID.test(id) && ID.test(visit) && typeof account === "string" && typeof observer === "string" && !Number.isNaN(Date.parse(device_time)) && Boolean(fact || picture);
}

async function base64(blob) {
  const read = new FileReader();
  const done = new Promise((resolve, reject) => { read.onload = resolve; read.onerror = reject; });
  read.readAsDataURL(blob);
  await done;
  return read.result.slice(read.result.indexOf(",") + 1);
}

async function checksum(records) {
  const sum = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(JSON.stringify(records)));
  return [...new Uint8Array(sum)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function wrong(key) {
  return Object.assign(new Error(key), { key });
}
