"""Where two worn parts together show something else than the sum of both alone: corrections on a grid of clearances."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.tables.superposed import Superposed
from looseends.diagnosis.tables.table import MOVES, PairCorrection
from looseends.mechanics.bodies import Array

_COUNTS, _COUNTS_SHARE = 0.05, 0.02
"""Two parts interact where both together show something else than the sum by this [mm], and by this share of what the
sound vehicle moves there in all: a gauge that is set up anew, and the judging of a dead zone, are off by more."""

_DOUBT = 0.1
"""A guess is solved where it lacks this share of what counts, since an answer may lie ten times as far off."""

_OF_ITSELF = 0.02
"""Where this share [1] of a correction is more than what counts, so much may be lacking instead."""


def tabulate_pairs(
    solver: Solver, states: Sequence[PartStates], singles: Mapping[str, Array]
) -> dict[tuple[str, str], PairCorrection]:
    """Corrections of all pairs that interact; `singles` part id -> change (s, k, 2), missing where there is none.

    Where the sum of both parts' answers is itself an answer, they do not interact (`superposed`). The others are solved
    at some crossings of clearances; between these, answers are drawn straight, and solved where that is no answer.
    """
    index = {s.part.id: s.index for s in states}
    grids: dict[tuple[str, str], dict[tuple[int, int], Array]] = {}
    for number in range(len(solver.prepared.strokes)):
        at = solver.stroke_of == number
        stroke = _Stroke(
            Superposed(solver, number),
            np.maximum(_COUNTS, _COUNTS_SHARE * solver.sound[at, 0]),
            {part: change[:, at] for part, change in singles.items()},
        )
        for first, others in _suspects(stroke, states):
            for grid in _corrected(stroke, first, others):
                of_pair = grids.setdefault((first.part.id, grid.second.states.part.id), {})
                axes = grid.first.axis, grid.second.axis
                whole = of_pair.setdefault(axes, np.zeros((*grid.correction.shape[:2], len(at), 2)))
                whole[:, :, at] = grid.correction
    return {(a, b): PairCorrection(of_pair, index[a], index[b]) for (a, b), of_pair in grids.items()}


def shown_beside(
    pairs: Mapping[tuple[str, str], PairCorrection], singles: Mapping[str, Array], spread: Array
) -> dict[tuple[str, str], NDArray[np.intp]]:
    """Watches at which two parts together show more than vehicles differ by, though one of them alone shows nothing.

    Two links of one side hold an axle each for itself: only with both worn does its wheel go fore and aft. `spread`
    (k, 2) [mm] of a sound vehicle.
    """
    least = np.maximum(spread, _COUNTS)
    moves = {part: np.max(np.abs(change), axis=(0, 2)) >= MOVES for part, change in singles.items()}
    nothing = np.zeros(len(spread), dtype=bool)
    found = {}
    for (first, second), pair in pairs.items():
        beyond = np.max([np.max(np.abs(grid), axis=(0, 1)) for grid in pair.grids.values()], axis=0)
        both = moves.get(first, nothing) & moves.get(second, nothing)
        watches = np.flatnonzero(np.any(beyond > least, axis=1) & ~both)
        if watches.size:
            found[first, second] = watches
    return found


@dataclass(frozen=True)
class _Stroke:
    """One stroke, what counts at each of its watches (k,) [mm], and the single parts' changes (s, k, 2) there."""

    sums: Superposed
    counts: Array
    singles: Mapping[str, Array]

    def doubtful(self, change: Array, wider: Array, correction: Array | float = 0.0) -> NDArray[np.bool_]:
        """Which of n guesses must be solved; `correction` (n, k, 2) [mm] is what they say of their pairs."""
        counts = self.counts[:, None]
        lack = self.sums.lack(change, wider) / np.maximum(counts, _OF_ITSELF / _DOUBT * np.abs(correction))
        return np.asarray(np.max(lack, axis=(1, 2)) > _DOUBT)


class _Axis:
    """One part with one axis worn and no other: `numbers` of its n states by rising clearance, and what they show."""

    def __init__(self, stroke: _Stroke, states: PartStates, axis: int) -> None:
        self.states, self.axis, self.numbers = states, axis, _alone(states, axis)
        self.change, self.wider = stroke.sums.alone(states, self.numbers.tolist())
        alone = stroke.singles.get(states.part.id)
        self.shown = np.zeros((len(self.numbers), len(stroke.counts), 2)) if alone is None else alone[self.numbers]
        self.some = _some(len(self.numbers))
        knots = np.concatenate([[0.0], states.knots[axis]])
        self.straight = _interpolation(knots, knots[[0, *(self.some + 1)]])


