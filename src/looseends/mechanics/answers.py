"""Answers to many lash problems on one stiffness, and those of a few problems by the general solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.certificate import certify
from looseends.mechanics.clearance import Block
from looseends.mechanics.lash import LashSolution, solve_lash, tangent


@dataclass(frozen=True)
class Answers:
    """Answers to n problems of p unknowns.

    g (n, p) [mm] clearances taken up; f (n, p) [N] joint forces; slope (n, p) [mm] dg per unit of `df`, if it is given;
    scaled_gap (n,) of each certificate; fallback (n,): solved by the general cone solver.
    """

    g: Array
    f: Array
    slope: Array
    scaled_gap: Array
    fallback: NDArray[np.bool_]

    @staticmethod
    def none_yet(n: int, p: int) -> Answers:
        """Room for n answers of p unknowns."""
        return Answers(np.zeros((n, p)), np.zeros((n, p)), np.zeros((n, p)), np.zeros(n), np.zeros(n, dtype=bool))


def solve_few(
    S: Array,
    loads: Array,
    blocks: Sequence[Block],
    semi: Array,
    *,
    seats: Array,
    softness: Array,
    df: Array,
    start: tuple[Array, Array] | None = None,
) -> Answers:
    """As `kernel.solve_many`, by the general solver alone: milliseconds a problem, and nothing to load first.

    Raises
    ------
    MechanicsError
        If a problem has no certified answer.
    """
    answers = Answers.none_yet(*loads.shape)
    for i in range(len(loads)):
        stiffness = S + np.diag(softness[i])
        # Without a like answer: every joint that the load presses lies against its wall.
        g, f = (np.zeros_like(loads[i]), loads[i]) if start is None else (start[0][i], start[1][i])
        guess = LashSolution(g, f, certify(stiffness, loads[i], blocks, semi[i], g, seats[i]))
        put_general_answer(answers, i, stiffness, loads[i], blocks, semi[i], seats[i], df, guess)
    return answers


def put_general_answer(
    answers: Answers,
    i: int,
    S: Array,
    load: Array,
    blocks: Sequence[Block],
    semi: Array,
    seats: Array,
    df: Array,
    start: LashSolution | None = None,
) -> None:
    """Write the general solver's answer to one problem at place i."""
    solution = solve_lash(S, load, blocks, semi, seats=seats, start=start)
    answers.g[i], answers.f[i] = solution.g, solution.f
    if df.size:
        answers.slope[i] = tangent(S, blocks, semi, solution, df, seats)
    answers.scaled_gap[i] = solution.certificate.scaled_gap
    answers.fallback[i] = True
