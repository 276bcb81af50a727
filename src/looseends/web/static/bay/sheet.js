// The check sheet: one check at a time, recorded in at most two touches, and the check that comes next.
import { Visit } from "./visit.js";
import { holdVisit } from "./holding.js";
import { hidden, leftOut, nothingMoved, ownCheck, reading, takenBack } from "./facts.js";
import { fill, handed, make } from "./making.js";
import { NumberPad } from "./number-pad.js";
import { nextOf } from "./next.js";
import { outboxLine } from "./outbox-line.js";
import { madeSmall } from "./pictures.js";
import { describedRecord, WatchList } from "./watch-list.js";
import { StrokePicture } from "./stroke-picture.js";

const TWICE = 600; // two touches of one finger within this are one [ms]
const PATIENCE = 2500; // for the first advice, before the route begins in its order [ms]
const page = handed();
const { cards, words } = page;
const byKey = new Map(cards.setups.map((card) => [card.key, card]));
const visit = new Visit(page);
const find = (id) => document.getElementById(id);
const picture = new StrokePicture(document.querySelector(".picture svg"), cards, words);
const pad = new NumberPad(find("pad"), words, page.entry.unit);
const list = new WatchList({ place: find("watches"), by: find("by"), page, visit, pad, hider: find("hider"), record });
let open = null;
let made = [];
let last = { at: 0, key: "" };

/** One touch counted once: the same again at once is the same finger. */
function once(what, call) {
  const now = performance.now();
  if (last.key === what && now - last.at < TWICE) return;
  last = { at: now, key: what };
  call();
}

/** Keep what a touch means; the sentence of what was recorded comes when it is on the device. */
async function record(makeFacts) {
  try {
    const records = await visit.add(makeFacts);
    if (records.length) {
      // a photo is not taken back by a later record: it is erased on request
      if (records.at(-1).kind) made.push(records);
      say(fill(words.recorded, { what: described(records.at(-1)) }));
    }
  } catch (error) {
    say(fill(words["device full"], { why: error.message }));
  }
}

async function undo() {
  const records = made.pop();
  if (!records) return;
  const { id, payload } = records.at(-1);
  if (await visit.add(() => takenBack(visit, { end: id, payload }))) say(fill(words.withdrawn, { what: described(records.at(-1)) }));
}

function described(one) {
  return describedRecord(one, visit, page);
}

function say(sentence) {
  find("recorded").textContent = sentence;
  find("undo").hidden = !made.length;
}

/** The card that the address names; "+1" behind it: done again, the first time stands as it is. */
function addressed() {
  const [key, times] = decodeURIComponent(location.hash.slice(1)).split("+");
  return byKey.has(key) ? { ...byKey.get(key), times: Number(times) || 0 } : null;
}

function addressOf(next) {
  return next.times ? `${next.key}+${next.times}` : next.key;
}

function show() {
  const card = addressed();
  if (card) openCheck(card);
  else openNext();
}

function openNext() {
  const next = nextOf(visit, cards, open);
  if (next.key) { history.replaceState(null, "", `#${addressOf(next)}`); openCheck(addressed()); return; }
  find("check").hidden = true;
  find("enough").hidden = false;
  find("enough-words").textContent = next.words;
  find("enough-more").textContent = visit.answer?.suspects.join(". ") ?? "";
  open = null;
}

function openCheck(card) {
  const before = open;
  open = card;
  const [check, support] = [cards.checks[card.setup.check], cards.supports[card.setup.support]];
  find("check").hidden = false;
  find("enough").hidden = true;
  const texts = {
    "check-name": check.name, "check-held": [card.held, check.minutes].filter(Boolean).join(" · "), "check-do": check.do,
    "check-sound": check.sound_shows, "check-caution": check.caution, "support-name": support.name,
    "support-how": support.how, "support-proof": support.proof, "support-caution": support.caution,
  };
  for (const [id, text] of Object.entries(texts)) find(id).textContent = text;
  find("check-false").replaceChildren(...check.false_calls.map((call) => make("li", {}, call)));
  const stands = before?.setup.support ?? visit.checks?.at(-1)?.payload.setup.support;
  find("support").open = stands !== card.setup.support;
  list.open(card);
  picture.open(card, list.order, find("strokes"));
  render();
}

