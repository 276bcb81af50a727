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
from scipy import sparse

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import Array
from looseends.mechanics.certificate import Certificate, certify
from looseends.mechanics.clearance import Block

_ACTIVE = 1e-5
"""A block this near its boundary (as a share of its size) is tried as touching when the answer is polished."""


@dataclass(frozen=True)
class LashSolution:
    """Clearances taken up g (p,) [mm], joint forces f (p,) [N], and the certificate.

    `tangent` gives dg/dshare (p,) for a change of load (p,), exact while the same joints touch.
    """

    g: Array
    f: Array
    certificate: Certificate


def solve_lash(S: Array, f0: Array, blocks: Sequence[Block], semi: Array) -> LashSolution:
    """Least-energy clearances for stiffness S (p, p) [N/mm] and locked joint forces f0 (p,) [N].

    `semi` (p,) [mm] are the semi-axes of the sets, 0: no clearance on that axis, infinity on half-lines.

    Raises
    ------
    MechanicsError
        If no answer within the certificate's tolerance is found.
    """
    problem = _Scaled.of(S, f0, blocks, semi)
    g = np.zeros(len(f0))
    if problem.size:
        h = _interior_point(problem)
        g = problem.unscaled(h)
        best = certify(S, f0, blocks, semi, g)
        for _ in range(6):
            if best.gap <= 1e-13 * max(1.0, abs(float(f0 @ g))):
                break
            h = problem.projected(_newton_step(problem, h))
            candidate = problem.unscaled(h)
            certificate = certify(S, f0, blocks, semi, candidate)
            if certificate.gap < best.gap:
                best, g = certificate, candidate
            else:
                break
    else:
        best = certify(S, f0, blocks, semi, g)
    if not best.holds:
        raise MechanicsError(
            f"the clearances could not be solved: scaled gap {best.scaled_gap:.1e}, accepted is at most 1e-8"
        )
    return LashSolution(g, f0 - S @ g, best)


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
    for block in active.pressed:
        right[block.start] = 0.0
    step = np.linalg.lstsq(matrix, right, rcond=1e-12)[0][:width]
    return problem.unscaled(step)


@dataclass(frozen=True)
class _Scaled:
    """The same problem in h = g / semi-axis (half-lines in mm), without axes that have no clearance."""

    P: Array
    q: Array
    scale: Array
    keep: Array
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
        g = np.zeros(self.full)
        g[self.keep] = h * self.scale
        return g

    def scaled(self, g: Array) -> Array:
        return np.asarray(g[self.keep] / self.scale)

    def projected(self, h: Array) -> Array:
        inside = h.copy()
        for block in self.blocks:
            part = slice(block.start, block.stop)
            if block.kind == "half-line":
                inside[part] = np.maximum(inside[part], 0.0)
            else:
                inside[part] /= max(1.0, float(np.linalg.norm(inside[part])))
        return inside


def _interior_point(problem: _Scaled) -> Array:
    size = problem.size
    unit = max(float(np.max(np.abs(np.diag(problem.P)))), float(np.max(np.abs(problem.q))), 1e-30)
    columns, values, right, cones = [], [], [], []
    row = 0
    rows = []
    for block in problem.blocks:
        length = block.stop - block.start
        if block.kind == "half-line":
            rows.append(row)
            columns.append(block.start)
            values.append(-1.0)
            right.append(0.0)
            cones.append(clarabel.NonnegativeConeT(1))
            row += 1
        else:
            right.append(1.0)
            for i in range(length):
                rows.append(row + 1 + i)
                columns.append(block.start + i)
                values.append(-1.0)
                right.append(0.0)
            cones.append(clarabel.SecondOrderConeT(length + 1))
            row += length + 1
    A = sparse.csc_matrix((values, (rows, columns)), shape=(row, size))
    P = sparse.csc_matrix(np.triu(problem.P / unit))
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = 1e-11
    settings.max_threads = 1
    solution = clarabel.DefaultSolver(P, problem.q / unit, A, np.array(right), cones, settings).solve()
    return problem.projected(np.array(solution.x))


@dataclass(frozen=True)
class _Active:
    """Blocks whose boundary carries force: balls with their multiplier, half-lines that press."""

    touching: tuple[tuple[Block, float], ...]
    pressed: tuple[Block, ...]


def _active_blocks(problem: _Scaled, h: Array) -> _Active:
    force = -(problem.P @ h + problem.q)
    touching, pressed = [], []
    for block in problem.blocks:
        part = slice(block.start, block.stop)
        if block.kind == "half-line":
            # Force and opening exclude each other; the larger of the two, in comparable units, decides.
            if -force[block.start] > max(problem.P[block.start, block.start], 1.0) * abs(h[block.start]):
                pressed.append(block)
            continue
        along = float(force[part] @ h[part])
        if np.linalg.norm(h[part]) > 1.0 - _ACTIVE and along > 0.0:
            touching.append((block, along))
    return _Active(tuple(touching), tuple(pressed))


def _optimality_matrix(problem: _Scaled, h: Array, active: _Active) -> tuple[Array, int]:
    width, count = problem.size, len(active.touching)
    matrix = np.zeros((width + count, width + count))
    matrix[:width, :width] = problem.P
    for k, (block, multiplier) in enumerate(active.touching):
        part = slice(block.start, block.stop)
        matrix[part, part] += multiplier * np.eye(block.stop - block.start)
        matrix[part, width + k] = h[part]
        matrix[width + k, part] = h[part]
    for block in active.pressed:
        matrix[block.start, :] = 0.0
        matrix[block.start, block.start] = max(problem.P[block.start, block.start], 1.0)
    return matrix, width


def _newton_step(problem: _Scaled, h: Array) -> Array:
    """One Newton step on the optimality conditions P h + q + λ h = 0, |h| = 1 over the touching blocks."""
    active = _active_blocks(problem, h)
    matrix, width = _optimality_matrix(problem, h, active)
    residual = np.zeros(len(matrix))
    residual[:width] = problem.P @ h + problem.q
    for k, (block, multiplier) in enumerate(active.touching):
        part = slice(block.start, block.stop)
        residual[part] += multiplier * h[part]
        residual[width + k] = 0.5 * (float(h[part] @ h[part]) - 1.0)
    for block in active.pressed:
        residual[block.start] = matrix[block.start, block.start] * h[block.start]
    return np.asarray(h - np.linalg.lstsq(matrix, residual, rcond=1e-14)[0][:width])
