"""What every reading says of many sets of worn parts, each in its own joint states, worked out together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Explanation
from looseends.diagnosis.inference.readings import Columns, ReadingSet
from looseends.diagnosis.inference.rows import Numbers, max_of, sum_of
from looseends.diagnosis.inference.views import PartView, Places, corrections, doubted
from looseends.diagnosis.logs import log_sum_exp
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


def gains_of(
    sets: Sequence[SetStates],
    views: Mapping[str, PartView],
    readings: ReadingSet,
    columns: Columns | None = None,
) -> list[Array]:
    """Gain (n, k) of the log likelihood of every reading in the joint states of each set, over the sound vehicle's.

    Where only one of a set's parts moves a reading it is that part's own. Where several do, or two do together though
    one of them alone does not, it is that of all changes together at their mean shares, and what each part's doubt
    about its share adds alone (`views.doubted`). Sets of as many parts are worked out together, reading by reading.
    Of the readings of some `columns` (k,) alone, if said.
    """
    columns = np.arange(len(readings.clues)) if columns is None else columns
    found = [np.zeros((len(each.places), len(columns))) for each in sets]
    rows = _Rows.of({part: views[part] for each in sets for part in each.parts}, columns)
    for size in sorted({len(each.parts) for each in sets} - {0}):
        numbers = [n for n, each in enumerate(sets) if len(each.parts) == size]
        alike = [sets[n] for n in numbers]
        gains = rows.gains(alike, _shared(alike, views, readings)[:, columns], readings)
        ends = np.cumsum([len(each.places) for each in alike])
        for n, own in zip(numbers, np.split(gains, ends[:-1]), strict=True):
            found[n] = own
    return found


def log_lost(sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet) -> Array:
    """Log (e, k) of the mean over each set's joint states of one over each reading's likelihood.

    By so much the log weight of a set grows without a reading.
    """
    lost = np.zeros((len(sets), len(readings.clues)))
    for part, (numbers, weights) in _by_part(sets, views).items():
        moved = np.flatnonzero(views[part].moves)
        lost[numbers[:, None], moved] = np.log(weights @ np.exp(-views[part].gain[:, moved]))
    for n, columns, gains in _where_shared(sets, views, readings):
        with np.errstate(divide="ignore"):
            lost[n, columns] = log_sum_exp(np.log(sets[n].weights)[:, None] - gains, axis=0)
    return lost


def mean_gains(sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet) -> Array:
    """Mean gain (e, k) of every reading over each set's joint states."""
    mean = np.zeros((len(sets), len(readings.clues)))
    for part, (numbers, weights) in _by_part(sets, views).items():
        mean[numbers] += weights @ views[part].gain
    for n, columns, gains in _where_shared(sets, views, readings):
        mean[n, columns] = sets[n].weights @ gains
    return mean


def _by_part(sets: Sequence[SetStates], views: Mapping[str, PartView]) -> dict[str, tuple[Numbers, Array]]:
    """Of each part that moves a reading the sets (m,) that have it, and the weights (m, s) of its states there.

    A reading that only one of a set's parts moves is judged by that part's states, whatever the others are in.
    """
    having: dict[str, list[tuple[int, int]]] = {}
    for number, each in enumerate(sets):
        for column, part in enumerate(each.parts):
            if views[part].moves.any():
                having.setdefault(part, []).append((number, column))
    found = {}
    for part, own in having.items():
        count = len(views[part].gain)
        rows = np.concatenate([sets[n].places[:, column] + m * count for m, (n, column) in enumerate(own)])
        weights = np.bincount(rows, np.concatenate([sets[n].weights for n, _ in own]), len(own) * count)
        found[part] = np.array([n for n, _ in own]), weights.reshape(len(own), count).astype(float)
    return found


