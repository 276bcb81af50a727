// Which check comes next: the advice to everything recorded, else the route in its order.
import { ownChecks } from "./facts.js";

/**
 * @param {import("./visit.js").Visit} visit
 * @param {any} cards
 * @param {string|undefined} here the key of the check that is open
 * @returns {{key: string|null, times: number, reason: string, words: string, shortest: boolean}} `times`: it was done so often
 */
export function nextOf(visit, cards, here) {
  const done = new Set((visit.checks ?? []).map((check) => check.key));
  const left = new Set((visit.facts ?? []).filter((fact) => fact.kind === "not-checked").map((fact) => fact.payload.part));
  const known = new Set(cards.setups.map((card) => card.key));
  const may = (key) => known.has(key) && !left.has(key.split(".")[0]);
  const open = (key) => may(key) && key !== here && !done.has(key);
  const answered = visit.how === "known" && visit.answer;
  if (answered) {
    const advice = visit.answer.advice.find(({ key, again }) => (again ? may(key) && (visit.fresh || key !== here) : open(key)));
    const times = advice?.again ? ownChecks(visit, advice.key).length : 0;
    if (advice) return { key: advice.key, times, reason: advice.reason, words: "", shortest: true };
    if (visit.fresh && !visit.answer.advice.length) return { key: null, times: 0, reason: "", words: visit.answer.enough, shortest: true };
  }
  const support = here?.split(".")[1];
  const order = cards.order.filter(open);
  const key = order.find((one) => one.split(".")[1] === support) ?? order[0] ?? null;
  return { key, times: 0, reason: "", words: key ? "" : visit.words["all done"], shortest: cards.shortest };
}
