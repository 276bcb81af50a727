"""Block descent: each block in turn goes to its own least energy; and how far the whole is from the least."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import OPEN_CONTACT_LIMIT
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled
from looseends.mechanics.kernel.vectors import add_scaled

_ROUNDING = 1e-13
_STEPS = 30


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
        c0, c1, c2 = r[s], 0.0, 0.0
        if k > 1:
            c1 = r[s + 1]
        if k > 2:
            c2 = r[s + 2]
        for i in range(k):
            c0 -= P[s, s + i] * h[s + i]
            if k > 1:
                c1 -= P[s + 1, s + i] * h[s + i]
            if k > 2:
                c2 -= P[s + 2, s + i] * h[s + i]
        h0, h1, h2, multipliers[b] = ball_least(P, s, k, c0, c1, c2, blocks.seats[b], blocks.bounded[b], multipliers[b])
        _move(P, r, h, s, h0)
        if k > 1:
            _move(P, r, h, s + 1, h1)
        if k > 2:
            _move(P, r, h, s + 2, h2)


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
    pull = np.sqrt(c0 * c0 + c1 * c1 + c2 * c2)
    if pull <= seat:
        return 0.0, 0.0, 0.0, multiplier
    if k == 1:
        return _interval_least(P[s, s], c0, pull - seat, bounded), 0.0, 0.0, 0.0
    a00, a10, a11 = P[s, s], P[s + 1, s], P[s + 1, s + 1]
    a20, a21, a22 = 0.0, 0.0, 1.0
    trace = a00 + a11
    if k == 3:
        a20, a21, a22 = P[s + 2, s], P[s + 2, s + 1], P[s + 2, s + 2]
        trace += a22
    ridge = _ROUNDING * trace + 1e-14 * pull
    m = max(multiplier, 1e-3 * seat) if bounded or seat > 0.0 else 0.0
    h0 = h1 = h2 = 0.0
    for _ in range(_STEPS):
        l00 = np.sqrt(a00 + ridge + m)
        l10, l20 = a10 / l00, a20 / l00
        l11 = np.sqrt(max(a11 + ridge + m - l10 * l10, ridge))
        l21 = (a21 - l20 * l10) / l11
        l22 = np.sqrt(max(a22 + ridge + m - l20 * l20 - l21 * l21, ridge))
        y0 = -c0 / l00
        y1 = (-c1 - l10 * y0) / l11
        y2 = (-c2 - l20 * y0 - l21 * y1) / l22
        h2 = y2 / l22
        h1 = (y1 - l21 * h2) / l11
        h0 = (y0 - l10 * h1 - l20 * h2) / l00
        square = h0 * h0 + h1 * h1 + h2 * h2
        length = np.sqrt(square)
        w0 = h0 / l00
        w1 = (h1 - l10 * w0) / l11
        w2 = (h2 - l20 * w0 - l21 * w1) / l22
        slope = w0 * w0 + w1 * w1 + w2 * w2  # minus half of the derivative of |h|² by the multiplier
        new = _next_multiplier(m, length, square, slope, seat, bounded)
        if abs(new - m) <= 1e-15 * (a00 + m):
            break
        m = new
    length = np.sqrt(h0 * h0 + h1 * h1 + h2 * h2)
    if bounded and length > 1.0 - 1e-12:
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
