"""The lash problem handed to a general cone solver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import clarabel
import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.cone_matrix import ConeMatrix
from looseends.mechanics.lash_scaled import Scaled

CLOSE, CLOSEST = 1e-11, 1e-14
"""Where the solver ends, as a share of the largest stiffness or load in the problem."""


def interior_point(problem: Scaled, *, even: bool, tolerance: float = CLOSE) -> Array:
    """Least h by a general cone solver.

    `even` counts each block in the root of its own energy, so that metres and hundredths of a millimetre of clearance
    may stand side by side; without it the sets are of one size, which suits clearances that are all tiny. Where joints
    move far for hardly any force, the energy in play is so small a share of the stiffest that only `CLOSEST` will do.
    """
    stiffest = np.maximum.reduceat(np.diag(problem.P), problem.index.starts)
    size = np.sqrt(np.where((stiffest > 0.0) & even, stiffest, 1.0))
    each = size[problem.owners()]
    rest = _contacts_alone(problem)
    P, q = problem.P / np.outer(each, each), (problem.q + problem.P @ rest) / each
    costs: list[float] = []
    rows = _Rows()
    for number, block in enumerate(problem.blocks):
        unknowns = range(block.start, block.stop)
        if block.kind == "half-line":
            rows.hold(clarabel.NonnegativeConeT(1), unknowns, [rest[block.start] * each[block.start]])
            continue
        zeros = [0.0] * len(unknowns)
        if np.isfinite(problem.radii[number]):
            rows.hold(clarabel.SecondOrderConeT(len(unknowns) + 1), [None, *unknowns], [size[number], *zeros])
        if problem.seats[number] > 0.0:
            # One more unknown, never less than |h|, carries the cost of the seat.
            costs.append(problem.seats[number] / size[number])
            own = problem.size + len(costs) - 1
            rows.hold(clarabel.SecondOrderConeT(len(unknowns) + 1), [own, *unknowns], [0.0, *zeros])
    q, P = np.append(q, costs), np.pad(P, (0, len(costs)))
    if not rows.cones:
        return np.asarray(np.linalg.lstsq(P, -q, rcond=1e-12)[0] / each)
    unit = max(float(np.max(np.diag(P))), float(np.max(np.abs(q))), 1e-30)
    return problem.projected(rest + rows.least(P / unit, q / unit, tolerance)[: problem.size] / each)


@dataclass
class _Rows:
    """Rows of a cone program: right side + the one unknown that each picks (None: the right side alone), in a cone."""

    picked: list[int | None] = field(default_factory=list)
    right: list[float] = field(default_factory=list)
    cones: list[object] = field(default_factory=list)

    def hold(self, cone: object, unknowns: Sequence[int | None], right: Sequence[float]) -> None:
        """Keep right + x[unknowns] in the cone."""
        self.cones.append(cone)
        self.picked.extend(unknowns)
        self.right.extend(right)

    def least(self, P: Array, q: Array, tolerance: float) -> Array:
        """The x (len(q),) of least ½ xᵀP x + qᵀx."""
        A = np.zeros((len(self.picked), len(q)))
        for row, unknown in enumerate(self.picked):
            if unknown is not None:
                A[row, unknown] = -1.0
        settings = clarabel.DefaultSettings()
        settings.verbose = False
        settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = tolerance
        settings.max_threads = 1
        upper, right = ConeMatrix.of(np.triu(P)), np.array(self.right)
        solver = clarabel.DefaultSolver(upper, q, ConeMatrix.of(A), right, self.cones, settings)
        return np.array(solver.solve().x)


def _contacts_alone(problem: Scaled) -> Array:
    """Openings of the contacts with every clearance locked, zero elsewhere (size,).

    The solver counts from there: the energy of a stop that stands open by centimetres would drown all others.
    """
    rest: Array = np.zeros(problem.size)
    lines = problem.index.starts[problem.index.half_line]
    if lines.size:
        P, q = problem.P[np.ix_(lines, lines)], problem.q[lines]
        rows = _Rows()
        for own in range(len(lines)):
            rows.hold(clarabel.NonnegativeConeT(1), [own], [0.0])
        unit = max(float(np.max(np.diag(P))), float(np.max(np.abs(q))), 1e-30)
        # A contact that nothing presses and nothing opens: a trace of stiffness keeps it where it is.
        opened = rows.least((P + 1e-12 * unit * np.eye(len(lines))) / unit, q / unit, CLOSE)
        rest[lines] = np.maximum(np.nan_to_num(opened), 0.0)
    return rest