@dataclass
class _Grid:
    """Two axes; `correction` (n + 1, m + 1, k, 2) over sound and their states, as far as it is known.

    `beyond`: what the answers are beyond the sums of both, over sound and the some states of each.
    """

    first: _Axis
    second: _Axis
    correction: Array
    beyond: Array = field(default_factory=lambda: np.zeros(0))

    def sums(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> tuple[Array, Array]:
        """Change and semi-axes (n, ...) with both worn, in so many pairs of states, as the sums of both say."""
        a, b = self.first, self.second
        return a.change[rows] + b.change[columns], a.wider[rows] + b.wider[columns]

    def drawn_beyond(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Array:
        """What answers are beyond the sums (n, 2, 4, p), drawn straight between those that are known."""
        if not self.beyond.size:
            return np.zeros_like(self.first.change[rows])
        weights = self.first.straight[rows + 1, :, None] * self.second.straight[columns + 1, None, :]
        return np.asarray(np.tensordot(weights, self.beyond, axes=2))


def _suspects(stroke: _Stroke, states: Sequence[PartStates]) -> Iterator[tuple[PartStates, list[PartStates]]]:
    """Each part, and the later ones for which the sum of both is in doubt, in the middle or at their largest."""
    trials = [stroke.sums.alone(s, (s.middle, len(s.weight) - 1)) for s in states]
    change, wider = (np.stack(found) for found in zip(*trials, strict=True))
    a, b = np.triu_indices(len(states), 1)
    doubtful = np.zeros(len(a), dtype=bool)
    for trial in (0, 1):
        doubtful |= stroke.doubtful(change[a, trial] + change[b, trial], wider[a, trial] + wider[b, trial])
    for first in range(len(states)):
        yield states[first], [states[other] for other in b[doubtful & (a == first)]]


def _corrected(stroke: _Stroke, first: PartStates, others: Sequence[PartStates]) -> list[_Grid]:
    """Corrections of one part with each of some others, on every two axes; without those too small to count."""
    rows = [_Axis(stroke, first, axis) for axis in range(len(first.axes))] if others else []
    columns = [_Axis(stroke, other, axis) for other in others for axis in range(len(other.axes))]
    grids = [_Grid(a, b, _nothing(a, b, stroke)) for a, b in product(rows, columns)]
    some = [_crossed(grid.first.some, grid.second.some) for grid in grids]
    for grid, where, beyond in _solved(stroke, grids, some):
        known = np.zeros((len(grid.first.numbers) + 1, len(grid.second.numbers) + 1, *beyond.shape[1:]))
        known[where[0] + 1, where[1] + 1] = beyond
        grid.beyond = known[np.ix_([0, *(grid.first.some + 1)], [0, *(grid.second.some + 1)])]
    grids = [grid for grid in grids if np.any(np.abs(grid.correction) > stroke.counts[:, None])]
    for grid in grids:
        known = grid.correction[np.ix_([0, *(grid.first.some + 1)], [0, *(grid.second.some + 1)])]
        grid.correction = np.einsum("ir,jc,rckm->ijkm", grid.first.straight, grid.second.straight, known)
    _solved(stroke, grids, [_between(grid) for grid in grids])
    return grids


_Where = tuple[NDArray[np.intp], NDArray[np.intp]]
"""Pairs of states: places among the first axis's and among the second's."""


def _solved(stroke: _Stroke, grids: Sequence[_Grid], where: Sequence[_Where]) -> list[tuple[_Grid, _Where, Array]]:
    """Solve the doubtful ones of some pairs of states of each grid, and enter their corrections.

    Returns the grids with any, which pairs they are, and what their answers are beyond the sums (n, 2, 4, p).
    """
    if not grids:
        return []
    sums = [grid.sums(*pairs) for grid, pairs in zip(grids, where, strict=True)]
    change, wider = (np.concatenate(found) for found in zip(*sums, strict=True))
    guess = change + np.concatenate([grid.drawn_beyond(*pairs) for grid, pairs in zip(grids, where, strict=True)])
    entered = [grid.correction[i + 1, j + 1] for grid, (i, j) in zip(grids, where, strict=True)]
    doubtful = stroke.doubtful(guess, wider, np.concatenate(entered))
    if not np.any(doubtful):
        return []
    owner = np.repeat(np.arange(len(grids)), [len(rows) for rows, _ in where])[doubtful]
    rows, columns = (np.concatenate(found)[doubtful] for found in zip(*where, strict=True))
    worn = [_worn(grids[k], i, j) for k, i, j in zip(owner, rows, columns, strict=True)]
    answers, moved = stroke.sums.solved(worn, guess[doubtful])
    beyond, found = answers - change[doubtful], []
    for k in np.unique(owner):
        grid, own = grids[k], owner == k
        i, j = rows[own], columns[own]
        grid.correction[i + 1, j + 1] = moved[own] - grid.first.shown[i] - grid.second.shown[j]
        found.append((grid, (i, j), beyond[own]))
    return found


def _worn(grid: _Grid, row: int, column: int) -> dict[tuple[str, Axis], float]:
    a, b = grid.first, grid.second
    return {**a.states.worn(int(a.numbers[row])), **b.states.worn(int(b.numbers[column]))}


def _nothing(a: _Axis, b: _Axis, stroke: _Stroke) -> Array:
    return np.zeros((len(a.numbers) + 1, len(b.numbers) + 1, len(stroke.counts), 2))


def _between(grid: _Grid) -> _Where:
    """All pairs of states but those of some with some."""
    rest = np.ones((len(grid.first.numbers), len(grid.second.numbers)), dtype=bool)
    rest[np.ix_(grid.first.some, grid.second.some)] = False
    rows, columns = np.nonzero(rest)
    return rows, columns


def _crossed(rows: NDArray[np.intp], columns: NDArray[np.intp]) -> _Where:
    """Every crossing of some rows with some columns."""
    first, second = np.meshgrid(rows, columns, indexing="ij")
    return first.ravel(), second.ravel()


def _some(count: int) -> NDArray[np.intp]:
    """Places of states that are solved first: a small one, the middle and the largest."""
    return np.unique([min(1, count - 1), count // 2, count - 1])


def _interpolation(at: Array, knots: Array) -> Array:
    """Weights (n, m) that interpolate values at knots (m,) straight to places (n,) between them."""
    return np.asarray(np.array([np.interp(at, knots, row) for row in np.eye(len(knots))]).T)


def _alone(states: PartStates, axis: int) -> NDArray[np.intp]:
    """States in which only this axis is worn, by rising clearance."""
    others = [a for a in range(len(states.axes)) if a != axis]
    alone = np.flatnonzero(np.all(states.index[:, others] < 0, axis=1) & (states.index[:, axis] >= 0))
    return np.asarray(alone[np.argsort(states.index[alone, axis])])
