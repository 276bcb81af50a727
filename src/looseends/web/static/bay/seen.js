// What is seen on a part, whatever moves: asked in one dialog, of the sheet and of the plan.
import { fill, make } from "./making.js";

/** Ask which of these conditions is on a part. */
export function askSeen(dialog, cards, part, conditions, asked, take) {
  const taken = (condition) => {
    dialog.close();
    take(condition);
  };
  dialog.querySelector("h2").textContent = cards.parts[part];
  dialog.querySelector("p").textContent = asked;
  dialog.querySelector(".reasons").replaceChildren(...conditions.map((id) => make("button", { type: "button", "data-condition": id, onclick: () => taken(id) }, cards.conditions[id])));
  dialog.showModal();
}

/** The conditions that hold of a part, whoever saw them and in which check; with those that another look did not find. */
export function seenOn(visit, part) {
  const of = (visit.facts ?? []).filter(({ kind, payload }) => kind === "condition" && part && payload.part === part);
  const alike = ({ payload }) => of.filter((one) => one.payload.condition === payload.condition);
  return of.filter((fact) => alike(fact).some(({ payload }) => payload.present)).map((fact) => ({ ...fact, beside: alike(fact).length > 1 }));
}

/** A condition in words: seen, or looked for and not there; by whom, where one look stands beside another. */
export function seenWords({ payload, beside }, { cards, words }) {
  const { condition, observer, again, present } = payload;
  const what = cards.conditions[condition] ?? condition;
  if (!again && !beside) return fill(words[present ? "seen on it" : "not there"], { what });
  const who = again ? fill(words["looked again"], { who: observer }) : observer;
  return fill(words[present ? "seen by" : "not there by"], { what, who });
}
