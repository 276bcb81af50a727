"""The lash problem: how clearances are taken up under load, and the proof of it.

    min  ½ gᵀ S g - f0ᵀ g + Σ seat of each block     g_j in the clearance set of joint j

solved as a cone program by a general interior-point solver (Clarabel), then polished by Newton steps on the
optimality conditions, then certified. This is the readable reference for every faster kernel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import Array
from looseends.mechanics.certificate import Certificate, certify
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import OPEN_CONTACT_LIMIT
from looseends.mechanics.lash_newton import newton_step, optimality_matrix, resting_blocks, solved
from looseends.mechanics.lash_scaled import Scaled
from looseends.mechanics.sweeps import swept

_POLISHED = 1e-12
"""Energy-scaled gap below which an answer is not polished further: the least loaded joint is told right."""

_ROUNDING = 1e-10
"""Energy-scaled gap to which rounding may bring an exact answer: a force of 1e-13 too much on a ball without a wall."""

_SWEEPS = 200
"""Rounds of block descent when all else has failed."""


@dataclass(frozen=True)
class LashSolution:
    """Clearances taken up g (p,) [mm], joint forces f (p,) [N], and the certificate."""

    g: Array
    f: Array
    certificate: Certificate


def solve_lash(
    S: Array,
    f0: Array,
    blocks: Sequence[Block],
    semi: Array,
    start: LashSolution | None = None,
    seats: Array | None = None,
) -> LashSolution:
    """Least-energy clearances for stiffness S (p, p) [N/mm] and locked joint forces f0 (p,) [N].

    `semi` (p,) [mm] are the semi-axes of the sets, 0: no clearance on that axis, infinity: no wall, and on half-lines.
    `seats` (blocks,) [N]: a block moves once the force on it exceeds its seat; none if not given. What softens a part
    stands on the diagonal of S already (`clearance.softening`).
    `start`, the answer of a like problem, only saves time: Newton steps from it are kept if their certificate holds.

    Raises
    ------
    MechanicsError
        If no answer within the certificate's tolerance is found: also where a load drives a part that nothing holds.
    """
    task = _Task(S, f0, blocks, semi, seats, Scaled.of(S, f0, blocks, semi, seats))
    problem = task.problem
    if not problem.size:
        return task.solution(np.zeros(0))
    if start is not None:
        warm = task.polished(_started(problem, start), 10)
        if warm.certificate.holds:
            return warm
    from looseends.mechanics.lash_conic import CLOSE, CLOSEST, interior_point  # the cone solver: seldom needed

    for even, tolerance in ((True, CLOSE), (False, CLOSE), (False, CLOSEST)):
        cold = task.polished(interior_point(problem, even=even, tolerance=tolerance), 12)
        if cold.certificate.holds:
            return cold
    if np.all(np.isfinite(problem.P)) and np.all(np.isfinite(problem.q)):
        h = problem.projected(problem.scaled(np.nan_to_num(cold.g)))
        h = swept(problem.P, problem.q, problem.blocks, h, _SWEEPS, problem.seats, problem.radii)
        cold = min(cold, task.polished(h, 12), key=lambda solution: solution.certificate.scaled_gap)
        if cold.certificate.holds:
            return cold
    away = problem.index.lengths(problem.scaled(cold.g)) > OPEN_CONTACT_LIMIT
    if np.any(away & np.isinf(problem.radii)):
        raise MechanicsError(
            refusal(
                "the clearances could not be solved: a part that is missing or that friction holds alone is "
                "all that carries a load"
            )
        )
    if cold.certificate.holds_but_for_walls:
        raise MechanicsError(
            refusal(
                "the clearances could not be solved: a contact would have to open by more than 1000 mm, where "
                "the mechanism moves for nothing"
            )
        )
    gap = cold.certificate.scaled_gap
    raise MechanicsError(
        refusal("the clearances could not be solved: scaled gap {gap}, accepted is at most 1e-8", gap=f"{gap:.1e}")
    )


@dataclass(frozen=True)
class _Task:
    """A lash problem as it was given, and scaled."""

    S: Array
    f0: Array
    blocks: Sequence[Block]
    semi: Array
    seats: Array | None
    problem: Scaled

    def solution(self, h: Array) -> LashSolution:
        """The answer h with its forces and certificate."""
        g = self.problem.unscaled(h)
        certificate = certify(self.S, self.f0, self.blocks, self.semi, g, self.seats)
        return LashSolution(g, self.f0 - self.S @ g, certificate)

    def polished(self, h: Array, most: int) -> LashSolution:
        """Newton steps from h, the best of them by certificate; stops when they no longer help."""
        best = self.solution(h)
        worse = 0
        # Along the bend of a seat the energy is flat, and a small gap says little of g: one step at least.
        least = 1 if np.any(self.problem.seats > 0.0) else 0
        for step in range(most):
            if (best.certificate.scaled_gap <= _POLISHED and step >= least) or worse > 3:
                break
            h = self.problem.projected(newton_step(self.problem, h, eager=worse % 2 == 1))
            next_one = self.solution(h)
            better = next_one.certificate.gap < best.certificate.gap
            better = better or (step < least and next_one.certificate.scaled_gap <= _ROUNDING)
            worse = 0 if better else worse + 1
            best = next_one if better else best
        return best


def _started(problem: Scaled, start: LashSolution) -> Array:
    """A first guess: the other answer, each joint that carries force pushed to its own boundary along that force."""
    h = problem.scaled(start.g)
    force = start.f[problem.keep] * problem.scale
    index, owner = problem.index, problem.owners()
    size = index.lengths(force)
    loaded = ~index.half_line & np.isfinite(problem.radii) & (size > 1e-6 + problem.seats)
    outward = force / np.maximum(size, 1e-30)[owner]
    return problem.projected(np.where(loaded[owner], outward, h))


def tangent(
    S: Array,
    blocks: Sequence[Block],
    semi: Array,
    solution: LashSolution,
    df: Array,
    seats: Array | None = None,
) -> Array:
    """dg/ds (p,) [mm] when the load changes by df (p,) [N] per unit s, with the same joints touching and sliding.

    Source: the optimality conditions differentiated; derived in docs/mechanics.md, "Tangent".
    """
    problem = Scaled.of(S, solution.f + S @ solution.g, blocks, semi, seats)
    if not problem.size:
        return np.zeros(len(df))
    h = problem.scaled(solution.g)
    active = resting_blocks(problem, h)
    matrix, width = optimality_matrix(problem, h, active)
    right = np.zeros(len(matrix))
    right[:width] = problem.scale * df[problem.keep]
    right[active.fixed] = 0.0
    return problem.unscaled(solved(matrix, right)[:width])
