// The underside plan: every part can be touched, and tells what is known of it and which check would prove it.
import { Visit } from "./visit.js";
import { holdVisit, supportsOf } from "./holding.js";
import { drawLoad } from "./load-path.js";
import { fill, handed, make } from "./making.js";
import { nextOf } from "./next.js";
import { outboxLine } from "./outbox-line.js";
import { PlanView } from "./plan-view.js";
import { conditionSeen, conditionTakenBack } from "./facts.js";
import { movable, zoom } from "./pointing.js";
import { askSeen, seenOn, seenWords } from "./seen.js";
import { describedRecord } from "./watch-list.js";

const NEAR = 1 / 1.4;
const NEAR_PART = 130; // drawing units around a part that is brought to the middle
const VERDICTS = ["unsafe", "replace", "plan", "sound", "unproven"];
const page = handed();
const { cards, words } = page;
const visit = new Visit(page);
const find = (id) => document.getElementById(id);
const view = new PlanView(document.querySelector(".picture svg"), cards.places);
const sheet = `/visits/${page.visit}/sheet`;
let chosen = null;

function verdictOf(part) {
  return visit.answer?.parts[part]?.verdict ?? "unproven";
}

function render() {
  const next = nextOf(visit, cards, undefined).key;
  const current = next && cards.views[cards.setups.find((card) => card.key === next).view].watches.map((watch) => watch.part);
  view.mark(Object.fromEntries(Object.keys(cards.parts).map((part) => [part, verdictOf(part)])), new Set(chosen ? [chosen] : current ?? []));
  find("stand").textContent = stand();
  renderList();
  if (chosen) renderPart();
}

function stand() {
  const asOf = visit.asOf && fill(words["as of"], { time: new Date(visit.asOf).toLocaleTimeString(page.language, { hour: "2-digit", minute: "2-digit" }) });
  if (visit.how === "known") return visit.fresh ? "" : words.asking;
  if (visit.how === "waits") return visit.why;
  if (visit.how === "not worked out") return fill(words["not worked out"], { why: visit.why });
  return visit.how === "offline" ? [words.offline, asOf].filter(Boolean).join(" ") : words.asking;
}

function renderList() {
  const groups = VERDICTS.map((verdict) => [verdict, Object.keys(cards.parts).filter((part) => verdictOf(part) === verdict)]);
  const said = JSON.stringify([groups, chosen]);
  if (find("parts").dataset.said === said) return;
  find("parts").dataset.said = said;
  const focused = document.activeElement?.dataset?.part;
  find("parts").replaceChildren(...groups.filter(([, parts]) => parts.length).flatMap(([verdict, parts]) => [
    make("h3", {}, icon(verdict), word(verdict)),
    make("ul", { class: "part-list" }, parts.map((part) => make("li", {}, make("button", {
      type: "button", "data-part": part, "aria-pressed": String(part === chosen), onclick: () => choose([part]),
    }, cards.parts[part])))),
  ]));
  if (focused) document.querySelector(`#parts [data-part="${focused}"]`)?.focus({ preventScroll: true });
}

function icon(verdict) {
  return find(`icon-${verdict}`).firstElementChild.cloneNode(true);
}

function word(verdict) {
  return find(`word-${verdict}`).textContent;
}

/** Show what is known of a part; the others lay under the same finger. */
function choose([part, ...others]) {
  if (!part) return;
  if (part !== chosen) find("recorded").textContent = "";
  chosen = part;
  find("part").dataset.others = JSON.stringify(others);
  render();
  find("part").scrollIntoView({ block: "nearest" });
  find("part-name").focus({ preventScroll: true });
}

function renderPart() {
  const known = visit.answer?.parts[chosen];
  const verdict = verdictOf(chosen);
  const others = JSON.parse(find("part").dataset.others ?? "[]");
  find("part").hidden = false;
  find("how-to").hidden = true;
  find("part-name").replaceChildren(icon(verdict), `${word(verdict)}: ${cards.parts[chosen]}`);
  renderSeen();
  const watching = cards.setups.filter((card) => cards.views[card.view].watches.some((watch) => watch.part === chosen));
  const proving = known?.prove_key ? cards.setups.find((card) => card.key === known.prove_key) : null;
  find("part-known").replaceChildren(
    ...(known ? [...known.said, known.chance_words, known.prove].filter(Boolean) : [words["nothing known"]]).map((text) => make("p", {}, text)),
    ...(proving && page.may_record ? [make("p", {}, make("a", { class: "button main", href: `${sheet}#${proving.key}` }, words["go prove"]))] : []),
    ...(watching.length ? [make("details", { class: "more" }, make("summary", {}, words["watched by"]), make("ul", { class: "others" }, watching.map(checkLine)))] : []),
    ...(others.length ? [make("p", {}, `${words.also}:`), make("div", { class: "choices" }, others.map((part) => make("button", { type: "button", onclick: () => choose([part, ...others.filter((one) => one !== part)]) }, cards.parts[part])))] : []));
}

