"""How far a watched movement may go without energy, where a mechanism that costs none leaves the state open."""

from __future__ import annotations

import clarabel
import numpy as np

from looseends.mechanics.bodies import Array, Indices
from looseends.mechanics.clearance import ClearanceArrays
from looseends.mechanics.cone_matrix import ConeMatrix
from looseends.mechanics.constants import FREE_MECHANISM_TOLERANCE
from looseends.mechanics.lash import LashSolution
from looseends.mechanics.reduction import ReducedStroke
from looseends.mechanics.travel import StrokeAnswer


def movement_range(
    stroke: ReducedStroke,
    clearances: ClearanceArrays,
    answer: StrokeAnswer,
    watch: str,
    first_share: float,
    last_share: float,
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
    low_first, high_first = _reach(stroke, clearances, answer.first, row)
    low_last, high_last = _reach(stroke, clearances, answer.last, row)
    ends = (length + low_last - high_first, length + high_last - low_first)
    if ends[0] <= 0.0 <= ends[1]:
        return 0.0, max(abs(ends[0]), abs(ends[1]))
    return min(abs(ends[0]), abs(ends[1])), max(abs(ends[0]), abs(ends[1]))


def _reach(
    stroke: ReducedStroke, clearances: ClearanceArrays, solution: LashSolution, row: Array
) -> tuple[float, float]:
    """How far row·g can go down and up from the solution without energy, loaded joints staying where they are."""
    free, walls = _unloaded(stroke, clearances, solution)
    if not free.size or not np.any(row[free]):
        return 0.0, 0.0
    S = stroke.S[np.ix_(free, free)] + np.diag(clearances.softness[free])
    values, vectors = np.linalg.eigh(S)
    none = vectors[:, values <= FREE_MECHANISM_TOLERANCE * max(float(np.max(np.diag(stroke.S))), 1e-30)]
    if none.shape[1] == 0:
        return 0.0, 0.0
    goal = none.T @ row[free]
    if float(np.linalg.norm(goal)) < 1e-9:
        return 0.0, 0.0
    g, semi = solution.g[free], clearances.semi[free]
    return -_push(none, -goal, g, walls, semi), _push(none, goal, g, walls, semi)


def _unloaded(
    stroke: ReducedStroke, clearances: ClearanceArrays, solution: LashSolution
) -> tuple[Indices, list[tuple[str, slice]]]:
    """Unknowns of the blocks that carry no force, and per block its kind and its place among them.

    A block with a seat sticks or pays for sliding, so it never moves for nothing.
    """
    scale = max(float(np.max(np.abs(solution.f), initial=0.0)), 1.0)
    free: list[int] = []
    walls: list[tuple[str, slice]] = []
    for block, seat in zip(stroke.blocks, clearances.seats, strict=True):
        part = [i for i in range(block.start, block.stop) if clearances.semi[i] > 0.0]
        if part and seat == 0.0 and float(np.max(np.abs(solution.f[part]))) < 1e-7 * scale:
            walls.append((block.kind, slice(len(free), len(free) + len(part))))
            free.extend(part)
    return np.array(free, dtype=np.intp), walls


def _push(none: Array, goal: Array, g: Array, walls: list[tuple[str, slice]], semi: Array) -> float:
    """max goal·z with g + none z inside every wall (a small cone program); infinite if no wall ends it."""
    A, b, cones = [], [], []
    for kind, part in walls:
        if kind == "half-line":
            A.append(-none[part])
            b.append(g[part])
            cones.append(clarabel.NonnegativeConeT(1))
        elif np.all(np.isfinite(semi[part])):
            A.append(np.vstack([np.zeros((1, none.shape[1])), -none[part] / semi[part][:, None]]))
            b.append(np.concatenate([[1.0], g[part] / semi[part]]))
            cones.append(clarabel.SecondOrderConeT(len(b[-1])))
    if not A:
        return float("inf")
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.max_threads = 1
    width = none.shape[1]
    solver = clarabel.DefaultSolver(
        ConeMatrix.of(np.zeros((width, width))), -goal, ConeMatrix.of(np.vstack(A)), np.concatenate(b), cones, settings
    )
    solution = solver.solve()
    if "Solved" not in str(solution.status):
        return float("inf")
    return float(goal @ np.array(solution.x))
