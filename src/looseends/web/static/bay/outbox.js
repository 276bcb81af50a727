// Sending what waits, one after the other in the order of recording, so that nothing is lost and nothing comes twice.
import { ask, formToken } from "../asking.js";
import { refused, sent, stillWaiting, waiting } from "./kept.js";

const LEAST_WAIT = 2000;
const MOST_WAIT = 60000;
const changed = new EventTarget();
let pause = LEAST_WAIT;
let timer = 0;
let running = null;

/** How sending stands: "idle", "sending", "no connection", "sign in", "other person". */
export const standing = { how: "idle", name: "" };

/** Call back whenever the outbox or how it stands has changed. */
export function onChange(call) {
  changed.addEventListener("change", call);
}

export function tell() {
  changed.dispatchEvent(new Event("change"));
}

/** Send all that waits; two pages take turns, and a second call joins the first. */
export function send() {
  running ??= locked(sendAll).finally(() => { running = null; });
  return running;
}

/** Send on every occasion on which there may be a connection again. */
export function sendOnReturn() {
  window.addEventListener("online", () => { pause = LEAST_WAIT; send(); });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") send(); });
  window.addEventListener("pageshow", () => send());
}

function locked(work) {
  return navigator.locks ? navigator.locks.request("looseends-outbox", work) : work();
}

async function sendAll() {
  clearTimeout(timer);
  const records = (await waiting()).filter((record) => !record.refused);
  if (!records.length) return stand("idle");
  // pictures are large: what was found goes first
  records.sort((a, b) => weight(a) - weight(b) || a.n - b.n);
  stand("sending");
  try {
    const me = await ask("/api/me");
    for (const record of records) {
      if (record.account !== me.id) { stand("other person", record.observer); continue; }
      if (await stillWaiting(record.n)) await sendOne(record);
    }
    pause = LEAST_WAIT;
    if (standing.how === "sending") stand("idle");
    // what was recorded meanwhile
    if (standing.how === "idle" && (await waiting()).some((record) => !record.refused)) return sendAll();
  } catch (error) {
    if (error.status === 401 || error.status === 403) return stand("sign in");
    stand("no connection");
    timer = setTimeout(send, pause);
    pause = Math.min(2 * pause, MOST_WAIT);
  }
  return undefined;
}

/** 0 for what was found, 1 for a photo, 2 for a clip. */
function weight(record) {
  return Number(record.photo !== undefined) + Number(record.clip !== undefined);
}

async function sendOne(record) {
  try {
    await (record.photo === undefined ? putFact(record) : putPicture(record));
    await sent(record);
  } catch (error) {
    // refused for what it says, not for when it came: kept with the reason, and it holds up no other
    if (![400, 404, 409, 413, 422].includes(error.status)) throw error;
    await refused(record, error.message);
  }
  tell();
}

function putFact({ id, visit, kind, payload, device_time, supersedes }) {
  const body = { kind, payload, device_time, supersedes };
  return ask(`/api/visits/${visit}/observations/${id}`, { method: "PUT", body });
}

/** A photo, or a clip: of that the server makes the still itself. */
async function putPicture({ id, visit, photo, clip, device_time, observation }) {
  const query = observation ? `?observation=${observation}` : "";
  const [kind, body] = clip === undefined ? ["photos", photo] : ["clips", clip];
  const headers = { accept: "application/json", "content-type": body.type, "x-csrftoken": formToken(), "x-device-time": device_time };
  const answer = await fetch(`/api/visits/${visit}/${kind}/${id}${query}`, { method: "PUT", headers, body });
  if (answer.ok) return;
  const said = await answer.json().catch(() => null);
  throw Object.assign(new Error(said?.detail ?? answer.statusText), { status: answer.status });
}

function stand(how, name = "") {
  Object.assign(standing, { how, name });
  tell();
}
