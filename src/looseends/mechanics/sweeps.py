"""Exact block by block descent: slow, but it always goes down; the last resort of the lash problem."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import brentq

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block


def swept(P: Array, q: Array, blocks: Sequence[Block], h: Array, sweeps: int) -> Array:
    """h (p,) after `sweeps` rounds, each block in turn put at its own least energy with all others held.

    Minimizes ½ hᵀP h + qᵀh over unit balls and half-lines; the energy never rises.
    Source: block coordinate descent, e.g. D. P. Bertsekas, Nonlinear Programming, sec. 2.7 (from memory).
    """
    h = h.copy()
    for _ in range(sweeps):
        for block in blocks:
            part = slice(block.start, block.stop)
            rest = q[part] + P[part] @ h - P[part, part] @ h[part]
            if block.kind == "half-line":
                stiffness = float(P[block.start, block.start])
                h[part] = max(0.0, -float(rest[0]) / stiffness) if stiffness > 0.0 else h[part]
            else:
                h[part] = least_in_ball(P[part, part], rest)
    return h


def least_in_ball(P: Array, q: Array) -> Array:
    """Least point (k,) of ½ hᵀP h + qᵀh in the unit ball, P (k, k) positive semidefinite.

    Source: the trust region subproblem; J. J. Moré, D. C. Sorensen, SIAM J. Sci. Stat. Comput. 4 (1983) 553-572.
    """
    values, vectors = np.linalg.eigh(P)
    values = np.maximum(values, 0.0)
    turned = vectors.T @ q
    floor = 1e-14 * max(float(values[-1]), float(np.linalg.norm(q)), 1e-300)

    def length(multiplier: float) -> float:
        return float(np.linalg.norm(turned / (values + multiplier + floor)))

    if length(0.0) <= 1.0:
        return np.asarray(-vectors @ (turned / (values + floor)))
    # At a multiplier of |q| the point is inside already, so the root lies between.
    multiplier = brentq(lambda m: length(m) - 1.0, 0.0, float(np.linalg.norm(q)) + floor, xtol=1e-300, rtol=1e-15)
    return np.asarray(-vectors @ (turned / (values + float(multiplier) + floor)))
