"""Where two worn parts together show something else than the sum of both alone: corrections on a grid of clearances."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.solver import Solver
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.table import PairCorrection
from looseends.mechanics.bodies import Array

_COUNTS = 0.05
"""Two parts interact where both together show something else than the sum by this [mm]."""

_HINTS = 0.02
"""Two parts are looked at further where in the middle or at their largest they show something else by this [mm]."""

_STRONG = 0.1
"""A correction that reaches this [mm] is solved between the knots that stand for all, too."""

_STRAIGHT, _STRAIGHT_SHARE = 0.01, 0.02
"""A correction counts as straight between knots where it lies off by this [mm] and this share of itself at most."""

_SCREENED = 0.05
"""Two parts are solved together where the change of force at one by the other could move it by this [mm]."""


def tabulate_pairs(
    solver: Solver, states: Sequence[PartStates], singles: Mapping[str, Array]
) -> dict[tuple[str, str], PairCorrection]:
    """Corrections of all pairs that interact; `singles` part id -> change (s, k, 2), missing where there is none.

    The forces in the joints tell which may: where one part's wear leaves the force at another's joints as it was, the
    other goes the same way as alone. Only the others are solved, first in four states, then on the grid.
    """
    reach = _reach(solver, states)
    pairs = {}
    for a, b in combinations(range(len(states)), 2):
        strokes = set(np.flatnonzero(np.maximum(reach[a, b], reach[b, a]) > _SCREENED).tolist())
        grids = _grids(solver, states[a], states[b], singles, strokes) if strokes else {}
        if grids:
            pairs[states[a].part.id, states[b].part.id] = PairCorrection(grids, states[a].index, states[b].index)
    return pairs


def _reach(solver: Solver, states: Sequence[PartStates]) -> Array:
    """How far (parts, parts, strokes) [mm] a second part's largest clearance could move otherwise because of a first.

    A touching joint stands in the direction of its force: what turns the force turns it, and what takes the force away
    frees it.
    """
    sound = solver.joint_forces([{}])[0]
    trials = [s.worn(state) for s in states for state in _trials(s)]
    worn = solver.joint_forces(trials).reshape(len(states), -1, *sound.shape)
    reach = np.zeros((len(states), len(states), len(sound) // 2))
    for column, s in enumerate(states):
        joints = solver.unknowns_of(s.part)
        largest = max(float(knots[-1]) for knots in s.knots) / 2.0
        for unknowns in joints:
            change = np.linalg.norm((worn - sound)[..., unknowns], axis=-1)
            size = np.maximum(*(np.linalg.norm(forces[..., unknowns], axis=-1) for forces in (worn, sound)))
            share = np.minimum(change / np.maximum(size, 1.0), 2.0).max(axis=1)
            reach[:, column] = np.maximum(reach[:, column], largest * np.maximum(share[:, ::2], share[:, 1::2]))
    return reach


def _grids(
    solver: Solver, first: PartStates, second: PartStates, singles: Mapping[str, Array], strokes: set[int]
) -> dict[tuple[int, int], Array]:
    alike, crossed = _pairs_of_trials(first, second)
    seen = _corrections(solver, first, second, singles, alike, strokes)
    if float(np.max(np.abs(seen), initial=0.0)) < _HINTS:
        return {}
    seen = np.concatenate([seen, _corrections(solver, first, second, singles, crossed, strokes)])
    if float(np.max(np.abs(seen), initial=0.0)) < _COUNTS:
        return {}
    strokes = solver.strokes_moved(np.max(np.abs(seen), axis=0), 0.5 * _COUNTS)
    grids = {}
    for a, b in product(range(len(first.axes)), range(len(second.axes))):
        grid = _grid(solver, (first, a), (second, b), singles, strokes)
        if grid is not None:
            grids[a, b] = grid
    return grids


def _grid(
    solver: Solver,
    first: tuple[PartStates, int],
    second: tuple[PartStates, int],
    singles: Mapping[str, Array],
    strokes: set[int],
) -> Array | None:
    """Correction over one axis of each part (n + 1, m + 1, k, 2), 0 where one is sound; None where it is small.

    Solved at some knots of each; where it is strong, also between these, and at every knot if it is not straight there.
    """
    (a, axis_a), (b, axis_b) = first, second
    rows, columns = _alone(a, axis_a), _alone(b, axis_b)
    knots = a.knots[axis_a], b.knots[axis_b]
    solved = np.full((len(rows), len(columns), len(solver.watches), 2), np.nan)

    def solve(which: tuple[NDArray[np.intp], ...]) -> None:
        states = [(int(rows[i]), int(columns[j])) for i, j in zip(*which, strict=True)]
        solved[which] = _corrections(solver, a, b, singles, states, strokes)

    few = _some(len(rows)), _some(len(columns))
    solve(_crossed(*few))
    grid = _filled(solved[np.ix_(*few)], *knots, few)
    largest = float(np.nanmax(np.abs(solved), initial=0.0))
    if largest < _COUNTS:
        return None
    if largest <= _STRONG:
        return grid
    between = _crossed(*[np.setdiff1d(np.arange(len(k)), some) for k, some in zip(knots, few, strict=True)])
    solve(between)
    off = np.abs(solved[between] - grid[1:, 1:][between])
    if np.all(off <= _STRAIGHT + _STRAIGHT_SHARE * np.abs(solved[between])):
        return grid
    solve(np.nonzero(np.isnan(solved[..., 0, 0])))
    return np.pad(solved, ((1, 0), (1, 0), (0, 0), (0, 0)))


def _crossed(rows: NDArray[np.intp], columns: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Places of every crossing of some rows with some columns, one list each."""
    first, second = np.meshgrid(rows, columns, indexing="ij")
    return first.ravel(), second.ravel()


