// The line that says what waits to be sent, and opens to tell what it is.
import { refused, waiting } from "./kept.js";
import { fill, make } from "./making.js";
import { onChange, send, standing } from "./outbox.js";

const OUTBOX = "/visits/outbox";

/** @param {HTMLElement} place @param {Record<string, string>} words @param {(record: any) => string} described */
export function outboxLine(place, words, described) {
  const summary = make("summary", {});
  const list = make("ul", {});
  const doing = make("div", { class: "actions" });
  const details = make("details", { class: "more outbox", hidden: true }, summary, list, doing);
  const heard = make("p", { class: "only-heard", role: "status" });
  place.append(details, heard);

  async function show() {
    const records = await waiting();
    details.hidden = !records.length;
    const said = records.length ? `${count(records.length, words)} ${how(words)}` : words.sent;
    summary.textContent = said;
    if (heard.textContent !== said) heard.textContent = said;
    list.replaceChildren(...records.map((record) => make("li", {}, described(record), refusal(record, words))));
    const stuck = records.some((record) => record.refused);
    if (stuck || standing.how === "sign in") details.open = true;
    doing.replaceChildren(
      standing.how === "sign in" ? make("a", { class: "button main", href: `/sign-in?then=${encodeURIComponent(location.pathname)}` }, words["sign in here"]) : "",
      make("button", { type: "button", onclick: () => again(records) }, words["try again"]),
      location.pathname === OUTBOX ? "" : make("a", { class: "button", href: OUTBOX }, words.file));
  }
  onChange(show);
  return show();
}

async function again(records) {
  await Promise.all(records.filter((record) => record.refused).map((record) => refused(record, undefined)));
  await send();
}

function count(n, words) {
  return n === 1 ? words["waits one"] : fill(words.waits, { n });
}

function how(words) {
  if (standing.how === "idle") return "";
  return fill(words[standing.how], { name: standing.name });
}

function refusal(record, words) {
  return record.refused ? make("b", {}, ` ${fill(words.refused, { why: record.refused })}`) : "";
}
