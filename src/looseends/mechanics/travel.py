"""What one push and pull shows: movement, free travel, forces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.answers import Answers, solve_few
from looseends.mechanics.bodies import Array
from looseends.mechanics.certificate import certify
from looseends.mechanics.clearance import Clearance, ClearanceArrays, clearance_arrays, stacked
from looseends.mechanics.lash import LashSolution
from looseends.mechanics.reduction import ReducedStroke

Guess = tuple[Array, Array]
"""Clearances taken up [mm] and joint forces [N] of like problems, (n, p) each."""


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


@dataclass(frozen=True)
class StrokeAnswers:
    """Both ends of a stroke solved for n sets of clearances.

    total, free (n, k) [mm] of the k watches, as in Movement; first, last: the answers at the two ends.
    """

    total: Array
    free: Array
    first: Answers
    last: Answers


def stroke_clearances(stroke: ReducedStroke, clearances: Mapping[str, Clearance]) -> ClearanceArrays:
    """Semi-axes, seats and softness of a reduced stroke's unknowns for clearances by joint name."""
    return clearance_arrays(clearances, stroke.joints, stroke.held, stroke.blocks, stroke.root**2)


def solve_stroke(
    stroke: ReducedStroke,
    clearances: ClearanceArrays,
    first_share: float,
    last_share: float,
    *,
    few: bool = False,
) -> StrokeAnswer:
    """Solve both ends of a stroke; shares are multiples of the hand load; `few` as in `solve_strokes`.

    Source: derived in docs/mechanics.md, "Free travel".
    """
    answers = solve_strokes(stroke, stacked(clearances, 1), first_share, last_share, few=few)
    movements = {
        name: Movement(float(total), float(free))
        for name, total, free in zip(stroke.watch_names, answers.total[0], answers.free[0], strict=True)
    }
    first, last = (
        _solution(stroke, clearances, share, ends)
        for share, ends in ((first_share, answers.first), (last_share, answers.last))
    )
    return StrokeAnswer(movements, first, last)


def _solution(stroke: ReducedStroke, clearances: ClearanceArrays, share: float, answers: Answers) -> LashSolution:
    S = stroke.S + np.diag(clearances.softness)
    load, g = stroke.f_base + share * stroke.f_hand, answers.g[0]
    certificate = certify(S, load, stroke.blocks, clearances.semi, g, clearances.seats)
    return LashSolution(g, answers.f[0], certificate)


def solve_strokes(
    stroke: ReducedStroke,
    clearances: ClearanceArrays,
    first_share: float,
    last_share: float,
    start: tuple[Guess, Guess] | None = None,
    *,
    parallel: bool = False,
    few: bool = False,
) -> StrokeAnswers:
    """Solve both ends of a stroke for n sets of clearances, one row each; `start`, a guess at each end, saves time.

    `few`: by the general solver, milliseconds a problem, where loading the compiled kernel would take longer.

    Raises
    ------
    MechanicsError
        If a set has no certified answer.
    """
    first = _solve_end(stroke, clearances, first_share, None if start is None else start[0], parallel, few)
    last = _solve_end(stroke, clearances, last_share, None if start is None else start[1], parallel, few)
    total, free = _travels(stroke, first, last, first_share, last_share)
    return StrokeAnswers(total, free, first, last)


def _solve_end(
    stroke: ReducedStroke,
    clearances: ClearanceArrays,
    share: float,
    start: Guess | None,
    parallel: bool,
    few: bool,
) -> Answers:
    n = len(clearances.semi)
    loads = np.tile(stroke.f_base + share * stroke.f_hand, (n, 1))
    seats, softness, df = clearances.seats, clearances.softness, stroke.f_hand
    if few:
        return solve_few(
            stroke.S, loads, stroke.blocks, clearances.semi, seats=seats, softness=softness, df=df, start=start
        )
    from looseends.mechanics.kernel import solve_many  # numba: only where much is solved

    return solve_many(
        stroke.S,
        loads,
        stroke.blocks,
        clearances.semi,
        seats=seats,
        softness=softness,
        df=df,
        start=start,
        parallel=parallel,
    )


def _travels(
    stroke: ReducedStroke, first: Answers, last: Answers, first_share: float, last_share: float
) -> tuple[Array, Array]:
    """Total and free movement (n, k) [mm] of every watch."""
    n, k = len(first.g), len(stroke.watch_names)
    totals, frees = np.zeros((n, k)), np.zeros((n, k))
    for number, (on_g, hand) in enumerate(zip(stroke.watch_on_g, stroke.watch_hand, strict=True)):
        total = (last.g - first.g) @ on_g.T + (last_share - first_share) * hand
        elastic = last_share * (hand + last.slope @ on_g.T) - first_share * (hand + first.slope @ on_g.T)
        length = np.linalg.norm(total, axis=1)
        along = total / np.maximum(length, 1e-300)[:, None]
        dead = np.einsum("nj,nj->n", total - elastic, along)
        totals[:, number], frees[:, number] = length, np.clip(dead, 0.0, length)
    return totals, frees