function render() {
  if (!visit.checks) return;
  const own = open && ownCheck(visit, open);
  list.show(own);
  picture.show(list.readWatches(own));
  const passed = open && list.groupParts().every((part) => own?.payload.passed_parts.includes(part));
  find("nothing-moved").setAttribute("aria-pressed", String(Boolean(passed)));
  find("nothing-moved").disabled = !page.may_record || !list.groupParts().length;
  for (const id of ["take-photo", "leave-out"]) find(id).disabled = !page.may_record;
  renderNext();
  renderPhotos();
  renderOthers();
}

function renderNext() {
  const next = nextOf(visit, cards, open);
  const card = byKey.get(next.key);
  const name = card ? [cards.checks[card.setup.check].name, card.held, cards.supports[card.setup.support].name].filter(Boolean).join(" · ") : next.words;
  find("next-how").textContent = howFar(next);
  find("next-name").textContent = name;
  find("next-reason").textContent = next.reason;
  find("next-why").hidden = !next.reason;
  const { suspects = [] } = visit.answer ?? {};
  find("next-suspects").textContent = suspects.length ? `${words.suspected}: ${suspects.join("; ")}.` : words.nobody;
  find("go").hidden = !card;
}

function howFar(next) {
  if (visit.how === "offline") return words.offline;
  if (visit.how === "waits") return `${visit.why} ${words[next.shortest ? "in order" : "in catalogue order"]}`;
  if (visit.how === "not worked out") return fill(words["not worked out"], { why: visit.why });
  return visit.fresh ? "" : words.asking;
}

function renderPhotos() {
  const items = visit.photos.map((photo) => make("li", {}, thumbnail(photo)));
  if (find("thumbnails").children.length !== items.length) find("thumbnails").replaceChildren(...items);
}

function thumbnail({ id, photo }) {
  const source = photo instanceof Blob ? URL.createObjectURL(photo) : `/api/visits/${page.visit}/photos/${id}/small`;
  return make("img", { src: source, alt: words.photo, width: 96, height: 96 });
}

function renderOthers() {
  const groups = Map.groupBy?.(cards.setups, (card) => card.setup.support) ?? grouped(cards.setups);
  const done = new Set((visit.checks ?? []).map((check) => check.key));
  find("other-list").replaceChildren(...[...groups].flatMap(([support, setups]) => [
    make("h3", {}, cards.supports[support].name),
    make("ul", { class: "others" }, setups.map((card) => make("li", {}, make("a", { href: `#${card.key}` },
      [cards.checks[card.setup.check].name, card.held].filter(Boolean).join(" · "), done.has(card.key) ? ` (${words.done})` : "")))),
  ]));
}

function grouped(setups) {
  const groups = new Map();
  for (const card of setups) groups.set(card.setup.support, [...(groups.get(card.setup.support) ?? []), card]);
  return groups;
}

async function addPhotos(files) {
  for (const file of files) {
    try {
      const photo = await madeSmall(file);
      const observation = open && ownCheck(visit, open)?.id;
      await record(() => [{ photo, observation: observation ?? null }]);
    } catch {
      say(words["not a picture"]);
    }
  }
}

function leave(because) {
  find("skip").close();
  if (because.trim()) record(() => leftOut(visit, open, because.trim()));
}

find("nothing-moved").addEventListener("click", () => once("nothing", () => record(() => nothingMoved(visit, open, list.groupParts()))));
find("undo").addEventListener("click", () => once("undo", undo));
find("go").addEventListener("click", () => once("go", () => {
  const next = nextOf(visit, cards, open);
  if (next.key) location.hash = addressOf(next);
}));
find("take-photo").addEventListener("click", () => find("photo").click());
find("photo").addEventListener("change", async (event) => {
  const files = [...event.target.files];
  event.target.value = "";
  await addPhotos(files);
});
find("leave-out").addEventListener("click", () => { find("skip-words").value = ""; find("skip").showModal(); });
for (const button of find("skip").querySelectorAll("[data-reason]")) button.addEventListener("click", () => leave(button.dataset.reason));
find("skip").querySelector("form").addEventListener("submit", (event) => { event.preventDefault(); leave(find("skip-words").value); });
for (const button of document.querySelectorAll("dialog [data-close]")) button.addEventListener("click", () => button.closest("dialog").close());
window.addEventListener("hashchange", () => { show(); scrollTo({ top: 0 }); find("check-name").focus({ preventScroll: true }); });
window.addEventListener("resize", () => picture.again());

visit.onChange(() => (open ? render() : visit.how !== "asking" && show()));
await outboxLine(find("outbox"), words, described);
if (addressed()) { await visit.reload(); show(); }
setTimeout(() => { if (!open && visit.checks) show(); }, PATIENCE);
await visit.open();
if (!open) show();
holdVisit(page.visit);
