// The check sheet: one check at a time, recorded in at most two touches, and the check that comes next.
import { Following } from "./following.js";
import { Visit } from "./visit.js";
import { holdVisit, supportsOf } from "./holding.js";
import { gapOf, leftOut, lookDone, ownCheck, stopGap, takenBack } from "./facts.js";
import { fill, handed, make } from "./making.js";
import { NumberPad } from "./number-pad.js";
import { describedTouch, LookList } from "./look-list.js";
import { nextOf } from "./next.js";
import { outboxLine } from "./outbox-line.js";
import { setupKey } from "./records.js";
import { StrokePicture } from "./stroke-picture.js";
import { Taking } from "./taking.js";
import { begin, minutesLeft, minutesSet } from "./time-left.js";
import { undoable } from "./undo.js";
import { describedRecord, gapWords, WatchList } from "./watch-list.js";

const TWICE = 600; // two touches of one finger within this are one [ms]
const PATIENCE = 2500; // for the first advice, before the route begins in its order [ms]
const page = handed();
const { cards, words } = page;
const byKey = new Map(cards.setups.map((card) => [card.key, card]));
const visit = new Visit(page);
const find = (id) => document.getElementById(id);
const picture = new StrokePicture(document.querySelector(".picture svg"), cards, words);
const pad = new NumberPad(find("pad"), words, page.entry.unit);
const given = { place: find("watches"), by: find("by"), page, visit, pad, seen: find("seen"), record };
const [watches, looks] = [new WatchList(given), new LookList(given)];
const taking = new Taking({ page, visit, record, say, observation: () => (open && (ownCheck(visit, open)?.id ?? looks.lastOf(open))) ?? null });
const following = new Following(() => goOn());
let list = watches;
let supports = {};
let open = null;
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
  const { touches } = following;
  try {
    const records = await visit.add(makeFacts);
    if (!records.length) return;
    say(fill(words.recorded, { what: describedTouch(records, visit, page) }));
    if (records.at(-1).kind && open && list.complete() && passed(records.at(-1))) following.begin(touches);
  } catch (error) {
    say(fill(words["device full"], { why: error.message }));
  }
}

/** Whether a record says that nothing moved: only then the sheet goes on by itself. */
function passed({ kind, payload }) {
  if (kind === "check") return payload.passed_parts.length > 0;
  if (kind === "condition") return !payload.present;
  return kind === "reading" && ["none", "silent", "rising"].includes(payload.reading.grade);
}

/** Take back what this person recorded last, and show the check that it belongs to. */
async function undo() {
  const last = undoable(visit);
  if (!last) return;
  const check = visit.checks.find((one) => one.id === (last.record.payload.check ?? visit.rootOf(last.record.id)));
  await visit.add(() => takenBack(visit, last));
  say(fill(words.withdrawn, { what: describedOf(last) }));
  const key = check && setupKey(check.payload.setup);
  if (byKey.has(key) && key !== open?.key) location.hash = key;
}

/** What would be taken back, in words. */
function describedOf({ record: one, touch }) {
  return describedTouch(touch.length > 1 ? touch.map((each) => each.record) : [one], visit, page);
}

function described(one) {
  return describedRecord(one, visit, page);
}

function say(sentence) {
  find("recorded").textContent = sentence;
}

/** What can be taken back, said where nothing else is. */
function renderUndo() {
  const last = undoable(visit);
  find("undo").hidden = !last || !page.may_record;
  if (last && !find("recorded").textContent) say(fill(words.last, { what: describedOf(last) }));
}

/** The card that the address names; "+1" behind it: done again, the first time stands as it is; "+0": somebody else's. */
function addressed() {
  const [key, times] = decodeURIComponent(location.hash.slice(1)).split("+");
  return byKey.has(key) ? { ...byKey.get(key), times: times === undefined ? undefined : Number(times) || 0 } : null;
}

