"""Block descent: each block in turn goes to its own least energy; and how far the whole is from the least."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import OPEN_CONTACT_LIMIT
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled
from looseends.mechanics.kernel.vectors import add_scaled, add_three

_ROUNDING = 1e-13
_STEPS = 30
_EXACT = 1e-12
"""A multiplier is found once its next step would change the length of h by less than this share."""


@compiled
def sweep(P: Array, r: Array, h: Array, blocks: Blocks, multipliers: Array) -> None:
    """One round over all blocks; the gradient r = P h + q is kept up to date, and each ball's last multiplier.

    Source: block coordinate descent, e.g. D. P. Bertsekas, Nonlinear Programming, sec. 2.7 (from memory).
    """
    for b in range(blocks.starts.shape[0]):
        s, k = blocks.starts[b], blocks.sizes[b]
        if blocks.half_line[b]:
            if P[s, s] > 0.0:
                _move(P, r, h, s, max(0.0, h[s] - r[s] / P[s, s]))
            continue
        # Gradient of this block with its own part of h taken back.
        c0, c1, c2 = r[s] - P[s, s] * h[s], 0.0, 0.0
        if k > 1:
            c0 -= P[s, s + 1] * h[s + 1]
            c1 = r[s + 1] - P[s + 1, s] * h[s] - P[s + 1, s + 1] * h[s + 1]
        if k > 2:
            c0 -= P[s, s + 2] * h[s + 2]
            c1 -= P[s + 1, s + 2] * h[s + 2]
            c2 = r[s + 2] - P[s + 2, s] * h[s] - P[s + 2, s + 1] * h[s + 1] - P[s + 2, s + 2] * h[s + 2]
        h0, h1, h2, multipliers[b] = ball_least(P, s, k, c0, c1, c2, blocks.seats[b], blocks.bounded[b], multipliers[b])
        if k == 1:
            _move(P, r, h, s, h0)
            continue
        change = h2 - h[s + 2] if k > 2 else 0.0
        add_three(r, P, s, h0 - h[s], h1 - h[s + 1], change)
        h[s], h[s + 1] = h0, h1
        if k > 2:
            h[s + 2] = h2


@compiled
def _move(P: Array, r: Array, h: Array, i: int, value: float) -> None:
    change = value - h[i]
    if change != 0.0:
        h[i] = value
        add_scaled(r, P[i], change)


@compiled
def ball_least(
    P: Array, s: int, k: int, c0: float, c1: float, c2: float, seat: float, bounded: bool, multiplier: float
) -> tuple[float, float, float, float]:
    """Least point of ½ hᵀP h + c·h + seat |h| in the unit ball (or without a wall), and its multiplier.

    P's block starts at s and has k = 1 to 3 unknowns; the multiplier is counted as (P + multiplier) h = -c, wall and
    seat together, and is searched by Newton's method on the length of h, from the one handed in.
    Source: the trust region subproblem; J. J. Moré, D. C. Sorensen, SIAM J. Sci. Stat. Comput. 4 (1983) 553-572.
    """
    square = c0 * c0 + c1 * c1 + c2 * c2
    pull = np.sqrt(square)
    if pull <= seat:
        return 0.0, 0.0, 0.0, multiplier
    if k == 1:
        return _interval_least(P[s, s], c0, pull - seat, bounded), 0.0, 0.0, 0.0
    a00, a10, a11 = P[s, s], P[s + 1, s], P[s + 1, s + 1]
    a20, a21, a22 = 0.0, 0.0, 1.0
    trace = a00 + a11
    along = c0 * (a00 * c0 + 2.0 * a10 * c1) + a11 * c1 * c1
    if k == 3:
        a20, a21, a22 = P[s + 2, s], P[s + 2, s + 1], P[s + 2, s + 2]
        trace += a22
        along += c2 * (2.0 * (a20 * c0 + a21 * c1) + a22 * c2)
    ridge = _ROUNDING * trace + 1e-14 * pull
    m = max(multiplier, 1e-3 * seat) if bounded or seat > 0.0 else 0.0
    if bounded and seat == 0.0:
        # |(P + m)⁻¹c| is at least |c| over the mean of P + m along c, so the multiplier is no smaller than this.
        m = max(m, pull - along / square)
    h0 = h1 = h2 = 0.0
    for _ in range(_STEPS):
        i0 = 1.0 / (a00 + ridge + m)
        l10, l20 = a10 * i0, a20 * i0
        i1 = 1.0 / max(a11 + ridge + m - l10 * a10, ridge)
        b21 = a21 - l20 * a10
        l21 = b21 * i1
        i2 = 1.0 / max(a22 + ridge + m - l20 * a20 - l21 * b21, ridge)
        y1 = -c1 + l10 * c0
        h2 = (-c2 + l20 * c0 - l21 * y1) * i2
        h1 = y1 * i1 - l21 * h2
        h0 = -c0 * i0 - l10 * h1 - l20 * h2
        square = h0 * h0 + h1 * h1 + h2 * h2
        length = np.sqrt(square)
        w1 = h1 - l10 * h0
        w2 = h2 - l20 * h0 - l21 * w1
        slope = h0 * h0 * i0 + w1 * w1 * i1 + w2 * w2 * i2  # minus half of the derivative of |h|² by the multiplier
        new = _next_multiplier(m, length, square, slope, seat, bounded)
        if abs(new - m) * slope <= _EXACT * square:
            break
        m = new
    length = np.sqrt(h0 * h0 + h1 * h1 + h2 * h2)
    if bounded and length > 1.0 - 10.0 * _EXACT:
        return h0 / length, h1 / length, h2 / length, m
    return h0, h1, h2, m


@compiled
def _interval_least(stiffness: float, c: float, beyond_seat: float, bounded: bool) -> float:
    if stiffness <= 0.0:
        # Pulled and held by nothing: to the wall, or nowhere if there is none.
        return float(-np.sign(c)) if bounded else 0.0
    h = float(-np.sign(c) * beyond_seat / stiffness)
    return min(1.0, max(-1.0, h)) if bounded else h


@compiled
def _next_multiplier(m: float, length: float, square: float, slope: float, seat: float, bounded: bool) -> float:
    """One Newton step toward the multiplier: the larger of what the wall asks (|h| = 1) and the seat (m |h| = seat).

    The length falls with m and m |h| rises, so at the larger of the two both hold: |h| <= 1, and m |h| >= seat with
    equality inside the wall.
    """
    wall = m + square / slope * (length - 1.0) if bounded else 0.0
    sliding = 0.0
    if seat > 0.0:
        sliding = max(0.01 * m, m - (m * length - seat) / (length - m * slope / length))
    return max(wall, sliding, 0.0)


@compiled
def gap_and_scale(r: Array, h: Array, blocks: Blocks) -> tuple[float, float]:
    """The duality gap of h with gradient r [N·mm], and what the walls hold: the sum over the balls of |r|."""
    gap, scale = 0.0, 1e-30
    for b in range(blocks.starts.shape[0]):
        s = blocks.starts[b]
        if blocks.half_line[b]:
            gap += max(-r[s], 0.0) * OPEN_CONTACT_LIMIT + r[s] * h[s]
            continue
        length = force = along = 0.0
        for i in range(s, s + blocks.sizes[b]):
            length += h[i] * h[i]
            force += r[i] * r[i]
            along -= r[i] * h[i]
        beyond = max(0.0, np.sqrt(force) - blocks.seats[b])
        reach = beyond if blocks.bounded[b] else beyond * OPEN_CONTACT_LIMIT
        gap += reach - along + blocks.seats[b] * np.sqrt(length)
        if blocks.bounded[b]:
            scale += beyond + abs(along)
    return gap, scale
