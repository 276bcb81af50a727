"""One problem of a batch: scaled to unit balls, solved, certified and put back in mm and N."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy import bool_, intp
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import GAP_TOLERANCE, OPEN_CONTACT_LIMIT, ROUNDING
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled_sums, compiled_within
from looseends.mechanics.kernel.descent import gap_and_scale
from looseends.mechanics.kernel.face import face_matrix, find_face, on_face, spread
from looseends.mechanics.kernel.newton import Space, least_energy, space_in
from looseends.mechanics.kernel.room import Room
from looseends.mechanics.kernel.vectors import (
    PIVOT,
    add_product,
    add_scaled,
    copy_into,
    factor_in_place,
    fill,
    solve_in_place,
)

_LOADED = 1e-6
"""A ball of a start that carries more energy than this [N·mm] starts on its wall."""


class Batch(NamedTuple):
    """Problems that share a stiffness; shapes and units as in `solve_many`, starts and stops (b,) of the blocks."""

    S: Array
    loads: Array
    semi: Array
    seats: Array
    softness: Array
    df: Array
    start_g: Array
    start_f: Array
    starts: NDArray[intp]
    stops: NDArray[intp]
    half_line: NDArray[bool_]


class Scaled(NamedTuple):
    """One problem without its locked axes: P, q and blocks in h, h itself, and the way back: g[keep] = scale × h.

    Behind the unknowns P, q and h have two that are zero, as in `newton.Space`.
    """

    P: Array
    q: Array
    h: Array
    blocks: Blocks
    keep: NDArray[intp]
    scale: Array


@compiled_within
def answer(batch: Batch, i: int, room: Room, g: Array, f: Array, slope: Array, rounds: int) -> float:
    """Solve problem i; g, f and slope (p,) are filled; the energy-scaled gap, infinite where something ran away."""
    scaled = _scaled(batch, i, room)
    p, h = scaled.keep.shape[0], scaled.h
    space = space_in(room, p + 2, scaled.blocks.starts.shape[0])
    if batch.start_g.shape[0] > 0:
        _begin(batch, i, scaled, h)
    gap = np.inf
    for attempt in range(2):
        least_energy(scaled.P, scaled.q, scaled.blocks, h, rounds, attempt > 0, space)
        gap = _certified(batch, i, room, scaled, h, space, g, f)
        if gap <= GAP_TOLERANCE:
            break
    if p > 0 and batch.df.shape[0] > 0:
        _slope(batch, scaled, h, space, slope)
    return gap


@compiled_within
def _certified(batch: Batch, i: int, room: Room, scaled: Scaled, h: Array, space: Space, g: Array, f: Array) -> float:
    """Fill g and f (p,) from h; the energy-scaled gap. space.r becomes the gradient that f leaves."""
    p = scaled.keep.shape[0]
    for v in range(p):
        g[scaled.keep[v]] = scaled.scale[v] * h[v]
    _forces(batch, i, g, f)
    if p == 0:
        return 0.0
    for v in range(p):
        space.r[v] = -scaled.scale[v] * f[scaled.keep[v]]
    if not _within_far_walls(scaled.blocks, h):
        return np.inf
    gap, _ = gap_and_scale(space.r, h, scaled.blocks)
    gap -= _rounded(batch, i, scaled, space.r, g)
    return gap / _energy_in_play(batch, i, scaled.blocks, h, g, f, room)


@compiled_within
def _within_far_walls(blocks: Blocks, h: Array) -> bool:
    """Whether what has no wall of its own stays within the far one that the certificate counts with."""
    for b in range(blocks.starts.shape[0]):
        square = 0.0
        for v in range(blocks.starts[b], blocks.starts[b] + blocks.sizes[b]):
            square += h[v] * h[v]
        if not blocks.bounded[b] and square > OPEN_CONTACT_LIMIT**2:
            return False
    return True


@compiled_within
def _rounded(batch: Batch, i: int, scaled: Scaled, r: Array, g: Array) -> float:
    """The share of the gap [N·mm] that a far wall makes of the last digits of a force: no force, so no gap.

    The same as `gaps.support_gaps` leaves out on half-lines and on balls without a wall.
    """
    total = 0.0
    for b in range(scaled.blocks.starts.shape[0]):
        if scaled.blocks.bounded[b]:
            continue
        force = allowance = 0.0
        for v in range(scaled.blocks.starts[b], scaled.blocks.starts[b] + scaled.blocks.sizes[b]):
            k = scaled.keep[v]
            terms = abs(batch.loads[i, k]) + batch.softness[i, k] * abs(g[k])
            for w in range(g.shape[0]):
                terms += abs(batch.S[k, w] * g[w])
            allowance += (ROUNDING * terms) ** 2
            force += r[v] * r[v]
        if scaled.blocks.half_line[b]:
            beyond = max(-r[scaled.blocks.starts[b]], 0.0)
        else:
            beyond = max(np.sqrt(force) - scaled.blocks.seats[b], 0.0)
        total += OPEN_CONTACT_LIMIT * min(beyond, np.sqrt(allowance))
    return total


@compiled_within
def _scaled(batch: Batch, i: int, room: Room) -> Scaled:
    semi, rows, numbers, flags = batch.semi[i], room.rows, room.numbers, room.flags
    keep, scale = numbers[5], rows[11]
    arrays = Blocks(numbers[3], numbers[4], flags[1], flags[2], rows[12])
    n = at = 0
    for b in range(batch.starts.shape[0]):
        first, radius = n, 0.0
        endless = False
        for v in range(batch.starts[b], batch.stops[b]):
            if semi[v] > 0.0:
                keep[n] = v
                scale[n] = 1.0 if np.isinf(semi[v]) else semi[v]
                radius = max(radius, 0.0 if np.isinf(semi[v]) else semi[v])
                endless = endless or np.isinf(semi[v])
                n += 1
        if n > first:
            arrays.starts[at], arrays.sizes[at] = first, n - first
            arrays.half_line[at] = batch.half_line[b]
            arrays.bounded[at] = not endless and not batch.half_line[b]
            arrays.seats[at] = batch.seats[i, b] * (radius if radius > 0.0 else 1.0)
            at += 1
    P, q, h = room.P, rows[13][: n + 2], rows[14][: n + 2]
    fill(q, 0.0)
    fill(h, 0.0)
    for v in range(n):
        row, factor, target = batch.S[keep[v]], scale[v], P[v]
        q[v] = -factor * batch.loads[i, keep[v]]
        for w in range(n):
            target[w] = factor * scale[w] * row[keep[w]]
        target[v] += factor * factor * batch.softness[i, keep[v]]
        target[n] = target[n + 1] = 0.0
    for v in range(n, n + 2):
        for w in range(n + 2):
            P[v, w] = 0.0
    blocks = Blocks(
        arrays.starts[:at], arrays.sizes[:at], arrays.half_line[:at], arrays.bounded[:at], arrays.seats[:at]
    )
    return Scaled(P, q, h, blocks, keep[:n], scale[:n])


@compiled_within
def _begin(batch: Batch, i: int, scaled: Scaled, h: Array) -> None:
    """Start from a like answer: each ball that carried force on its own wall along that force, the rest put inside."""
    blocks = scaled.blocks
    for b in range(blocks.starts.shape[0]):
        s, e = blocks.starts[b], blocks.starts[b] + blocks.sizes[b]
        force = length = 0.0
        for v in range(s, e):
            h[v] = batch.start_g[i, scaled.keep[v]] / scaled.scale[v]
            length += h[v] ** 2
            force += (scaled.scale[v] * batch.start_f[i, scaled.keep[v]]) ** 2
        if blocks.half_line[b]:
            h[s] = max(0.0, h[s])
        elif blocks.bounded[b] and force > (_LOADED + blocks.seats[b]) ** 2:
            for v in range(s, e):
                h[v] = scaled.scale[v] * batch.start_f[i, scaled.keep[v]] / np.sqrt(force)
        elif blocks.bounded[b] and length > 1.0:
            for v in range(s, e):
                h[v] /= np.sqrt(length)


@compiled_sums
def _forces(batch: Batch, i: int, g: Array, f: Array) -> None:
    """f = load - S g - softness g: what the joints' walls and seats carry."""
    for v in range(g.shape[0]):
        f[v] = batch.loads[i, v] - batch.softness[i, v] * g[v]
    add_product(f, batch.S, g, -1.0)


