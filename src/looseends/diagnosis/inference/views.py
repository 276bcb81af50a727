"""How the states of one part change what every reading says, and what several worn parts say together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.readings import Columns, ReadingSet
from looseends.diagnosis.inference.rows import Numbers, StateRows, sum_of
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.tables.table import MOVES
from looseends.mechanics.bodies import Array

Places = NDArray[np.intp]
"""Numbers (n, parts) of the states that a set's parts are in, one row for each joint state."""


@dataclass(frozen=True)
class PartView:
    """How one part's states change the log likelihood of each reading, against the sound vehicle.

    `gain` (s, k), over the shares that vehicles show, and where a load may press the joint to one end; `shown`
    (s, k), at their mean; `change`, `cell` at their mean, (s, k, 2) [mm]; `moves` (k,) whether the part moves the
    reading at all.
    """

    gain: Array
    shown: Array
    change: Array
    cell: Array
    moves: NDArray[np.bool_]


@dataclass(frozen=True)
class ReadingColumn:
    """How one reading judges every state (r) of every part (p), as `PartView` says of all readings and one part.

    `gain`, `shown` (r,); `change`, `cell` (r, 2) [mm]; `moves` (p,).
    """

    gain: Array
    shown: Array
    change: Array
    cell: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(rows: StateRows, readings: ReadingSet, number: int) -> ReadingColumn:
        """One reading of a visit against all parts."""
        clue, count = readings.clues[number], len(rows.owner)
        moves = np.array([_largest(clue.change.get(name)) >= MOVES for name in rows.names], dtype=bool)
        nominal, typical, masked = np.zeros((count, 2)), np.ones((count, 2)), np.zeros(count)
        each: dict[int, list[tuple[slice, Array]]] = {}
        for part in np.flatnonzero(moves).tolist():
            name, own = rows.names[part], rows.of_part(part)
            nominal[own] = clue.change[name]
            shares = np.asarray(clue.shares(name))
            typical[own], masked[own] = shares.mean(axis=0), clue.masked_chance(name)
            if len(shares) > 1:
                each.setdefault(len(shares), []).append((own, shares))
        change, cell = typical * nominal, typical * rows.cell_width(nominal)
        at = np.flatnonzero(moves[rows.owner])
        shown, gain = np.zeros(count), np.zeros(count)
        shown[at] = readings.gain_at(number, change[at], cell[at])
        gain[at] = shown[at]
        for several in each.values():
            _fill_over_shares(gain, several, nominal, rows.cell_width(nominal), readings, number)
        pressed = readings.pressed_chance(number)
        if pressed:
            without_free = np.array([1.0, 0.0])
            gain_pressed = readings.gain_at(number, without_free * change[at], without_free * cell[at])
            gain[at] = np.logaddexp(np.log1p(-pressed) + gain[at], np.log(pressed) + gain_pressed)
        gain[at] = _with_masking(gain[at], masked[at])
        return ReadingColumn(gain, shown, change, cell, moves)


def _fill_over_shares(
    gain: Array, several: list[tuple[slice, Array]], nominal: Array, width: Array, readings: ReadingSet, number: int
) -> None:
    """Write the gain (r,) over the shares that vehicles show into the rows of some parts, equally many of each."""
    at = np.concatenate([np.arange(own.start, own.stop) for own, _ in several])
    shares = np.repeat([each for _, each in several], [own.stop - own.start for own, _ in several], axis=0)
    shares = shares.transpose(1, 0, 2)
    gain[at] = log_sum_exp(readings.gain_at(number, shares * nominal[at], shares * width[at]), axis=0)
    gain[at] -= np.log(len(shares))


@dataclass(frozen=True)
class AllViews:
    """How every state (r) of every part (p) changes what every reading (k) says: the columns side by side.

    `beside` (p, p, k): whether two parts together show something at a reading though one of them alone does not;
    `interact` (p, p, k): whether two parts may show more or less than the sum there.
    """

    rows: StateRows
    columns: tuple[ReadingColumn, ...]
    beside: NDArray[np.bool_]
    interact: NDArray[np.bool_]

    @staticmethod
    def of(rows: StateRows, readings: ReadingSet, known: dict[object, ReadingColumn] | None = None) -> AllViews:
        """All readings of a visit; columns that are known are not computed again, and just these readings' are kept."""
        known = {} if known is None else known
        found = {key: known.get(key) or ReadingColumn.of(rows, readings, k) for k, key in enumerate(readings.keys)}
        known.clear()
        known.update(found)
        columns, number = tuple(found[key] for key in readings.keys), rows.number
        return AllViews(rows, columns, readings.all_beside(number), readings.all_interacting(number))

    @cached_property
    def gain(self) -> Array:
        """Gain (r, k)."""
        return self._side_by_side([column.gain for column in self.columns])

    @cached_property
    def shown(self) -> Array:
        """Gain (r, k) at the parts' mean shares."""
        return self._side_by_side([column.shown for column in self.columns])

    @cached_property
    def moves(self) -> NDArray[np.bool_]:
        """Which part moves which reading (p, k)."""
        moves = [column.moves for column in self.columns]
        return np.array(moves, dtype=bool).reshape(len(moves), len(self.rows.states)).T

    def meet(self, first: Numbers, second: Numbers) -> NDArray[np.bool_]:
        """Readings (n, k) that two parts (n,) must be laid against together."""
        return np.asarray((self.moves[first] & self.moves[second]) | self.beside[first, second])

    def _side_by_side(self, columns: Sequence[Array]) -> Array:
        return np.array(columns).reshape(len(columns), len(self.rows.owner)).T.copy()

    def of_part(self, number: int) -> PartView:
        """The view of one part."""
        own, (change, square) = self.rows.of_part(number), self._moved_by
        return PartView(
            self.gain[own],
            self.shown[own],
            change[:, own].transpose(1, 0, 2),
            np.sqrt(square[:, own]).transpose(1, 0, 2),
            self.moves[number],
        )

    @cached_property
    def _moved_by(self) -> tuple[Array, Array]:
        """Change [mm] and square of the cell's width [mm^2] (k, r, 2)."""
        shape = (len(self.columns), len(self.rows.owner), 2)
        change = np.array([column.change for column in self.columns]).reshape(shape)
        return change, np.array([column.cell for column in self.columns]).reshape(shape) ** 2

    def added(self, number: int, rows: Numbers) -> tuple[Array, Array]:
        """Sum of the changes [mm] and of the cells' squares [mm^2] (n, 2) of one reading over joint states (n, m)."""
        change, square = (each[number] for each in self._moved_by)
        return sum_of(change, rows), sum_of(square, rows)

    def added_everywhere(self, rows: Numbers) -> tuple[Array, Array]:
        """The same of all readings (n, k, 2)."""
        change, square = (np.zeros((len(rows), *each.shape[::2])) for each in self._moved_by)
        for member in rows.T:
            for total, each in zip((change, square), self._moved_by, strict=True):
                total += each[:, member].transpose(1, 0, 2)
        return change, square

    @cached_property
    def gain_of_movers(self) -> Array:
        """Gain (r, k) where a state's part moves the reading, no gain at all elsewhere."""
        return np.where(self.moves[self.rows.owner], self.gain, -np.inf)


