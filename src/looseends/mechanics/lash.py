"""The lash problem: how clearances are taken up under load, and the proof of it.

    min  ½ gᵀ S g - f0ᵀ g     g_j in the clearance set of joint j

solved as a cone program by a general interior-point solver (Clarabel), then polished by Newton steps on the
optimality conditions, then certified. This is the readable reference for every faster kernel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import clarabel
import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.optimize import nnls

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import Array, Indices
from looseends.mechanics.certificate import Certificate, certify
from looseends.mechanics.clearance import Block, BlockIndex
from looseends.mechanics.sweeps import swept

_NEAR = 0.1
"""A block further from its boundary than this share of its size is never tried as touching when polishing."""

_POLISHED = 1e-12
"""Energy-scaled gap below which an answer is not polished further: the least loaded joint is told right."""

_SWEEPS = 200
"""Rounds of block descent when all else has failed."""

_RIDGE = 1e-12
"""Share of the largest stiffness that is added on the diagonal of a Newton step."""


@dataclass(frozen=True)
class LashSolution:
    """Clearances taken up g (p,) [mm], joint forces f (p,) [N], and the certificate."""

    g: Array
    f: Array
    certificate: Certificate


def solve_lash(
    S: Array, f0: Array, blocks: Sequence[Block], semi: Array, start: LashSolution | None = None
) -> LashSolution:
    """Least-energy clearances for stiffness S (p, p) [N/mm] and locked joint forces f0 (p,) [N].

    `semi` (p,) [mm] are the semi-axes of the sets, 0: no clearance on that axis, infinity on half-lines.
    `start`, the answer of a like problem, only saves time: Newton steps from it are kept if their certificate holds.

    Raises
    ------
    MechanicsError
        If no answer within the certificate's tolerance is found.
    """
    problem = _Scaled.of(S, f0, blocks, semi)
    if not problem.size:
        g = np.zeros(len(f0))
        return LashSolution(g, f0.copy(), certify(S, f0, blocks, semi, g))
    if start is not None:
        warm = _polished(problem, _started(problem, start), S, f0, blocks, semi, 10)
        if warm.certificate.holds:
            return warm
    for even in (True, False):
        cold = _polished(problem, _interior_point(problem, even=even), S, f0, blocks, semi, 12)
        if cold.certificate.holds:
            return cold
    if np.all(np.isfinite(problem.P)) and np.all(np.isfinite(problem.q)):
        h = swept(problem.P, problem.q, problem.blocks, problem.projected(problem.scaled(cold.g)), _SWEEPS)
        cold = _polished(problem, h, S, f0, blocks, semi, 12)
        if cold.certificate.holds:
            return cold
    gap = cold.certificate.scaled_gap
    raise MechanicsError(f"the clearances could not be solved: scaled gap {gap:.1e}, accepted is at most 1e-8")


def _polished(
    problem: _Scaled, h: Array, S: Array, f0: Array, blocks: Sequence[Block], semi: Array, most: int
) -> LashSolution:
    """Newton steps from h, the best of them by certificate; stops when they no longer help."""
    best_g = problem.unscaled(h)
    best = certify(S, f0, blocks, semi, best_g)
    worse = 0
    for _ in range(most):
        if best.scaled_gap <= _POLISHED or worse > 3:
            break
        h = problem.projected(_newton_step(problem, h, eager=worse % 2 == 1))
        g = problem.unscaled(h)
        certificate = certify(S, f0, blocks, semi, g)
        worse = 0 if certificate.gap < best.gap else worse + 1
        if certificate.gap < best.gap:
            best, best_g = certificate, g
    return LashSolution(best_g, f0 - S @ best_g, best)


def _started(problem: _Scaled, start: LashSolution) -> Array:
    """A first guess: the other answer, each joint that carries force pushed to its own boundary along that force."""
    h = problem.scaled(start.g)
    force = start.f[problem.keep] * problem.scale
    index, owner = problem.index, problem.owners()
    size = index.lengths(force)
    loaded = ~index.half_line & (size > 1e-6)
    outward = force / np.maximum(size, 1e-30)[owner]
    return problem.projected(np.where(loaded[owner], outward, h))


def tangent(S: Array, blocks: Sequence[Block], semi: Array, solution: LashSolution, df: Array) -> Array:
    """dg/ds (p,) [mm] when the load changes by df (p,) [N] per unit s, with the same joints touching.

    Source: the optimality conditions differentiated; derived in docs/mechanics.md, "Tangent".
    """
    problem = _Scaled.of(S, solution.f + S @ solution.g, blocks, semi)
    if not problem.size:
        return np.zeros(len(df))
    h = problem.scaled(solution.g)
    active = _active_blocks(problem, h)
    matrix, width = _optimality_matrix(problem, h, active)
    right = np.zeros(len(matrix))
    right[:width] = problem.scale * df[problem.keep]
    right[active.pressed] = 0.0
    return problem.unscaled(_solved(matrix, right)[:width])


@dataclass(frozen=True)
class _Scaled:
    """The same problem in h = g / semi-axis (half-lines in mm), without axes that have no clearance."""

    P: Array
    q: Array
    scale: Array
    keep: Indices
    blocks: tuple[Block, ...]
    full: int

    @property
    def size(self) -> int:
        return len(self.q)

    @staticmethod
    def of(S: Array, f0: Array, blocks: Sequence[Block], semi: Array) -> _Scaled:
        keep, kept_blocks, count = [], [], 0
        for block in blocks:
            inside = [i for i in range(block.start, block.stop) if semi[i] > 0.0]
            if inside:
                keep.extend(inside)
                kept_blocks.append(Block(block.kind, count, count + len(inside)))
                count += len(inside)
        index = np.array(keep, dtype=np.intp)
        scale = np.where(np.isinf(semi[index]), 1.0, semi[index])
        P = S[np.ix_(index, index)] * np.outer(scale, scale)
        return _Scaled(P, -f0[index] * scale, scale, index, tuple(kept_blocks), len(f0))

    def unscaled(self, h: Array) -> Array:
        g: Array = np.zeros(self.full)
        g[self.keep] = h * self.scale
        return g

    def scaled(self, g: Array) -> Array:
        return np.asarray(g[self.keep] / self.scale)

    @property
    def index(self) -> BlockIndex:
        return BlockIndex.of(self.blocks)

    def owners(self) -> NDArray[np.intp]:
        """Number of the block that each unknown belongs to."""
        return np.repeat(np.arange(len(self.blocks)), [block.stop - block.start for block in self.blocks])

    def projected(self, h: Array) -> Array:
        """The nearest point inside every set along its own radius."""
        index, owner = self.index, self.owners()
        inside = h / np.maximum(index.lengths(h), 1.0)[owner]
        return np.asarray(np.where(index.half_line[owner], np.maximum(h, 0.0), inside))


def _interior_point(problem: _Scaled, *, even: bool) -> Array:
    """Least h by a general cone solver.

    `even` counts each block in the root of its own energy, so that metres and hundredths of a millimetre of clearance
    may stand side by side; without it the sets are of one size, which suits clearances that are all tiny.
    """
    owner = problem.owners()
    stiffest = np.maximum.reduceat(np.diag(problem.P), problem.index.starts)
    size = np.sqrt(np.where((stiffest > 0.0) & even, stiffest, 1.0))
    each = size[owner]
    rest = _contacts_alone(problem)
    P, q = problem.P / np.outer(each, each), (problem.q + problem.P @ rest) / each
    unit = max(float(np.max(np.diag(P))), float(np.max(np.abs(q))), 1e-30)
    rows: list[int] = []
    right: list[float] = []
    cones: list[object] = []
    for block, radius in zip(problem.blocks, size, strict=True):
        if block.kind == "half-line":
            cones.append(clarabel.NonnegativeConeT(1))
        else:
            right.append(float(radius))
            cones.append(clarabel.SecondOrderConeT(block.stop - block.start + 1))
        part = slice(block.start, block.stop)
        rows.extend(range(len(right), len(right) + block.stop - block.start))
        right.extend(rest[part] * each[part])
    A = sparse.csc_matrix((-np.ones(problem.size), (rows, range(problem.size))), shape=(len(right), problem.size))
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = 1e-11
    settings.max_threads = 1
    solver = clarabel.DefaultSolver(sparse.csc_matrix(np.triu(P / unit)), q / unit, A, np.array(right), cones, settings)
    return problem.projected(rest + np.array(solver.solve().x) / each)


def _contacts_alone(problem: _Scaled) -> Array:
    """Openings of the contacts with every clearance locked, zero elsewhere (size,).

    The solver counts from there: the energy of a stop that stands open by centimetres would drown all others.
    """
    rest: Array = np.zeros(problem.size)
    lines = problem.index.starts[problem.index.half_line]
    if lines.size:
        values, vectors = np.linalg.eigh(problem.P[np.ix_(lines, lines)])
        root = np.sqrt(np.maximum(values, 1e-12 * max(float(values[-1]), 1e-30)))
        rest[lines] = nnls(root[:, None] * vectors.T, -(vectors.T @ problem.q[lines]) / root)[0]
    return rest


@dataclass(frozen=True)
class _Active:
    """Numbers of the balls whose boundary carries force, their multipliers, and unknowns of contacts that press."""

    touching: NDArray[np.intp]
    multiplier: Array
    pressed: NDArray[np.intp]


def _active_blocks(problem: _Scaled, h: Array, *, eager: bool = False) -> _Active:
    """What touches at h; `eager` also counts whatever is pushed outward near its boundary, however lightly."""
    index, diagonal = problem.index, np.diag(problem.P)
    force = -(problem.P @ h + problem.q)
    along = index.sums(force * h)
    # Force and room to the boundary exclude each other; the larger of the two, in comparable units, decides.
    stiffness = np.maximum.reduceat(diagonal, index.starts)
    room = 1.0 - index.lengths(h)
    least = 1e-12 * float(np.sum(np.abs(along))) if eager else stiffness * np.maximum(room, 0.0)
    touching = np.flatnonzero(~index.half_line & (along > least) & (room < _NEAR))
    lines = index.starts[index.half_line]
    pressed = lines[-force[lines] > np.maximum(diagonal[lines], 1.0) * np.abs(h[lines])]
    return _Active(touching, along[touching], pressed)


def _optimality_matrix(problem: _Scaled, h: Array, active: _Active) -> tuple[Array, int]:
    """Derivative of the optimality conditions in (h, multipliers), and the number of unknowns h.

    A ridge far below any real stiffness keeps it invertible along free mechanisms; it changes steps, not answers.
    """
    width, count, owner = problem.size, len(active.touching), problem.owners()
    matrix = np.zeros((width + count, width + count))
    matrix[:width, :width] = problem.P
    diagonal = np.diag_indices(width)
    shift = np.zeros(len(problem.blocks))
    shift[active.touching] = active.multiplier
    matrix[diagonal] += shift[owner] + _RIDGE * float(np.max(np.diag(problem.P)))
    normals = np.where(owner[:, None] == active.touching[None, :], h[:, None], 0.0)
    matrix[:width, width:] = normals
    matrix[width:, :width] = normals.T
    matrix[active.pressed, :] = 0.0
    matrix[active.pressed, active.pressed] = np.maximum(np.diag(problem.P)[active.pressed], 1.0)
    return matrix, width


def _newton_step(problem: _Scaled, h: Array, *, eager: bool) -> Array:
    """One Newton step on the optimality conditions P h + q + λ h = 0, |h| = 1 over the touching blocks."""
    active = _active_blocks(problem, h, eager=eager)
    matrix, width = _optimality_matrix(problem, h, active)
    multiplier = np.zeros(len(problem.blocks))
    multiplier[active.touching] = active.multiplier
    residual = np.zeros(len(matrix))
    residual[:width] = problem.P @ h + problem.q + multiplier[problem.owners()] * h
    residual[width:] = 0.5 * (problem.index.lengths(h)[active.touching] ** 2 - 1.0)
    residual[active.pressed] = matrix[active.pressed, active.pressed] * h[active.pressed]
    return np.asarray(h - _solved(matrix, residual)[:width])


def _solved(matrix: Array, right: Array) -> Array:
    """matrix⁻¹ right; where a free mechanism makes the matrix singular, the shortest least-squares answer."""
    try:
        step = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-12)[0])
    if np.linalg.norm(matrix @ step - right) > 1e-6 * max(float(np.linalg.norm(right)), 1e-30):
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-12)[0])
    return np.asarray(step)
