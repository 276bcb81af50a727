"""One lash problem: rounds of a Newton step along the present face and of block descent, until the gap is closed.

The energy never rises. A step that would leave sets is first tried, whole and shortened, with every block put back on
its wall; if that does not help it ends at the first wall, the blocks met are pinned and the rest goes on (a primal
active set method).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy import bool_
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled, compiled_within
from looseends.mechanics.kernel.descent import gap_and_scale, sweep
from looseends.mechanics.kernel.face import HELD, INSIDE, TOUCHING, Face, face_matrix, face_slope, find_face, spread
from looseends.mechanics.kernel.room import Room
from looseends.mechanics.kernel.vectors import PIVOT, add_product, copy_into, factor_in_place, fill, solve_in_place

_CLOSED = 1e-14
"""Share of what the walls hold below which the gap is rounding."""

_GOOD, _FAIR = 1e-10, 1e-9
_PATIENCE = 10
"""Rounds without a smaller gap after which the answer is left to the certified solver."""

_NEAR, _ARRIVED = 1e-5, 1e-8
"""Whole Newton steps as short as these shares of the point: the next is far shorter; nothing but rounding is left."""

_SHRINKS, _SHRINKS_FAST = 0.9, 0.25

_SHORTER = 0.3
_TRIALS = 8
_BENT = 2
"""A step is shortened so often along the bent path that puts many blocks on their walls, before it goes straight."""

_NOTHING, _TO_WALL, _SHORTENED, _THROUGH = 0, 1, 2, 3

_MOST_DAMPED = 1e-2

_TOGETHER = 1.01
"""Blocks that meet their walls within a hundredth of the first are pinned with it."""


class Space(NamedTuple):
    """Where one problem is worked on: gradient r, steps and their products (n,), matrix (n, n), the face, pins (b,).

    n is the number of unknowns and two that are zero in all: three are read at once from any unknown on. `multipliers`
    (b,) are the balls' last ones, `before` (n,) is a point to come back to.
    """

    r: Array
    x: Array
    d: Array
    Pd: Array
    row: Array
    before: Array
    multipliers: Array
    H: Array
    face: Face
    pinned: NDArray[bool_]


@compiled_within
def space_in(room: Room, n: int, b: int) -> Space:
    """The part of a room for n - 2 unknowns in b blocks."""
    rows, numbers = room.rows, room.numbers
    face = Face(numbers[0][:b], rows[0][:b], numbers[1][: b + 1], numbers[2][:n], rows[1:4])
    r, x, d, Pd, row, before = rows[4][:n], rows[5][:n], rows[6][:n], rows[7][:n], rows[8][:n], rows[9][:n]
    for vector in (r, x, d, Pd, row, before):
        fill(vector, 0.0)
    return Space(r, x, d, Pd, row, before, rows[10][:b], room.H, face, room.flags[0][:b])


@compiled
def least_energy(P: Array, q: Array, blocks: Blocks, h: Array, rounds: int, patient: bool, space: Space) -> int:
    """h (n,) becomes the least point of ½ hᵀP h + qᵀh + seats over the blocks, from the feasible h handed in.

    `patient`: descent between all steps, and no end while there is hope; else it ends as soon as steps are short.
    The number of rounds taken; whether the answer is good is for the certificate to say. space.r holds P h + q then.
    """
    r = space.r
    _gradient(P, q, h, r)
    multipliers = space.multipliers
    copy_into(multipliers, blocks.seats)
    if patient or _longest(h) == 0.0:
        sweep(P, r, h, blocks, multipliers)
    best, patience, settled, sweeps = 1e300, 0, 0, 1
    damping, near, arrived = PIVOT, False, False
    for round_number in range(rounds):
        gap, scale = gap_and_scale(r, h, blocks)
        if gap <= _CLOSED * scale:
            return round_number
        patience = 0 if gap < _SHRINKS * best else patience + 1
        settled = settled + 1 if gap > _SHRINKS_FAST * best else 0
        best = min(best, gap)
        if (settled > 0 or near) and gap <= _GOOD * scale:
            return round_number
        if (settled > 0 and arrived) or (settled > 2 and gap <= _FAIR * scale) or patience > _PATIENCE:
            _refine(P, q, h, blocks, gap, space)
            return round_number
        # Where no Newton step helps, descent alone has to find another face.
        outcome = newton_round(P, h, blocks, damping, space)
        sweeps = min(20, 2 * sweeps + 1) if outcome == _NOTHING else 1
        step = _longest(space.d) / (1.0 + _longest(h))
        whole = outcome == _THROUGH and not patient
        near, arrived = whole and step <= _NEAR, whole and step <= _ARRIVED
        damping = max(PIVOT, 0.01 * damping) if outcome == _THROUGH else min(_MOST_DAMPED, max(1e-7, 10.0 * damping))
        # After a whole step descent finds little that the next one does not.
        if not whole:
            for _ in range(sweeps):
                sweep(P, r, h, blocks, multipliers)
    return rounds


@compiled
def _longest(d: Array) -> float:
    longest = 0.0
    for i in range(d.shape[0]):
        longest = max(longest, abs(d[i]))
    return longest


@compiled
def _gradient(P: Array, q: Array, h: Array, r: Array) -> None:
    copy_into(r, q)
    add_product(r, P, h, 1.0)


@compiled_within
def _refine(P: Array, q: Array, h: Array, blocks: Blocks, gap: float, space: Space) -> None:
    """A last whole Newton step from a gradient computed anew, where energies no longer tell; kept if it closes the gap.

    What far walls make of the last digits of a force is all that is left here.
    """
    before = space.before
    copy_into(before, h)
    _gradient(P, q, h, space.r)
    fill(space.pinned, False)
    m = find_face(space.r, h, blocks, space.pinned, space.face)
    if m > 0:
        face_matrix(P, h, blocks, space.face, m, PIVOT, space.row, space.H)
        face_slope(space.r, h, blocks, space.face, m, space.x)
        factor_in_place(space.H, m, space.row)
        solve_in_place(space.H, space.x, m)
        spread(space.x, 1.0, space.face, m, space.d)
        _retracted(P, h, blocks, space)
        for i in range(h.shape[0]):
            h[i] += space.d[i]
        _gradient(P, q, h, space.r)
    closer, _ = gap_and_scale(space.r, h, blocks)
    if not closer < gap:
        copy_into(h, before)
        _gradient(P, q, h, space.r)


@compiled_within
def newton_round(P: Array, h: Array, blocks: Blocks, damping: float, space: Space) -> int:
    """Newton steps from face to face until one goes through.

    _THROUGH if the first step went through whole, _TO_WALL if the energy fell at all, _NOTHING if not.
    """
    fell = _NOTHING
    fill(space.pinned, False)
    pinned = 0
    for attempt in range(blocks.starts.shape[0] + 1):
        m = find_face(space.r, h, blocks, space.pinned, space.face)
        if m == 0:
            return fell
        face_matrix(P, h, blocks, space.face, m, damping, space.row, space.H)
        face_slope(space.r, h, blocks, space.face, m, space.x)
        factor_in_place(space.H, m, space.row)
        solve_in_place(space.H, space.x, m)
        outcome = _step_until_lower(P, h, blocks, space, m)
        if outcome != _NOTHING:
            fell = _THROUGH if attempt == 0 and outcome == _THROUGH else _TO_WALL
        count = 0
        for b in range(blocks.starts.shape[0]):
            count += space.pinned[b]
        if outcome >= _SHORTENED or count == pinned:
            return fell
        pinned = count
    return fell


@compiled_within
def _step_until_lower(P: Array, h: Array, blocks: Blocks, space: Space, m: int) -> int:
    """Take the step x whole, else shortened, else up to the first wall; taken is only what lowers the energy."""
    share, room = 1.0, -1.0
    for trial in range(_TRIALS):
        spread(space.x, share, space.face, m, space.d)
        if _retracted(P, h, blocks, space) < 0.0:
            for i in range(h.shape[0]):
                h[i] += space.d[i]
                space.r[i] += space.Pd[i]
            if trial == 0:
                return _THROUGH
            return _TO_WALL if share == room else _SHORTENED
        share *= _SHORTER
        if room < 0.0 and trial == _BENT:
            spread(space.x, 1.0, space.face, m, space.d)
            room = _pin_first_met(h, blocks, space)
            if room < 1e-15:
                return _NOTHING
            share = room if room < 1.0 else share
    return _NOTHING


@compiled
def _retracted(P: Array, h: Array, blocks: Blocks, space: Space) -> float:
    """The step d is made feasible (touching balls on their wall, others put back), Pd = P d; the change of energy."""
    d, Pd = space.d, space.Pd
    change = 0.0
    for b in range(blocks.starts.shape[0]):
        s, state = blocks.starts[b], space.face.state[b]
        if state == HELD:
            continue
        if blocks.half_line[b]:
            d[s] = max(-h[s], d[s])
            continue
        length = before = 0.0
        for i in range(s, s + blocks.sizes[b]):
            length += (h[i] + d[i]) ** 2
            before += h[i] * h[i]
        length = np.sqrt(length)
        if blocks.bounded[b] and length > 0.0 and (state == TOUCHING or length > 1.0):
            for i in range(s, s + blocks.sizes[b]):
                d[i] = (h[i] + d[i]) / length - h[i]
            length = 1.0
        change += blocks.seats[b] * (length - np.sqrt(before))
    fill(Pd, 0.0)
    add_product(Pd, P, d, 1.0)
    for i in range(h.shape[0]):
        change += d[i] * (space.r[i] + 0.5 * Pd[i])
    return change


@compiled_within
def _pin_first_met(h: Array, blocks: Blocks, space: Space) -> float:
    """Share of the step d up to the first wall that a block inside meets, 1 if none; those that meet it are pinned."""
    room = 1.0
    for b in range(blocks.starts.shape[0]):
        if space.face.state[b] == INSIDE:
            room = min(room, _room_of(h, blocks, space.d, b))
    if room < 1.0:
        for b in range(blocks.starts.shape[0]):
            if space.face.state[b] == INSIDE and _room_of(h, blocks, space.d, b) <= _TOGETHER * room + 1e-12:
                space.pinned[b] = True
    return room


@compiled
def _room_of(h: Array, blocks: Blocks, d: Array, b: int) -> float:
    s = blocks.starts[b]
    if blocks.half_line[b]:
        return min(1.0, -h[s] / d[s]) if d[s] < 0.0 else 1.0
    if blocks.seats[b] > 0.0 and blocks.sizes[b] == 1 and h[s] * d[s] < 0.0:
        # Back to where the seat takes hold.
        return float(min(1.0, -h[s] / d[s]))
    if not blocks.bounded[b]:
        return 1.0
    square = along = 0.0
    beyond = -1.0
    for i in range(s, s + blocks.sizes[b]):
        square += d[i] * d[i]
        along += h[i] * d[i]
        beyond += h[i] * h[i]
    if square == 0.0 or square + 2.0 * along + beyond <= 0.0:
        return 1.0
    beyond = min(beyond, 0.0)
    root = np.sqrt(max(along * along - square * beyond, 0.0))
    # Of the two forms of the root the one that subtracts nothing.
    share = (root - along) / square if along <= 0.0 else -beyond / (along + root)
    return float(min(1.0, max(0.0, share)))