/** What was seen on the part, each with a way back for who saw it. */
function renderSeen() {
  find("part-seen").replaceChildren(...seenOn(visit, chosen).map((fact) => make("li", {}, make("span", {}, seenWords(fact, page)),
    ...(page.may_record && fact.account === visit.account ? [make("button", { type: "button", onclick: () => record(() => conditionTakenBack(visit, fact.id)) }, words["take back"])] : []))));
  if (find("look")) find("look").disabled = !page.may_record;
}

/** Keep what a touch means; the sentence of what was recorded comes when it is on the device. */
async function record(makeFacts) {
  try {
    const records = await visit.add(makeFacts);
    if (records.length) find("recorded").textContent = fill(words[records[0].kind === "withdrawn" ? "withdrawn" : "recorded"], { what: recordedWords(records[0]) });
  } catch (error) {
    find("recorded").textContent = fill(words["device full"], { why: error.message });
  }
}

function recordedWords(record) {
  const before = record.supersedes && visit.records.find((one) => one.id === record.supersedes);
  return describedRecord(before || record, visit, page);
}

function checkLine(card) {
  const name = [cards.checks[card.setup.check].name, card.held, cards.supports[card.setup.support].name].filter(Boolean).join(" · ");
  return make("li", {}, page.may_record ? make("a", { href: `${sheet}#${card.key}` }, name) : name);
}

find("look")?.addEventListener("click", () => {
  const part = chosen;
  askSeen(find("seen"), cards, part, cards.seen_on[part], words["what is seen asked"], (condition) => record(() => conditionSeen(visit, part, condition)));
});
find("seen").querySelector("[data-close]").addEventListener("click", () => find("seen").close());
movable(view, (x, y) => choose(view.touched(x, y)));
find("nearer").addEventListener("click", () => zoom(view, NEAR));
find("further").addEventListener("click", () => zoom(view, 1 / NEAR));
find("whole").addEventListener("click", () => view.show(view.whole));
find("middle").addEventListener("click", () => {
  view.frame([view.places[chosen]], NEAR_PART);
  document.querySelector(".plan-figure").scrollIntoView({ block: "nearest" });
});
find("turn").addEventListener("click", (event) => {
  view.turn(!view.above);
  event.currentTarget.setAttribute("aria-pressed", String(view.above));
  drawLoad(view);
  find("seen-from").textContent = event.currentTarget.dataset[view.above ? "above" : "below"];
  const [left, right] = [find("side-left"), find("side-right")];
  [left.textContent, right.textContent] = [right.textContent, left.textContent];
});

/** Turned over, the tablet shows the same: all of the drawing, or its middle as large as before. */
new ResizeObserver(() => view.reshape()).observe(view.svg);

/** The supports to choose from, and where the weight runs in the chosen one. */
function offerSupports(supports) {
  const entries = Object.entries(supports);
  const name = ({ name: said, side }) => (side ? `${said}, ${words[side]}` : said);
  const choose = (key) => {
    for (const button of find("weigh").children) button.setAttribute("aria-pressed", String(button.dataset.support === key));
    view.loaded = supports[key] ?? null;
    const near = view.loaded?.end === "front" ? view.loaded.joints.map(({ part }) => view.places[part]) : [];
    view.frame(near, 270);
    drawLoad(view);
    find("carried").replaceChildren(...(view.loaded?.joints ?? []).map((joint) => make("li", { class: joint.free ? "free" : "shut" }, joint.words)));
  };
  find("weight").hidden = !entries.length;
  find("weigh").replaceChildren(...[["", { name: words["no weight"] }], ...entries].map(([key, support]) => make("button", {
    type: "button", "data-support": key, "aria-pressed": String(key === ""), onclick: () => choose(key),
  }, name(support))));
}

visit.onChange(render);
await outboxLine(find("outbox"), words, (record) => describedRecord(record, visit, page));
await visit.open();
holdVisit(page.visit);
view.onshown = () => drawLoad(view);
offerSupports(await supportsOf(page.visit));
