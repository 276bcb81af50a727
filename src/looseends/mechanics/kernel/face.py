"""The face that a point lies on: which blocks touch, slide or are held, and the directions left to the others."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy import bool_, intp
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled, compiled_sums, compiled_within
from looseends.mechanics.kernel.vectors import add_three, fill

INSIDE, TOUCHING, HELD = 0, 1, 2

ON_WALL = 1e-9
"""A ball whose |h|² is within this of 1 is on its wall."""


class Face(NamedTuple):
    """States of the blocks, and the directions in which a step may go.

    state (b,): inside (every direction), touching (along the wall) or held; pull (b,): what the wall holds [N·mm];
    first (b + 1,): where each block's directions begin; column (n,): first unknown of three that each direction moves,
    direction (3, n): its coefficients on them.
    """

    state: NDArray[intp]
    pull: Array
    first: NDArray[intp]
    column: NDArray[intp]
    direction: Array


@compiled
def find_face(r: Array, h: Array, blocks: Blocks, pinned: NDArray[bool_], face: Face) -> int:
    """Fill `face` for h with gradient r; the number of directions. Pinned blocks (b,) stay on their wall."""
    m = 0
    for b in range(blocks.starts.shape[0]):
        s, k, seat = blocks.starts[b], blocks.sizes[b], blocks.seats[b]
        face.first[b] = m
        face.pull[b] = 0.0
        length = along = 0.0
        for i in range(s, s + k):
            length += h[i] * h[i]
            along -= r[i] * h[i]
        if blocks.half_line[b]:
            held = pinned[b] or (h[s] == 0.0 and r[s] >= 0.0)
        else:
            held = seat > 0.0 and (length == 0.0 or (pinned[b] and k == 1))
        if held:
            face.state[b] = HELD
            continue
        on_wall = length > 1.0 - ON_WALL and along > seat
        if blocks.bounded[b] and (pinned[b] or on_wall):
            face.pull[b] = max(along, 0.0)
            face.state[b] = TOUCHING if k > 1 else HELD
            m = _along_wall(h, s, k, np.sqrt(length), face, m)
            continue
        face.state[b] = INSIDE
        for i in range(k):
            _point(face, m, s + i, 1.0, 0.0, 0.0)
            m += 1
    face.first[blocks.starts.shape[0]] = m
    return m


@compiled
def _point(face: Face, v: int, column: int, d0: float, d1: float, d2: float) -> None:
    face.column[v] = column
    face.direction[0, v], face.direction[1, v], face.direction[2, v] = d0, d1, d2


@compiled
def _along_wall(h: Array, s: int, k: int, length: float, face: Face, m: int) -> int:
    """Directions along the wall at a touching point: none of an interval, one of a disc, two of a ball."""
    if k == 1:
        return m
    inverse = 1.0 / length
    n0, n1 = h[s] * inverse, h[s + 1] * inverse
    if k == 2:
        _point(face, m, s, -n1, n0, 0.0)
        return m + 1
    n2 = h[s + 2] * inverse
    # The first direction stands on the normal and on the axis that the normal leans to least.
    if abs(n0) <= abs(n1) and abs(n0) <= abs(n2):
        t0, t1, t2 = 0.0, n2, -n1
    elif abs(n1) <= abs(n2):
        t0, t1, t2 = -n2, 0.0, n0
    else:
        t0, t1, t2 = n1, -n0, 0.0
    inverse = 1.0 / np.sqrt(t0 * t0 + t1 * t1 + t2 * t2)
    t0, t1, t2 = t0 * inverse, t1 * inverse, t2 * inverse
    _point(face, m, s, t0, t1, t2)
    _point(face, m + 1, s, n1 * t2 - n2 * t1, n2 * t0 - n0 * t2, n0 * t1 - n1 * t0)
    return m + 2


@compiled
def face_matrix(P: Array, h: Array, blocks: Blocks, face: Face, m: int, damping: float, row: Array, H: Array) -> None:
    """Second derivative of the energy along the face, upper triangle of the leading (m, m) of H; row (n,) is room.

    Along a touching ball's wall the wall's curvature adds its pull; a sliding seat adds seat/|h| across the slide.
    A share of each diagonal far below rounding of real stiffness keeps it positive along free mechanisms.
    Source: Riemannian Hessian on a product of spheres, e.g. P.-A. Absil, R. Mahony, R. Sepulchre, Optimization
    Algorithms on Matrix Manifolds (2008), ch. 5 (from memory).
    """
    for b in range(blocks.starts.shape[0]):
        for v in range(face.first[b], face.first[b + 1]):
            if face.state[b] == INSIDE:
                on_face(P[face.column[v]], face.column, face.direction, v, m, H[v])
                if blocks.seats[b] > 0.0:
                    _add_seat(h, blocks, face, b, v, H[v])
            else:
                fill(row, 0.0)
                direction = face.direction
                add_three(row, P, face.column[v], direction[0, v], direction[1, v], direction[2, v])
                on_face(row, face.column, direction, v, m, H[v])
                H[v, v] += face.pull[b]
            H[v, v] *= 1.0 + damping


@compiled_sums
def on_face(row: Array, column: NDArray[intp], direction: Array, first: int, m: int, out: Array) -> None:
    """out[first:m] becomes what row (n,) comes to along the directions from the first."""
    d0, d1, d2 = direction[0], direction[1], direction[2]
    for w in range(first, m):
        c = column[w]
        out[w] = d0[w] * row[c] + d1[w] * row[c + 1] + d2[w] * row[c + 2]


@compiled_within
def _add_seat(h: Array, blocks: Blocks, face: Face, b: int, v: int, out: Array) -> None:
    """Add what the seat of a block inside bends between its direction v and those from there on."""
    s = blocks.starts[b]
    square = 0.0
    for i in range(s, s + blocks.sizes[b]):
        square += h[i] * h[i]
    bend = blocks.seats[b] / np.sqrt(square)
    out[v] += bend
    for w in range(v, face.first[b + 1]):
        out[w] -= bend * h[face.column[v]] * h[face.column[w]] / square


@compiled
def face_slope(r: Array, h: Array, blocks: Blocks, face: Face, m: int, x: Array) -> None:
    """x (m,) becomes minus the slope of the energy along the face's directions."""
    on_face(r, face.column, face.direction, 0, m, x)
    for v in range(m):
        x[v] = -x[v]
    for b in range(blocks.starts.shape[0]):
        if face.state[b] == INSIDE and blocks.seats[b] > 0.0:
            square = 0.0
            for v in range(face.first[b], face.first[b + 1]):
                square += h[face.column[v]] ** 2
            for v in range(face.first[b], face.first[b + 1]):
                x[v] -= blocks.seats[b] * h[face.column[v]] / np.sqrt(square)


@compiled
def spread(x: Array, factor: float, face: Face, m: int, d: Array) -> None:
    """d (n,) becomes the step with coefficients factor × x (m,) on the face's directions."""
    fill(d, 0.0)
    for v in range(m):
        c, share = face.column[v], factor * x[v]
        d[c] += share * face.direction[0, v]
        d[c + 1] += share * face.direction[1, v]
        d[c + 2] += share * face.direction[2, v]
