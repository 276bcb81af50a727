"""What one push and pull shows: movement, free travel, its range, forces and slack joints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import clarabel
import numpy as np
from scipy import sparse

from looseends.mechanics.bodies import Array, Indices
from looseends.mechanics.clearance import Clearance, semi_axes
from looseends.mechanics.constants import FREE_MECHANISM_TOLERANCE
from looseends.mechanics.lash import LashSolution, solve_lash, tangent
from looseends.mechanics.reduction import ReducedStroke


@dataclass(frozen=True)
class Movement:
    """Movement [mm] of one watch between the two ends of a stroke.

    `total` as a gauge reads it; `free` the dead zone: the movement extrapolated to zero force along the
    force-movement curve's tangents at both ends (0 where the curve softens).
    """

    total: float
    free: float


@dataclass(frozen=True)
class StrokeAnswer:
    """Both ends of a stroke solved: movements per watch, and the two solutions."""

    movements: Mapping[str, Movement]
    first: LashSolution
    last: LashSolution


def stroke_semi_axes(stroke: ReducedStroke, clearances: Mapping[str, Clearance]) -> Array:
    """Semi-axes (p,) [mm] of a reduced stroke's unknowns for clearances by joint name."""
    semi = np.zeros(len(stroke.f_base))
    for name, clearance in clearances.items():
        semi[stroke.joints[name]] = semi_axes(clearance, stroke.held[name])
    for block in stroke.blocks:
        if block.kind == "half-line":
            semi[block.start] = np.inf
    return semi


def solve_stroke(
    stroke: ReducedStroke, semi: Array, first_share: float, last_share: float, start: StrokeAnswer | None = None
) -> StrokeAnswer:
    """Solve both ends of a stroke; shares are multiples of the hand load; `start` only saves time.

    Source: derived in docs/mechanics.md, "Free travel".
    """
    first = _solve_end(stroke, semi, first_share, None if start is None else start.first)
    last = _solve_end(stroke, semi, last_share, None if start is None else start.last)
    first_slope = tangent(stroke.S, stroke.blocks, semi, first, stroke.f_hand)
    last_slope = tangent(stroke.S, stroke.blocks, semi, last, stroke.f_hand)
    movements = {}
    for name, on_g, hand in zip(stroke.watch_names, stroke.watch_on_g, stroke.watch_hand, strict=True):
        total = on_g @ (last.g - first.g) + (last_share - first_share) * hand
        elastic = last_share * (hand + on_g @ last_slope) - first_share * (hand + on_g @ first_slope)
        movements[name] = _movement(total, elastic)
    return StrokeAnswer(movements, first, last)


def _movement(total: Array, elastic: Array) -> Movement:
    length = float(np.linalg.norm(total))
    if length == 0.0:
        return Movement(0.0, 0.0)
    along = total / length
    return Movement(length, min(length, max(0.0, float((total - elastic) @ along))))


def _solve_end(stroke: ReducedStroke, semi: Array, share: float, start: LashSolution | None) -> LashSolution:
    return solve_lash(stroke.S, stroke.f_base + share * stroke.f_hand, stroke.blocks, semi, start)


def movement_range(
    stroke: ReducedStroke, semi: Array, answer: StrokeAnswer, watch: str, first_share: float, last_share: float
) -> tuple[float, float]:
    """Least and greatest movement [mm] of a watch over all least-energy states of both ends.

    Along a mechanism that costs no energy the state is not unique; a watch of several directions is followed
    along the direction in which it moved. The bounds are met, each by a state of least energy.
    """
    index = stroke.watch_names.index(watch)
    on_g, hand = stroke.watch_on_g[index], stroke.watch_hand[index]
    total = on_g @ (answer.last.g - answer.first.g) + (last_share - first_share) * hand
    length = float(np.linalg.norm(total))
    along = total / length if length > 0.0 else np.eye(len(total))[0]
    row = along @ on_g
    low_first, high_first = _reach(stroke, semi, answer.first, row)
    low_last, high_last = _reach(stroke, semi, answer.last, row)
    ends = (length + low_last - high_first, length + high_last - low_first)
    if ends[0] <= 0.0 <= ends[1]:
        return 0.0, max(abs(ends[0]), abs(ends[1]))
    return min(abs(ends[0]), abs(ends[1])), max(abs(ends[0]), abs(ends[1]))


def _reach(stroke: ReducedStroke, semi: Array, solution: LashSolution, row: Array) -> tuple[float, float]:
    """How far row·g can go down and up from the solution without energy, loaded joints staying where they are."""
    free, blocks = _unloaded(stroke, semi, solution)
    if not free.size or not np.any(row[free]):
        return 0.0, 0.0
    S = stroke.S[np.ix_(free, free)]
    values, vectors = np.linalg.eigh(S)
    none = vectors[:, values <= FREE_MECHANISM_TOLERANCE * max(float(np.max(np.diag(stroke.S))), 1e-30)]
    if none.shape[1] == 0:
        return 0.0, 0.0
    goal = none.T @ row[free]
    if float(np.linalg.norm(goal)) < 1e-9:
        return 0.0, 0.0
    g = solution.g[free]
    return -_push(none, -goal, g, blocks, semi[free]), _push(none, goal, g, blocks, semi[free])


def _unloaded(stroke: ReducedStroke, semi: Array, solution: LashSolution) -> tuple[Indices, list[slice]]:
    scale = max(float(np.max(np.abs(solution.f), initial=0.0)), 1.0)
    free: list[int] = []
    blocks: list[slice] = []
    for block in stroke.blocks:
        part = [i for i in range(block.start, block.stop) if semi[i] > 0.0]
        if part and float(np.max(np.abs(solution.f[part]))) < 1e-7 * scale:
            blocks.append(slice(len(free), len(free) + len(part)))
            free.extend(part)
    return np.array(free, dtype=np.intp), blocks


def _push(none: Array, goal: Array, g: Array, blocks: list[slice], semi: Array) -> float:
    """max goal·z with g + none z inside every block (a small cone program)."""
    A, b, cones = [], [], []
    for part in blocks:
        if np.isinf(semi[part]).any():
            A.append(-none[part])
            b.append(g[part])
            cones.append(clarabel.NonnegativeConeT(1))
            continue
        A.append(np.vstack([np.zeros((1, none.shape[1])), -none[part] / semi[part][:, None]]))
        b.append(np.concatenate([[1.0], g[part] / semi[part]]))
        cones.append(clarabel.SecondOrderConeT(len(b[-1])))
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.max_threads = 1
    width = none.shape[1]
    solver = clarabel.DefaultSolver(
        sparse.csc_matrix((width, width)), -goal, sparse.csc_matrix(np.vstack(A)), np.concatenate(b), cones, settings
    )
    solution = solver.solve()
    if "Solved" not in str(solution.status):
        return float("inf")
    return float(goal @ np.array(solution.x))
