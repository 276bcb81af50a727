"""How each observation moved each part: its chance with everything, and without this one reading."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.views import PartView, Places, corrections, doubted
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
    log_without = log_with[:, None] + _lost([explanation for explanation, _ in leading], posterior, readings)
    found = {}
    for part in parts:
        has = np.array([part in explanation.parts for explanation, _ in leading])
        change = _log_odds(log_with[:, None], has) - _log_odds(log_without, has)
        order = np.argsort(-np.abs(change), kind="stable")
        found[part] = tuple(Moved(readings.clues[k], float(change[k])) for k in order)
    return found


def _telling(posterior: Posterior, parts: Sequence[str]) -> list[tuple[Explanation, float]]:
    """The leading sets, and those with and without each part: odds need both."""
    ranked = posterior.leading()
    chosen = set(range(min(_SETS, len(ranked))))
    for part in parts:
        for wanted in (True, False):
            having = (n for n, (explanation, _) in enumerate(ranked) if (part in explanation.parts) is wanted)
            chosen |= set(islice(having, _OF_PART))
    return [ranked[n] for n in sorted(chosen)]


def _lost(explanations: Sequence[Explanation], posterior: Posterior, readings: ReadingSet) -> Array:
    """Log (e, k) of the mean over each set's leading states of one over each reading's likelihood.

    Sets of as many parts are worked out together, reading by reading; where nothing is worn nothing is lost.
    """
    lost, rows = np.zeros((len(explanations), len(readings.clues))), _Rows.of(posterior.views)
    for size in sorted({len(explanation.parts) for explanation in explanations} - {0}):
        numbers = [n for n, explanation in enumerate(explanations) if len(explanation.parts) == size]
        sets = [_Set.of(explanations[n]) for n in numbers]
        first = np.cumsum([0, *(len(each.weights) for each in sets)])[:-1]
        with np.errstate(divide="ignore"):
            log_weights = np.log(np.concatenate([each.weights for each in sets]))
        lost[numbers] = _segment_log_sums(log_weights[:, None] - rows.gains(sets, readings), first)
    return lost


@dataclass(frozen=True)
class _Set:
    """A set of worn parts with the joint states (n, parts) that carry what it says, and their weights (n,), sum 1."""

    parts: tuple[str, ...]
    places: Places
    weights: Array

    @staticmethod
    def of(explanation: Explanation) -> _Set:
        rows = explanation.leading_places(_STATES)
        weights = explanation.weights[rows]
        return _Set(explanation.parts, explanation.places[rows], weights / weights.sum())


@dataclass(frozen=True)
class _Rows:
    """All parts' states one below the other: `first` the row of each part's first, `views` as of one part."""

    first: Mapping[str, int]
    views: Mapping[str, PartView]
    gain: Array
    shown: Array
    change: Array
    square: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(views: Mapping[str, PartView]) -> _Rows:
        every = list(views.values())
        counts = [len(view.gain) for view in every]
        return _Rows(
            dict(zip(views, np.cumsum([0, *counts]).tolist(), strict=False)),
            views,
            np.concatenate([view.gain for view in every]),
            np.concatenate([view.shown for view in every]),
            np.concatenate([view.change for view in every]),
            np.concatenate([view.cell for view in every]) ** 2,
            np.repeat([view.moves for view in every], counts, axis=0),
        )

    def gains(self, sets: Sequence[_Set], readings: ReadingSet) -> Array:
        """As `views.gain_together` (n, k), of sets of as many parts, one set's joint states below another's."""
        own = np.concatenate([each.places + [self.first[part] for part in each.parts] for each in sets])
        total = self.gain[own].sum(axis=1)
        moving = np.array([sum(self.views[part].moves.astype(int) for part in each.parts) for each in sets])
        shared = (moving >= 2) | np.array([readings.beside(each.parts) for each in sets])
        meets = np.repeat(shared, [len(each.weights) for each in sets], axis=0)
        beyond = self._beyond(sets, shared, readings)
        for k in np.flatnonzero(shared.any(axis=0)):
            at = np.flatnonzero(meets[:, k])
            of = own[at]
            change, cell = self.change[of, k].sum(axis=1) + beyond[at, k], np.sqrt(self.square[of, k].sum(axis=1))
            best = np.where(self.moves[of, k], self.gain[of, k], -np.inf).max(axis=1)
            doubt = total[at, k] - self.shown[of, k].sum(axis=1)
            total[at, k] = doubted(readings.gain_at(int(k), change, cell), doubt, best)
        return np.asarray(total)

    def _beyond(self, sets: Sequence[_Set], shared: NDArray[np.bool_], readings: ReadingSet) -> Array:
        """What the pairs of each set show beyond the sum (n, k, 2) [mm], at readings that more than one part moves."""
        ends = np.cumsum([len(each.weights) for each in sets])
        beyond = np.zeros((ends[-1], shared.shape[1], 2))
        for each, columns, end in zip(sets, shared, ends.tolist(), strict=True):
            if readings.interact(each.parts):
                found = corrections(each.parts, each.places, readings, np.flatnonzero(columns))
                beyond[end - len(each.weights) : end, columns] = found
        return beyond


def _segment_log_sums(logs: Array, first: NDArray[np.intp]) -> Array:
    """log Σ exp(logs) (e, k) over runs of rows (n, k) that begin at `first`."""
    largest = np.maximum.reduceat(logs, first, axis=0)
    shift = np.where(np.isfinite(largest), largest, 0.0)
    counts = np.diff([*first.tolist(), len(logs)])
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.add.reduceat(np.exp(logs - np.repeat(shift, counts, axis=0)), first)) + shift)


def _log_odds(log_weights: Array, has: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Array:
    """Log odds (k,) that a part is in the set, within bounds that stand for certain."""
    with_part = log_sum_exp(log_weights[has], axis=0) if has.any() else np.full(log_weights.shape[1], -np.inf)
    without = log_sum_exp(log_weights[~has], axis=0) if not has.all() else np.full(log_weights.shape[1], -np.inf)
    return np.asarray(np.clip(with_part - without, -20.0, 20.0))