def _shared(sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet) -> NDArray[np.bool_]:
    """Readings (e, k) that several of a set's parts move, or two do together though one of them alone does not."""
    found = np.zeros((len(sets), len(readings.clues)), dtype=bool)
    for own, each in zip(found, sets, strict=True):
        if len(each.parts) > 1:
            own[:] = sum(views[part].moves.astype(int) for part in each.parts) > 1
            own |= readings.beside(each.parts)
    return found


def _where_shared(
    sets: Sequence[SetStates], views: Mapping[str, PartView], readings: ReadingSet
) -> Iterator[tuple[int, Columns, Array]]:
    """Each set of which several parts move readings, these readings (c,), and their gains (n, c) in its states."""
    shared = _shared(sets, views, readings)
    numbers, columns = np.flatnonzero(shared.any(axis=1)).tolist(), np.flatnonzero(shared.any(axis=0))
    each = gains_of([sets[n] for n in numbers], views, readings, columns)
    for n, gains in zip(numbers, each, strict=True):
        own = shared[n, columns]
        yield n, columns[own], gains[:, own]


@dataclass(frozen=True)
class _Rows:
    """All parts' states one below the other, at some readings: `first` the row of each part's first.

    The others are as a `PartView` has them of one part, `square` its cells squared.
    """

    columns: Columns
    first: Mapping[str, int]
    gain: Array
    shown: Array
    change: Array
    square: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(views: Mapping[str, PartView], columns: Columns) -> _Rows:
        every = list(views.values())
        if not every:
            none = np.zeros(0)
            return _Rows(columns, {}, none, none, none, none, none.astype(bool))
        if len(columns) < len(every[0].moves):
            every = [_at(view, columns) for view in every]
        counts = [len(view.gain) for view in every]
        return _Rows(
            columns,
            dict(zip(views, np.cumsum([0, *counts]).tolist(), strict=False)),
            np.concatenate([view.gain for view in every]),
            np.concatenate([view.shown for view in every]),
            np.concatenate([view.change for view in every]),
            np.concatenate([view.cell for view in every]) ** 2,
            np.repeat([view.moves for view in every], counts, axis=0),
        )

    def gains(self, sets: Sequence[SetStates], shared: NDArray[np.bool_], readings: ReadingSet) -> Array:
        """As `gains_of` (n, k), of sets of as many parts, one set's joint states below another's.

        `shared` (e, k) as `_shared` has it.
        """
        own = np.concatenate([each.places + [self.first[part] for part in each.parts] for each in sets])
        total = sum_of(self.gain, own)
        meets = np.repeat(shared, [len(each.places) for each in sets], axis=0)
        beyond = self._beyond(sets, shared, readings)
        for k in np.flatnonzero(shared.any(axis=0)):
            at = np.flatnonzero(meets[:, k])
            of = own[at]
            change, square = sum_of(self.change[:, k], of) + beyond[at, k], sum_of(self.square[:, k], of)
            best = max_of(np.where(self.moves[:, k], self.gain[:, k], -np.inf), of)
            doubt, cell = total[at, k] - sum_of(self.shown[:, k], of), np.sqrt(square)
            total[at, k] = doubted(readings.gain_at(int(self.columns[k]), change, cell), doubt, best)
        return np.asarray(total)

    def _beyond(self, sets: Sequence[SetStates], shared: NDArray[np.bool_], readings: ReadingSet) -> Array:
        """What the pairs of each set show beyond the sum (n, k, 2) [mm], at readings that more than one part moves."""
        ends = np.cumsum([len(each.places) for each in sets])
        beyond = np.zeros((ends[-1], shared.shape[1], 2))
        for each, columns, end in zip(sets, shared, ends.tolist(), strict=True):
            if readings.interact(each.parts):
                found = corrections(each.parts, each.places, readings, self.columns[columns])
                beyond[end - len(each.places) : end, columns] = found
        return beyond


def _at(view: PartView, columns: Columns) -> PartView:
    """A part's view of some readings."""
    at = slice(None), columns
    return PartView(view.gain[at], view.shown[at], view.change[at], view.cell[at], view.moves[columns])
