"""What readings say of several worn parts together, in many joint states of many sets at once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import Numbers, StateRows, max_of, ranges, sum_of
from looseends.diagnosis.inference.views import AllViews, doubted
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class JointStates:
    """Joint states (n) of some sets of worn parts (s), set after set.

    `parts` (s, m) numbers of each set's parts; `rows` (n, m) row of each part's state; `first` (s + 1,) where each
    set's joint states begin; `columns` (s, k) the readings that are summed. `cells`: so many times as wide a severity
    cell does each part's state stand for, where it stands for its neighbors too.
    """

    parts: Numbers
    rows: Numbers
    first: Numbers
    columns: NDArray[np.bool_]
    cells: float = 1.0

    def of_set(self, number: int) -> slice:
        """Joint states of one set."""
        return slice(int(self.first[number]), int(self.first[number + 1]))

    def only(self, wanted: NDArray[np.bool_], columns: NDArray[np.bool_]) -> JointStates:
        """Some of the joint states (n,), and of each set's readings those among `columns` (k,)."""
        if wanted.all():
            return replace(self, columns=self.columns & columns)
        kept = np.concatenate([[0], np.cumsum(wanted)])[self.first]
        return JointStates(
            self.parts, self.rows.take(np.flatnonzero(wanted), axis=0), kept, self.columns & columns, self.cells
        )

    def keys(self, rows: StateRows) -> NDArray[np.int64]:
        """One number (n,) for each joint state; the last part of a set may be another than the rest, as in growth."""
        key = np.zeros(len(self.rows), dtype=np.int64)
        others = self.rows[:, :-1]
        if (np.diff(self.parts[:, :-1], axis=1) < 0).any():  # rows rise with the numbers of their parts
            others = np.sort(others, axis=1)
        for member in (*others.T, self.rows[:, -1]):
            key = key * len(rows.owner) + member
        return key


@dataclass
class KnownSums:
    """Sums of gains as far as they were taken before: of joint states by rising `keys`, over readings `told`.

    Keys are asked for in rising order too: so a search of many goes through memory once.
    """

    told: frozenset[object] = frozenset()
    keys: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    sums: Array = field(default_factory=lambda: np.zeros(0))

    def found(self, keys: NDArray[np.int64]) -> tuple[NDArray[np.bool_], Array]:
        """Which joint states are known, and their sums; 0 where they are not."""
        if not self.keys.size:
            return np.zeros(len(keys), dtype=bool), np.zeros(len(keys))
        at = np.minimum(self.keys.searchsorted(keys), len(self.keys) - 1)
        known = self.keys[at] == keys
        return known, np.where(known, self.sums[at], 0.0)

    def keep(self, told: frozenset[object], keys: NDArray[np.int64], sums: Array) -> None:
        """Keep these, and nothing else."""
        self.told, self.keys, self.sums = told, keys, sums


@dataclass
class KnownPairs:
    """Of pairs: their joint states each by itself, and neighbors taken together."""

    each: KnownSums = field(default_factory=KnownSums)
    rough: KnownSums = field(default_factory=KnownSums)


def summed_gains(joint: JointStates, views: AllViews, readings: ReadingSet, known: KnownSums) -> Array:
    """Sum (n,) of the gains of each joint state over its set's readings, over the sound vehicle's.

    Joint states that `known` holds are only laid against readings that are new since, the others against all. What is
    known of a reading that is no longer there is of no use. Afterwards `known` holds just these.
    """
    keys, told = joint.keys(views.rows), frozenset(readings.keys)
    if not known.told <= told:
        known = _forgotten(known)
    order = keys.argsort()
    keys = keys[order]
    is_known, sums = np.empty(len(keys), dtype=bool), np.empty(len(keys))
    is_known[order], sums[order] = known.found(keys)
    new = np.array([key not in known.told for key in readings.keys], dtype=bool)
    if not is_known.all():
        sums[~is_known] = plain_sums(joint.only(~is_known, np.ones_like(new)), views, readings)
    if new.any() and is_known.any():
        sums[is_known] += plain_sums(joint.only(is_known, new), views, readings)
    known.keep(told, keys, sums[order])
    return sums


def all_gains(joint: JointStates, views: AllViews, readings: ReadingSet, known: KnownSums) -> Array:
    """Sum (n,) of the gains of each joint state over all readings; `columns` are those that more than one part moves.

    As `many_sets.gains_of` gives them reading by reading.
    """
    total = summed_gains(joint, views, readings, known)
    # What each state says in a set (r, s) by itself, and adds by its doubt at what the set's parts move together.
    alone = views.gain.sum(axis=1)[:, None] - views.shown @ joint.columns.T
    owner = np.repeat(np.arange(len(joint.parts)), np.diff(joint.first))
    for member in joint.rows.T:
        total += alone.take(member * alone.shape[1] + owner)
    return total


def _forgotten(known: KnownSums) -> KnownSums:
    known.keep(frozenset(), np.zeros(0, dtype=np.int64), np.zeros(0))
    return known


def plain_sums(joint: JointStates, views: AllViews, readings: ReadingSet) -> Array:
    """As `summed_gains`, all anew: reading by reading, over every set that it counts for."""
    sums: Array = np.zeros(len(joint.rows))
    counted = np.flatnonzero(joint.columns.any(axis=0)).tolist()
    if not counted:
        return sums
    beyond, counts = _beyond(joint, views, readings), np.diff(joint.first)
    for k in counted:
        sets = np.flatnonzero(joint.columns[:, k] & (counts > 0))
        if not sets.size:
            continue
        at = ranges(joint.first[sets], counts[sets])
        of_reading = joint.rows.take(at, axis=0)
        change, square = views.added(k, of_reading)
        start = dict(zip(sets.tolist(), (np.cumsum(counts[sets]) - counts[sets]).tolist(), strict=True))
        for number, more in beyond[k]:
            change[start[number] : start[number] + len(more)] += more
        cell = joint.cells * np.sqrt(square)
        sums[at] += _without_doubt(readings.gain_at(k, change, cell), views, k, of_reading)
    return sums


def _without_doubt(together: Array, views: AllViews, number: int, rows: Numbers) -> Array:
    """What joint states (n, m) say together, such that it is right once each part's own doubt is added."""
    column = views.columns[number]
    moving = np.where(column.moves[views.rows.owner], column.gain, -np.inf)
    doubt, best = sum_of(column.gain - column.shown, rows), max_of(moving, rows)
    return np.asarray(doubted(together, doubt, best) - doubt)


def _beyond(joint: JointStates, views: AllViews, readings: ReadingSet) -> list[list[tuple[int, Array]]]:
    """By reading, the sets in which pairs show something beyond the sum (n, 2) [mm] in their joint states."""
    found: list[list[tuple[int, Array]]] = [[] for _ in readings.clues]
    rows, counts = views.rows, np.diff(joint.first)
    for i, j in combinations(range(joint.parts.shape[1]), 2):
        met = views.interact[joint.parts[:, i], joint.parts[:, j]] & joint.columns
        for number in np.flatnonzero(met.any(axis=1) & (counts > 0)).tolist():
            own, first, second = joint.of_set(number), joint.parts[number, i], joint.parts[number, j]
            for at, watches, correction in readings.interactions(rows.names[first], rows.names[second]):
                counted = joint.columns[number, at]
                if counted.any():
                    shown = correction.of_places(
                        joint.rows[own, i] - rows.first[first], joint.rows[own, j] - rows.first[second]
                    )
                    for k, watch in zip(at[counted].tolist(), watches[counted].tolist(), strict=True):
                        found[k].append((number, shown[:, watch]))
    return found