class PartViews(Mapping[str, PartView]):
    """The views of all parts, one by one: each cut out of `every` when it is first asked for."""

    def __init__(self, every: AllViews) -> None:
        self.every = every
        self._cut: dict[str, PartView] = {}

    def __iter__(self) -> Iterator[str]:
        return iter(self.every.rows.names)

    def __len__(self) -> int:
        return len(self.every.rows.names)

    def __getitem__(self, name: str) -> PartView:
        if name not in self._cut:
            part = self.every.rows.number[name]
            self._cut[name] = self.every.of_part(part)
        return self._cut[name]


def _largest(change: Array | None) -> float:
    return 0.0 if change is None else float(np.max(np.abs(change)))


def _with_masking(seen: Array, masked: Array) -> Array:
    """Gain where with the chance `masked` the part reads as sound."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.logaddexp(np.log1p(-masked) + seen, np.log(masked)))


def change_together(
    parts: Sequence[str], places: Places, views: Mapping[str, PartView], readings: ReadingSet, columns: Columns
) -> tuple[Array, Array]:
    """Change and width of the severity cell (n, c, 2) [mm] of some readings with several parts worn.

    Changes add up; each pair adds what it shows beyond the sum.
    """
    change = sum(views[part].change[places[:, i]][:, columns] for i, part in enumerate(parts))
    square = sum(views[part].cell[places[:, i]][:, columns] ** 2 for i, part in enumerate(parts))
    return np.asarray(change + corrections(parts, places, readings, columns)), np.sqrt(np.asarray(square))


def corrections(parts: Sequence[str], places: Places, readings: ReadingSet, columns: Columns) -> Array:
    """What the pairs of several worn parts show beyond the sum (n, c, 2) [mm], at some readings in their order."""
    beyond = np.zeros((len(places), len(columns), 2))
    column = np.full(len(readings.clues), -1)
    column[columns] = np.arange(len(columns))
    for i, first in enumerate(parts):
        for j in range(i + 1, len(parts)):
            for at, watches, correction in readings.interactions(first, parts[j]):
                kept = column[at] >= 0
                if kept.any():
                    shown = correction.of_places(places[:, i], places[:, j])
                    beyond[:, column[at[kept]]] += shown[:, watches[kept]]
    return beyond


def doubt_and_best(
    parts: Sequence[str], places: Places, views: Mapping[str, PartView], columns: Columns
) -> tuple[Array, Array]:
    """What several parts' doubts about their shares add alone, and the best gain of one of them (n, c)."""
    doubt, best = np.zeros((len(places), len(columns))), np.full((len(places), len(columns)), -np.inf)
    for part, states in zip(parts, places.T, strict=True):
        view = views[part]
        gain = view.gain[states][:, columns]
        doubt += gain - view.shown[states][:, columns]
        np.maximum(best, np.where(view.moves[columns], gain, -np.inf), out=best)
    return doubt, best


def doubted(together: Array, doubt: Array, best: Array) -> Array:
    """Gain of several parts `together` at their mean shares, with what each one's `doubt` about its share adds.

    The doubt says that a part may show less than its mean share. It explains a reading no better than the parts do
    together, or than the best of them does alone: what fits already is not made more likely by it.
    """
    return np.asarray(np.minimum(together + doubt, np.maximum(together, best)))


def grid(*states: NDArray[np.intp]) -> Places:
    """Every joint state (n, parts) of some states of each part."""
    joint = np.empty((*map(len, states), len(states)), dtype=np.intp)
    for n, own in enumerate(states):
        joint[..., n] = own.reshape(-1, *[1] * (len(states) - 1 - n))
    return joint.reshape(-1, len(states))
