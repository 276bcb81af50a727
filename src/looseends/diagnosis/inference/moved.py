"""How each observation moved each part: its chance with everything, and without this one reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.many_sets import SetStates, log_lost
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.evidence import Clue
from looseends.mechanics.bodies import Array

_STATES = 150
"""So many joint states of each set carry what it says."""

_SETS, _OF_PART = 60, 20
"""So many leading sets tell what a reading moved, and of each part so many with it and without it."""


@dataclass(frozen=True)
class Moved:
    """What one reading did to one part: log odds that it is worn with the reading, less those without it."""

    clue: Clue
    log_odds: float


def moved_by(posterior: Posterior, readings: ReadingSet, parts: Sequence[str]) -> dict[str, tuple[Moved, ...]]:
    """By part, the readings that moved its odds, the strongest first.

    Without a reading a set's weight is divided by the reading's mean likelihood over the states that the set is left
    in. It is an identity for independent readings and an estimate where they share errors.

    Source: Bayes' rule; the log odds are the weight of evidence of I. J. Good, Probability and the Weighing of
    Evidence, 1950 (from memory).
    """
    leading = _telling(posterior, parts)
    log_with = np.log(np.maximum([chance for _, chance in leading], 1e-300))
    sets = [SetStates.leading(explanation, _STATES) for explanation, _ in leading]
    log_without = log_with[:, None] + log_lost(sets, posterior.views, readings)
    found = {}
    for part in parts:
        has = np.array([part in explanation.parts for explanation, _ in leading])
        change = _log_odds(log_with[:, None], has) - _log_odds(log_without, has)
        order = np.argsort(-np.abs(change), kind="stable")
        found[part] = tuple(Moved(readings.clues[k], float(change[k])) for k in order)
    return found


def _telling(posterior: Posterior, parts: Sequence[str]) -> list[tuple[Explanation, float]]:
    """The leading sets, and those with and without each part: odds need both."""
    ranked, sets = posterior.order, posterior.sets.parts
    chosen = set(range(min(_SETS, len(ranked))))
    for part in parts:
        for wanted in (True, False):
            having = (n for n, number in enumerate(ranked) if (part in sets[number]) is wanted)
            chosen |= set(islice(having, _OF_PART))
    numbers = [ranked[n] for n in sorted(chosen)]
    return [(posterior.explanation(number), float(posterior.probabilities[number])) for number in numbers]


def _log_odds(log_weights: Array, has: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Array:
    """Log odds (k,) that a part is in the set, within bounds that stand for certain."""
    with_part = log_sum_exp(log_weights[has], axis=0) if has.any() else np.full(log_weights.shape[1], -np.inf)
    without = log_sum_exp(log_weights[~has], axis=0) if not has.all() else np.full(log_weights.shape[1], -np.inf)
    return np.asarray(np.clip(with_part - without, -20.0, 20.0))
