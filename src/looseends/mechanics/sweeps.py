"""Exact block by block descent: slow, but it always goes down; the last resort of the lash problem."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block


def swept(
    P: Array,
    q: Array,
    blocks: Sequence[Block],
    h: Array,
    sweeps: int,
    seats: Array | None = None,
    radii: Array | None = None,
) -> Array:
    """h (p,) after `sweeps` rounds, each block in turn put at its own least energy with all others held.

    Minimizes ½ hᵀP h + qᵀh + Σ seat |h_b| over balls (of radius 1 unless `radii` (blocks,) are given) and half-lines;
    the energy never rises.
    Source: block coordinate descent, e.g. D. P. Bertsekas, Nonlinear Programming, sec. 2.7 (from memory).
    """
    h = h.copy()
    for _ in range(sweeps):
        for number, block in enumerate(blocks):
            part = slice(block.start, block.stop)
            rest = q[part] + P[part] @ h - P[part, part] @ h[part]
            if block.kind == "half-line":
                stiffness = float(P[block.start, block.start])
                h[part] = max(0.0, -float(rest[0]) / stiffness) if stiffness > 0.0 else h[part]
            else:
                seat = 0.0 if seats is None else float(seats[number])
                radius = 1.0 if radii is None else float(radii[number])
                h[part] = least_in_ball(P[part, part], rest, seat, radius)
    return h


def least_in_ball(P: Array, q: Array, seat: float = 0.0, radius: float = 1.0) -> Array:
    """Least point (k,) of ½ hᵀP h + qᵀh + seat |h| with |h| <= radius, P (k, k) positive semidefinite.

    h = -(P + m)⁻¹ q, where m |h| = seat inside the ball and m |h| > seat on its boundary; zero while |q| <= seat.
    Source: the trust region subproblem; J. J. Moré, D. C. Sorensen, SIAM J. Sci. Stat. Comput. 4 (1983) 553-572.
    """
    size = float(np.linalg.norm(q))
    if size <= seat:
        return np.zeros(len(q))
    values, vectors = np.linalg.eigh(P)
    values = np.maximum(values, 0.0)
    turned = vectors.T @ q
    floor = 1e-14 * max(float(values[-1]), size, 1e-300)

    def point(multiplier: float) -> Array:
        return np.asarray(-vectors @ (turned / (values + multiplier + floor)))

    def length(multiplier: float) -> float:
        return float(np.linalg.norm(turned / (values + multiplier + floor)))

    inside = 0.0
    if seat > 0.0:
        # m |h| grows with m, from nothing to |q|; at the upper end it is past the seat even for the stiffest direction.
        most = 2.0 * seat * (float(values[-1]) + floor) / (size - seat) + floor
        inside = _root(lambda m: m * length(m) - seat, most)
    if length(inside) <= radius:
        return point(inside)
    # At a multiplier of |q|/radius the point is inside already, so the root lies between.
    return point(inside + _root(lambda m: length(inside + m) - radius, size / radius + floor))


def _root(difference: Callable[[float], float], most: float) -> float:
    """Where a monotonic difference changes its sign between 0 and `most`."""
    from scipy.optimize import brentq  # slow to load, and seldom needed: this is the last resort

    if difference(0.0) * difference(most) >= 0.0:
        return 0.0
    return float(brentq(difference, 0.0, most, xtol=1e-300, rtol=1e-15))