function addressOf({ key, times }) {
  return times === undefined ? key : `${key}+${times}`;
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

function goOn() {
  const next = nextOf(visit, cards, open);
  if (next.key) location.hash = addressOf(next);
}

function openCheck(card) {
  const before = open;
  open = card;
  const [check, support] = [cards.checks[card.setup.check], cards.supports[card.setup.support]];
  find("check").hidden = false;
  find("check").dataset.open = addressOf(card);
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
  showSupport(card);
  const looked = !cards.views[card.view].strokes.length;
  if (looked !== (list === looks)) find("do").open = looked;
  list = looked ? looks : watches;
  find("look-again").hidden = !looked || card.times === undefined;
  find("look-again").textContent = words[card.times ? "look again" : "look again too"];
  find("by").hidden = looked;
  find("nothing-moved").textContent = words[looked ? "nothing found" : "nothing moved"];
  list.open(card);
  picture.open(card, list.order, find("strokes"));
  render();
}

/** How the vehicle is held for a check: the sketch, and what the joints carry then. */
function showSupport({ setup }) {
  const shown = supports[setup.side ? `${setup.support}.${setup.side}` : ""] ?? supports[setup.support];
  find("support-picture").innerHTML = shown?.picture ?? ""; // drawn by our server
  const joints = (shown?.joints ?? []).filter(({ side }) => !setup.side || !side || side === setup.side);
  find("support-joints").replaceChildren(...joints.map(({ words: said, free }) => make("li", { class: free ? "free" : "shut" }, said)));
}

function render() {
  if (!visit.checks) return;
  begin(visit);
  const own = open && ownCheck(visit, open);
  if (open && list === looks && looks.changed()) { looks.open(open); picture.open(open, looks.order, find("strokes")); }
  list.show(own);
  picture.show(list.readWatches(own));
  find("nothing-moved").setAttribute("aria-pressed", String(Boolean(open && list.passing(own))));
  find("nothing-moved").disabled = !page.may_record || !list.group().length;
  for (const id of ["take-photo", "take-clip", "leave-out"]) find(id).disabled = !page.may_record;
  renderStop();
  renderUndo();
  renderNext();
  taking.show();
  renderOthers();
  following.look(visit.fresh || visit.how === "offline");
}

function renderStop() {
  const found = open && gapOf(visit, open);
  find("stop").hidden = !open?.asks_gap;
  find("stop-found").textContent = found ? gapWords(found, words, page.entry.unit) : "";
  const held = found?.stop_gap_mm === 0 ? "touching" : found?.stop_gap_mm > 0 ? "measured" : found?.note ? "open" : "";
  for (const button of document.querySelectorAll("[data-stop]")) {
    button.setAttribute("aria-pressed", String(button.dataset.stop === held));
    button.disabled = !page.may_record;
  }
}

function takeStop(how) {
  const card = open;
  const take = (mm) => record(() => stopGap(visit, card, mm));
  if (how === "measured") pad.ask({ title: words["gap title"], most: page.entry.most_mm.stop, before: { gauge_mm: gapOf(visit, card)?.stop_gap_mm }, plain: true }, take);
  else take(how === "touching" ? 0 : null);
}

function renderNext() {
  const next = nextOf(visit, cards, open);
  const card = byKey.get(next.key);
  const name = card ? [cards.checks[card.setup.check].name, card.held, cards.supports[card.setup.support].name].filter(Boolean).join(" · ") : next.words;
  find("next-how").textContent = howFar(next);
  find("next-name").textContent = name;
  find("next-reason").textContent = next.reason;
  const left = minutesLeft(visit);
  find("time-left").textContent = left === null ? "" : fill(words["minutes left"], { n: left });
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

function renderOthers() {
  const groups = Map.groupBy?.(cards.setups, (card) => card.setup.support) ?? grouped(cards.setups);
  const done = new Set((visit.checks ?? []).map((check) => check.key));
  for (const { key, view } of cards.setups) if (lookDone(visit, cards.views[view].watches)) done.add(key);
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

function leave(because) {
  find("skip").close();
  if (because.trim()) record(() => leftOut(visit, open, because.trim()));
}

find("nothing-moved").addEventListener("click", () => once("nothing", () => record(() => list.pass())));
find("undo").addEventListener("click", () => once("undo", undo));
for (const button of document.querySelectorAll("[data-stop]")) button.addEventListener("click", () => once(button.dataset.stop, () => takeStop(button.dataset.stop)));
find("go").addEventListener("click", () => once("go", goOn));
find("time").querySelector("form").addEventListener("submit", (event) => {
  event.preventDefault();
  const taken = minutesSet(find("minutes").value);
  find("minutes-mistake").textContent = taken ? "" : fill(words["not a number"], { example: "15" });
  if (taken) { find("time").open = false; record(() => [taken]); }
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
supports = await supportsOf(page.visit);
if (open) showSupport(open);
