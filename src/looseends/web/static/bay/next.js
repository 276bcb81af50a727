// Which check comes next: the advice to everything recorded, else the route in its order.
import { lookDone, ownChecks, timesLooked } from "./facts.js";

/**
 * @param {import("./visit.js").Visit} visit
 * @param {any} cards
 * @param {{key: string, times?: number}|null|undefined} here the card that is open
 * @returns {{key: string|null, times?: number, reason: string, words: string, shortest: boolean}} `times`: it is done again
 *   after so many; a look by somebody else too, which is this person's first
 */
export function nextOf(visit, cards, here) {
  const done = new Set((visit.checks ?? []).filter(saysSomething).map((check) => check.key));
  const left = new Set((visit.facts ?? []).filter((fact) => fact.kind === "not-checked").map((fact) => fact.payload.part));
  const known = new Set(cards.setups.map((card) => card.key));
  const may = (key) => known.has(key) && !left.has(key.split(".")[0]);
  const views = new Map(cards.setups.map((card) => [card.key, cards.views[card.view]]));
  const open = (key) => may(key) && key !== here?.key && !done.has(key) && !lookDone(visit, views.get(key).watches);
  const timesOf = ({ key, watches }) => {
    const view = views.get(key);
    if (view.strokes.length) return ownChecks(visit, key).length || undefined;
    const asked = view.watches.filter(({ id }) => watches.includes(id));
    return asked.length ? Math.min(...asked.map((watch) => timesLooked(visit, watch))) : undefined;
  };
  const openAgain = (advice) => may(advice.key) && (advice.key !== here?.key || (visit.fresh && here.times !== timesOf(advice)));
  const answered = visit.how === "known" && visit.answer;
  if (answered) {
    const advice = visit.answer.advice.find((one) => (one.again ? openAgain(one) : open(one.key)));
    const times = advice?.again ? timesOf(advice) : undefined;
    if (advice) return { key: advice.key, times, reason: advice.reason, words: "", shortest: true };
    if (visit.fresh && !visit.answer.advice.length) return { key: null, reason: "", words: visit.answer.enough, shortest: true };
  }
  const support = here?.key.split(".")[1];
  const order = cards.order.filter(open);
  const key = order.find((one) => one.split(".")[1] === support) ?? order[0] ?? null;
  return { key, reason: "", words: key ? "" : visit.words["all done"], shortest: cards.shortest };
}

/** A check of which only the stop was looked at is still to be done. */
function saysSomething({ payload, readings, hidden }) {
  return payload.passed_parts.length + readings.length + hidden.length > 0;
}