def _corrections(
    solver: Solver,
    first: PartStates,
    second: PartStates,
    singles: Mapping[str, Array],
    states: Sequence[tuple[int, int]],
    strokes: set[int],
) -> Array:
    """Change with both worn less the changes of each alone (n, k, 2) [mm], in so many pairs of states."""
    both = solver.changes([{**first.worn(i), **second.worn(j)} for i, j in states], strokes)
    for part, place in ((first, 0), (second, 1)):
        alone = singles.get(part.part.id)
        if alone is not None:
            both = both - alone[[pair[place] for pair in states]]
    return np.where(np.isin(solver.stroke_of, list(strokes))[None, :, None], both, 0.0)


def _some(count: int) -> NDArray[np.intp]:
    """Numbers of knots that stand for all, close together where wear is usual: two small, the middle, the largest."""
    return np.unique([0, min(1, count - 1), count // 2, count - 1])


def _filled(solved: Array, first: Array, second: Array, where: tuple[NDArray[np.intp], NDArray[np.intp]]) -> Array:
    """Correction at sound and at every knot (n + 1, m + 1, k, 2) from the solved ones, straight between."""
    padded = np.pad(solved, ((1, 0), (1, 0), (0, 0), (0, 0)))
    along, across = (
        _interpolation(np.concatenate([[0.0], knots]), np.concatenate([[0.0], knots[chosen]]))
        for knots, chosen in zip((first, second), where, strict=True)
    )
    return np.asarray(np.einsum("ir,jc,rckm->ijkm", along, across, padded))


def _interpolation(at: Array, knots: Array) -> Array:
    """Weights (n, m) that interpolate values at knots (m,) straight to places (n,) between them."""
    return np.asarray(np.array([np.interp(at, knots, row) for row in np.eye(len(knots))]).T)


def _alone(states: PartStates, axis: int) -> NDArray[np.intp]:
    """States in which only this axis is worn, by rising clearance."""
    others = [a for a in range(len(states.axes)) if a != axis]
    alone = np.flatnonzero(np.all(states.index[:, others] < 0, axis=1) & (states.index[:, axis] >= 0))
    return np.asarray(alone[np.argsort(states.index[alone, axis])])


def _pairs_of_trials(first: PartStates, second: PartStates) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Both in the middle and both at their largest; and one in the middle with the other at its largest."""
    (a, b), (c, d) = _trials(first), _trials(second)
    return [(a, c), (b, d)], [(a, d), (b, c)]


def _trials(states: PartStates) -> tuple[int, int]:
    """The state with every axis at its middle knot, and the largest."""
    return states.middle, len(states.weight) - 1