@compiled_within
def _energy_in_play(batch: Batch, i: int, blocks: Blocks, h: Array, g: Array, f: Array, room: Room) -> float:
    """What the gap is measured against [N·mm]: the same as `certificate.certify` counts."""
    p = g.shape[0]
    locked, moved = room.rows[15][:p], room.rows[16][:p]
    copy_into(locked, batch.loads[i])
    copy_into(moved, g)
    pressed = 0.0
    for b in range(batch.starts.shape[0]):
        v = batch.starts[b]
        if batch.half_line[b]:
            if g[v] != 0.0:
                add_scaled(locked, batch.S[v], -g[v])
                locked[v] -= batch.softness[i, v] * g[v]
            moved[v] = 0.0
            pressed += min(f[v], 0.0) ** 2
    stored = against = walls = whole = stiffest = 0.0
    for v in range(p):
        stored += moved[v] * (locked[v] - f[v])
        against += locked[v] * moved[v]
        walls += 0.0 if np.isinf(batch.semi[i, v]) else abs(batch.semi[i, v] * locked[v])
        whole += 0.5 * g[v] * (batch.loads[i, v] - f[v])
        stiffest = max(stiffest, batch.S[v, v] + batch.softness[i, v])
    seated = 0.0
    for b in range(blocks.starts.shape[0]):
        length = 0.0
        for v in range(blocks.starts[b], blocks.starts[b] + blocks.sizes[b]):
            length += h[v] * h[v]
        seated += blocks.seats[b] * np.sqrt(length)
    along = 0.0
    for v in range(p):
        along += batch.loads[i, v] * g[v]
    in_play = 0.5 * stored + abs(against) + walls + pressed / max(stiffest, 1e-30) + seated
    return max(in_play, 1e-5 * (abs(whole) + abs(along)), 1e-9)


@compiled_within
def _slope(batch: Batch, scaled: Scaled, h: Array, space: Space, slope: Array) -> None:
    """dg for the change df of the load, with the same blocks touching, sliding and held."""
    fill(space.pinned, False)
    m = find_face(space.r, h, scaled.blocks, space.pinned, space.face)
    if m == 0:
        return
    face_matrix(scaled.P, h, scaled.blocks, space.face, m, PIVOT, space.row, space.H)
    factor_in_place(space.H, m, space.row)
    for v in range(scaled.keep.shape[0]):
        space.d[v] = scaled.scale[v] * batch.df[scaled.keep[v]]
    on_face(space.d, space.face.column, space.face.direction, 0, m, space.x)
    solve_in_place(space.H, space.x, m)
    spread(space.x, 1.0, space.face, m, space.d)
    for v in range(scaled.keep.shape[0]):
        slope[scaled.keep[v]] = scaled.scale[v] * space.d[v]
