// Which check comes next: the advice to everything recorded, else the route in its order.

/**
 * @param {import("./visit.js").Visit} visit
 * @param {any} cards
 * @param {string|undefined} here the key of the check that is open
 * @returns {{key: string|null, reason: string, words: string, shortest: boolean}}
 */
export function nextOf(visit, cards, here) {
  const done = new Set((visit.checks ?? []).filter(saysSomething).map((check) => check.key));
  const left = new Set((visit.facts ?? []).filter((fact) => fact.kind === "not-checked").map((fact) => fact.payload.part));
  const known = new Set(cards.setups.map((card) => card.key));
  const open = (key) => known.has(key) && key !== here && !done.has(key) && !left.has(key.split(".")[0]);
  const answered = visit.how === "known" && visit.answer;
  if (answered) {
    const advice = visit.answer.advice.find(({ key }) => open(key));
    if (advice) return { key: advice.key, reason: advice.reason, words: "", shortest: true };
    if (visit.fresh && !visit.answer.advice.length) return { key: null, reason: "", words: visit.answer.enough, shortest: true };
  }
  const support = here?.split(".")[1];
  const order = cards.order.filter(open);
  const key = order.find((one) => one.split(".")[1] === support) ?? order[0] ?? null;
  return { key, reason: "", words: key ? "" : visit.words["all done"], shortest: cards.shortest };
}

/** A check of which only the stop was looked at is still to be done. */
function saysSomething({ payload, readings, hidden }) {
  return payload.passed_parts.length + readings.length + hidden.length > 0;
}
