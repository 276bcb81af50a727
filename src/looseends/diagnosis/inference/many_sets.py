"""What every reading says of many sets of worn parts, each in its own joint states, worked out together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Explanation
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import max_of, segment_log_sums, sum_of
from looseends.diagnosis.inference.views import PartView, Places, corrections, doubted
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class SetStates:
    """A set of worn parts in some joint states (n, parts), and their weights (n,), sum 1."""

    parts: tuple[str, ...]
    places: Places
    weights: Array

    @staticmethod
    def leading(explanation: Explanation, count: int) -> SetStates:
        """A set in so many of its most probable joint states."""
        rows = explanation.leading_places(count)
        weights = explanation.weights[rows]
        return SetStates(explanation.parts, explanation.places[rows], weights / weights.sum())


def gains_of(sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet) -> list[Array]:
    """Gain (n, k) of the log likelihood of every reading in the joint states of each set, over the sound vehicle's.

    Where only one of a set's parts moves a reading it is that part's own. Where several do, or two do together though
    one of them alone does not, it is that of all changes together at their mean shares, and what each part's doubt
    about its share adds alone (`views.doubted`). Sets of as many parts are worked out together, reading by reading.
    """
    found = [np.zeros((len(each.places), len(readings.clues))) for each in sets]
    rows = _Rows.of({part: views[part] for each in sets for part in each.parts})
    for size in sorted({len(each.parts) for each in sets} - {0}):
        numbers = [n for n, each in enumerate(sets) if len(each.parts) == size]
        gains = rows.gains([sets[n] for n in numbers], readings)
        ends = np.cumsum([len(sets[n].places) for n in numbers])
        for n, own in zip(numbers, np.split(gains, ends[:-1]), strict=True):
            found[n] = own
    return found


def log_lost(sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet) -> Array:
    """Log (e, k) of the mean over each set's joint states of one over each reading's likelihood.

    By so much the log weight of a set grows without a reading.
    """
    with np.errstate(divide="ignore"):
        log_weights = np.log(np.concatenate([each.weights for each in sets]))
    gains = np.concatenate(gains_of(sets, views, readings))
    return segment_log_sums(log_weights[:, None] - gains, np.cumsum([0, *(len(each.weights) for each in sets)]))


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
        if not every:
            none = np.zeros(0)
            return _Rows({}, views, none, none, none, none, none.astype(bool))
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

    def gains(self, sets: Sequence[SetStates], readings: ReadingSet) -> Array:
        """As `gains_of` (n, k), of sets of as many parts, one set's joint states below another's."""
        own = np.concatenate([each.places + [self.first[part] for part in each.parts] for each in sets])
        total = sum_of(self.gain, own)
        moving = np.array([sum(self.views[part].moves.astype(int) for part in each.parts) for each in sets])
        shared = (moving >= 2) | np.array([readings.beside(each.parts) for each in sets])
        meets = np.repeat(shared, [len(each.places) for each in sets], axis=0)
        beyond = self._beyond(sets, shared, readings)
        for k in np.flatnonzero(shared.any(axis=0)):
            at = np.flatnonzero(meets[:, k])
            of = own[at]
            change, square = sum_of(self.change[:, k], of) + beyond[at, k], sum_of(self.square[:, k], of)
            best = max_of(np.where(self.moves[:, k], self.gain[:, k], -np.inf), of)
            doubt, cell = total[at, k] - sum_of(self.shown[:, k], of), np.sqrt(square)
            total[at, k] = doubted(readings.gain_at(int(k), change, cell), doubt, best)
        return np.asarray(total)

    def _beyond(self, sets: Sequence[SetStates], shared: NDArray[np.bool_], readings: ReadingSet) -> Array:
        """What the pairs of each set show beyond the sum (n, k, 2) [mm], at readings that more than one part moves."""
        ends = np.cumsum([len(each.places) for each in sets])
        beyond = np.zeros((ends[-1], shared.shape[1], 2))
        for each, columns, end in zip(sets, shared, ends.tolist(), strict=True):
            if readings.interact(each.parts):
                found = corrections(each.parts, each.places, readings, np.flatnonzero(columns))
                beyond[end - len(each.places) : end, columns] = found
        return beyond
