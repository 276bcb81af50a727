"""Joints that grease, rust or dirt hides in every reading of a visit: worn, and reading as if they were sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.explanation import Explanation, Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.views import Places
from looseends.mechanics.bodies import Array

_COUNTS = 7.0
"""A choice that has less than this of a set's log weight is left out of its joint states."""

_TOLD_APART = 9.0
"""Of sets further behind the leading one than this, in log weight, the joint states stay as they are."""

_FEW = 12
"""So many joint states of what shows, and so many of each hidden part, carry a masked choice's states."""


def with_masked_joints(posterior: Posterior, beliefs: Beliefs) -> Posterior:
    """The posterior with every worn part masked or not, each with the chance of it.

    What a masked part's readings say is what they say without it: its states keep their prior weights.
    """
    by_parts = {frozenset(e.parts): e for e in posterior.explanations}
    choices = [_choices(posterior, explanation, by_parts, beliefs) for explanation in posterior.explanations]
    totals = [float(log_sum_exp(np.array([log for _, log in choice]))) for choice in choices]
    weights = [
        posterior.prior.log_weight(e.parts) + total for e, total in zip(posterior.explanations, totals, strict=True)
    ]
    return posterior.reweighted(
        [
            _mixed(posterior, e, weight, choice, total)
            if weight > max(weights) - _TOLD_APART
            else replace(e, log_weight=weight)
            for e, choice, total, weight in zip(posterior.explanations, choices, totals, weights, strict=True)
        ]
    )


_Choice = tuple[Explanation, float]
"""The set of parts that are not hidden, and the log likelihood with this choice's chance."""


def _choices(
    posterior: Posterior, explanation: Explanation, by_parts: Mapping[frozenset[str], Explanation], beliefs: Beliefs
) -> list[_Choice]:
    """Every choice of which of a set's parts are hidden."""
    found = []
    hide, show = float(np.log(beliefs.masked_chance)), float(np.log1p(-beliefs.masked_chance))
    for count in range(len(explanation.parts) + 1):
        for hidden in combinations(explanation.parts, count):
            shown = by_parts.get(frozenset(explanation.parts) - frozenset(hidden))
            if shown is None:  # a smaller set that was too far behind to be kept says nothing here
                continue
            chance = count * hide + (len(explanation.parts) - count) * show
            found.append((shown, shown.log_weight - posterior.prior.log_weight(shown.parts) + chance))
    return found


def _mixed(
    posterior: Posterior, explanation: Explanation, log_weight: float, choices: list[_Choice], total: float
) -> Explanation:
    """One set with its joint states over all choices."""
    choices = [(shown, log) for shown, log in choices if log >= total - _COUNTS]
    total = float(log_sum_exp(np.array([log for _, log in choices])))
    states = [_states(posterior, explanation, shown) for shown, _ in choices]
    return replace(
        explanation,
        log_weight=log_weight,
        places=np.concatenate([places for places, _ in states]),
        weights=np.concatenate([np.exp(log - total) * w for (_, w), (_, log) in zip(states, choices, strict=True)]),
    )


def _states(posterior: Posterior, explanation: Explanation, shown: Explanation) -> tuple[Places, Array]:
    """Joint states where only `shown` of a set's parts show: those weighed by readings, hidden ones as before."""
    if len(shown.parts) == len(explanation.parts):
        return explanation.places, explanation.weights
    hidden = [part for part in explanation.parts if part not in shown.parts]
    rows = shown.leading_places(_FEW if len(explanation.parts) > 1 else 1)
    places, weights = shown.places[rows], shown.weights[rows]
    for part in hidden:
        prior = posterior.states[part].weight
        states = np.arange(len(prior)) if len(explanation.parts) < 3 else np.argsort(-prior)[:_FEW]
        places = np.concatenate(
            [np.repeat(places, len(states), axis=0), np.tile(states[:, None], (len(places), 1))], axis=1
        )
        weights = np.multiply.outer(weights, prior[states]).ravel()
    order = [(*shown.parts, *hidden).index(part) for part in explanation.parts]
    return places[:, order].astype(np.intp), weights / weights.sum()
