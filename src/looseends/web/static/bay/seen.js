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

/** The conditions that hold of a part, whoever saw them and in which check. */
export function seenOn(visit, part) {
  return (visit.facts ?? []).filter(({ kind, payload }) => kind === "condition" && part && payload.part === part && payload.present);
}

/** A condition in words: seen, or looked for and not there. */
export function seenWords({ payload }, { cards, words }) {
  return fill(words[payload.present ? "seen on it" : "not there"], { what: cards.conditions[payload.condition] ?? payload.condition });
}
