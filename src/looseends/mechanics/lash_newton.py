"""The lash problem's optimality conditions: which blocks touch, stick or slide, and Newton steps on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.lash_scaled import Scaled

_NEAR = 0.1
"""A block further from its boundary than this share of its size is never tried as touching when polishing."""

_RIDGE = 1e-12
"""Share of each stiffness that is added to it on the diagonal of a Newton step."""


@dataclass(frozen=True)
class Active:
    """What each block does.

    Numbers of the balls whose boundary carries force, their multipliers (seat and wall together); unknowns that do not
    move (contacts that press, balls that stick in their seats); numbers of the balls that slide against their seats.
    """

    touching: NDArray[np.intp]
    multiplier: Array
    fixed: NDArray[np.intp]
    sliding: NDArray[np.intp]


def active_blocks(problem: Scaled, h: Array, *, eager: bool = False) -> Active:
    """What touches at h; `eager` also counts whatever is pushed outward near its boundary, however lightly."""
    index, diagonal, owner = problem.index, np.diag(problem.P), problem.owners()
    force = -(problem.P @ h + problem.q)
    along = index.sums(force * h)
    # Force and room to the boundary exclude each other; the larger of the two, in comparable units, decides.
    stiffness = np.maximum.reduceat(diagonal, index.starts)
    walled = np.isfinite(problem.radii) & ~index.half_line
    room = 1.0 - index.lengths(h)
    least = 1e-12 * float(np.sum(np.abs(along))) if eager else stiffness * np.maximum(room, 0.0)
    touches = walled & (along - problem.seats > least) & (room < _NEAR)
    # In the same way the force under the seat and the way already slid exclude each other.
    seated = (problem.seats > 0.0) & ~touches
    sticks = seated & (index.lengths(force + _spring(stiffness)[owner] * h) <= problem.seats)
    lines = index.starts[index.half_line]
    pressed = lines[-force[lines] > np.maximum(diagonal[lines], 1.0) * np.abs(h[lines])]
    return Active(
        touching=np.flatnonzero(touches),
        multiplier=along[touches],
        fixed=np.concatenate([pressed, np.flatnonzero(sticks[owner])]),
        sliding=np.flatnonzero(seated & ~sticks),
    )


def resting_blocks(problem: Scaled, h: Array) -> Active:
    """What touches at an answer h; what stands at zero sticks, though rounding may put its force past the seat."""
    active = active_blocks(problem, h)
    still = problem.index.lengths(h)[active.sliding] == 0.0
    at_zero = np.flatnonzero(np.isin(problem.owners(), active.sliding[still]))
    return replace(active, fixed=np.concatenate([active.fixed, at_zero]), sliding=active.sliding[~still])


def _spring(stiffness: Array) -> Array:
    return np.asarray(np.where(stiffness > 0.0, stiffness, 1.0))


def optimality_matrix(problem: Scaled, h: Array, active: Active) -> tuple[Array, int]:
    """Derivative of the optimality conditions in (h, multipliers), and the number of unknowns h.

    A ridge far below any real stiffness keeps it invertible along free mechanisms; it changes steps, not answers.
    """
    width, count, owner = problem.size, len(active.touching), problem.owners()
    matrix = np.zeros((width + count, width + count))
    matrix[:width, :width] = problem.P
    diagonal = np.diag_indices(width)
    shift = np.zeros(len(problem.blocks))
    shift[active.touching] = active.multiplier
    matrix[diagonal] += shift[owner]
    # Of each its own share: sizes differ by thousands, and a share of the largest would bury the smallest.
    matrix[diagonal] += _RIDGE * np.maximum(matrix[diagonal], 1e-6 * float(np.max(np.diag(problem.P))))
    force = -(problem.P @ h + problem.q)
    for number in active.sliding:
        part = slice(problem.blocks[number].start, problem.blocks[number].stop)
        matrix[part, part] += _seat_curvature(h[part], force[part], float(problem.seats[number]))
    normals = np.where(owner[:, None] == active.touching[None, :], h[:, None], 0.0)
    matrix[:width, width:] = normals
    matrix[width:, :width] = normals.T
    matrix[active.fixed, :] = 0.0
    matrix[active.fixed, active.fixed] = np.maximum(np.diag(problem.P)[active.fixed], 1.0)
    return matrix, width


def _seat_curvature(h: Array, force: Array, seat: float) -> Array:
    """Derivative (k, k) of seat × h/|h|: (seat/|h|)(1 - ĥĥᵀ), with the force, at most the seat, for one seat × ĥ.

    At an answer the two are the same; on the way there the force is the better guess of the direction.
    Source: T. F. Chan, G. H. Golub, P. Mulet, SIAM J. Sci. Comput. 20 (1999) 1964-1977 (from memory).
    """
    length = float(np.linalg.norm(h))
    carried = force * min(1.0, seat / max(float(np.linalg.norm(force)), 1e-300))
    return np.asarray((seat * np.eye(len(h)) - np.outer(carried, h / length)) / length)


def _released(problem: Scaled, h: Array, active: Active) -> Array:
    """h with every sliding block that still stands at zero moved off along its force, by its own stiffness."""
    h = h.copy()
    force = -(problem.P @ h + problem.q)
    for number in active.sliding:
        part = slice(problem.blocks[number].start, problem.blocks[number].stop)
        if np.any(h[part]):
            continue
        size, stiffness = float(np.linalg.norm(force[part])), float(np.max(np.diag(problem.P)[part]))
        over = (size - float(problem.seats[number])) / (stiffness if stiffness > 0.0 else 1.0)
        h[part] = min(over, 0.5 * float(problem.radii[number])) * force[part] / size
    return h


def newton_step(problem: Scaled, h: Array, *, eager: bool) -> Array:
    """One Newton step on P h + q + λ h = 0, |h| = 1 over the touching and P h + q + seat h/|h| = 0 over the sliding."""
    active = active_blocks(problem, h, eager=eager)
    h = _released(problem, h, active)
    matrix, width = optimality_matrix(problem, h, active)
    multiplier = np.zeros(len(problem.blocks))
    multiplier[active.touching] = active.multiplier
    lengths = problem.index.lengths(h)
    multiplier[active.sliding] = problem.seats[active.sliding] / lengths[active.sliding]
    residual = np.zeros(len(matrix))
    residual[:width] = problem.P @ h + problem.q + multiplier[problem.owners()] * h
    residual[width:] = 0.5 * (lengths[active.touching] ** 2 - 1.0)
    residual[active.fixed] = matrix[active.fixed, active.fixed] * h[active.fixed]
    return np.asarray(h - solved(matrix, residual)[:width])


def solved(matrix: Array, right: Array) -> Array:
    """matrix⁻¹ right; where a free mechanism makes the matrix singular, the shortest least-squares answer."""
    try:
        step = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-12)[0])
    if np.linalg.norm(matrix @ step - right) > 1e-6 * max(float(np.linalg.norm(right)), 1e-30):
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-12)[0])
    return np.asarray(step)
