"""Joints that grease, rust or dirt hides in every reading of a visit: worn, and reading as if they were sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.posterior import Explanation, Posterior
from looseends.mechanics.bodies import Array


def with_masked_joints(posterior: Posterior, log_odds: Mapping[str, float], beliefs: Beliefs) -> Posterior:
    """The posterior with every worn part masked or not, each with the chance of it.

    What a masked part's readings say is what they say without it: its states keep their prior weights.
    """
    by_parts = {frozenset(e.parts): e for e in posterior.explanations}
    prior = {frozenset(e.parts): sum(log_odds[part] for part in e.parts) for e in posterior.explanations}
    chances = {True: beliefs.masked_chance, False: 1.0 - beliefs.masked_chance}
    mixed = []
    for explanation in posterior.explanations:
        logs, states = [], []
        for masked in product((False, True), repeat=len(explanation.parts)):
            shown = frozenset(part for part, hidden in zip(explanation.parts, masked, strict=True) if not hidden)
            chance = np.prod([chances[hidden] for hidden in masked])
            logs.append(by_parts[shown].log_weight - prior[shown] + float(np.log(chance)))
            states.append(_states(posterior, explanation, by_parts[shown]))
        total = float(log_sum_exp(np.array(logs)))
        weights: Array = np.sum([np.exp(log - total) * s for log, s in zip(logs, states, strict=True)], axis=0)
        mixed.append(replace(explanation, log_weight=prior[frozenset(explanation.parts)] + total, states=weights))
    return posterior.reweighted(mixed)


def _states(posterior: Posterior, explanation: Explanation, shown: Explanation) -> Array:
    """Weights of a set's states where only `shown` of its parts show: those weighed by readings, others as before."""
    if len(shown.parts) == len(explanation.parts):
        return explanation.states
    each = [shown.states if part in shown.parts else posterior.states[part].weight for part in explanation.parts]
    return each[0] if len(each) == 1 else np.multiply.outer(each[0], each[1])
