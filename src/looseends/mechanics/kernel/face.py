"""The face that a point lies on: which blocks touch, slide or are held, and the directions left to the others."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy import bool_, int8, intp
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel.blocks import Blocks
from looseends.mechanics.kernel.compiled import compiled, compiled_sums
from looseends.mechanics.kernel.vectors import add_scaled

INSIDE, TOUCHING, HELD = 0, 1, 2

ON_WALL = 1e-9
"""A ball whose |h|² is within this of 1 is on its wall."""


class Face(NamedTuple):
    """States of the blocks, and the directions in which a step may go.

    state (b,): inside (every direction), touching (along the wall) or held; pull (b,): what the wall holds [N·mm];
    owner (p,): block of each direction; axis (p,): the block's unknown that it is, for one inside; direction (p, 3):
    its coefficients on the block's unknowns.
    """

    state: NDArray[int8]
    pull: Array
    owner: NDArray[intp]
    axis: NDArray[intp]
    direction: Array


@compiled
def find_face(r: Array, h: Array, blocks: Blocks, pinned: NDArray[bool_], face: Face) -> int:
    """Fill `face` for h with gradient r; the number of directions. Pinned blocks (b,) stay on their wall."""
    m = 0
    for b in range(blocks.starts.shape[0]):
        s, k = blocks.starts[b], blocks.sizes[b]
        face.pull[b] = 0.0
        length = along = 0.0
        for i in range(s, s + k):
            length += h[i] * h[i]
            along -= r[i] * h[i]
        if blocks.half_line[b]:
            held = pinned[b] or (h[s] == 0.0 and r[s] >= 0.0)
        else:
            held = blocks.seats[b] > 0.0 and (length == 0.0 or (pinned[b] and k == 1))
        if held:
            face.state[b] = HELD
            continue
        on_wall = length > 1.0 - ON_WALL and along > blocks.seats[b]
        if blocks.bounded[b] and (pinned[b] or on_wall):
            face.pull[b] = max(along, 0.0)
            face.state[b] = TOUCHING if k > 1 else HELD
            m = _along_wall(h, s, k, b, face, m)
            continue
        face.state[b] = INSIDE
        for i in range(k):
            face.owner[m], face.axis[m] = b, i
            for j in range(3):
                face.direction[m, j] = 1.0 if j == i else 0.0
            m += 1
    return m


@compiled
def _along_wall(h: Array, s: int, k: int, b: int, face: Face, m: int) -> int:
    """Directions along the wall at a touching point: none of an interval, one of a disc, two of a ball."""
    if k == 1:
        return m
    if k == 2:
        length = np.sqrt(h[s] * h[s] + h[s + 1] * h[s + 1])
        face.owner[m] = b
        face.direction[m, 0], face.direction[m, 1], face.direction[m, 2] = -h[s + 1] / length, h[s] / length, 0.0
        return m + 1
    length = np.sqrt(h[s] * h[s] + h[s + 1] * h[s + 1] + h[s + 2] * h[s + 2])
    n0, n1, n2 = h[s] / length, h[s + 1] / length, h[s + 2] / length
    # The first direction stands on the normal and on the axis that the normal leans to least.
    if abs(n0) <= abs(n1) and abs(n0) <= abs(n2):
        t0, t1, t2 = 0.0, n2, -n1
    elif abs(n1) <= abs(n2):
        t0, t1, t2 = -n2, 0.0, n0
    else:
        t0, t1, t2 = n1, -n0, 0.0
    size = np.sqrt(t0 * t0 + t1 * t1 + t2 * t2)
    t0, t1, t2 = t0 / size, t1 / size, t2 / size
    face.owner[m], face.owner[m + 1] = b, b
    face.direction[m, 0], face.direction[m, 1], face.direction[m, 2] = t0, t1, t2
    face.direction[m + 1, 0] = n1 * t2 - n2 * t1
    face.direction[m + 1, 1] = n2 * t0 - n0 * t2
    face.direction[m + 1, 2] = n0 * t1 - n1 * t0
    return m + 2


@compiled_sums
def face_matrix(P: Array, h: Array, blocks: Blocks, face: Face, m: int, damping: float, row: Array, H: Array) -> None:
    """Second derivative of the energy along the face, upper triangle of the leading (m, m) of H.

    Along a touching ball's wall the wall's curvature adds its pull; a sliding seat adds seat/|h| across the slide.
    A share of each diagonal far below rounding of real stiffness keeps it positive along free mechanisms.
    Source: Riemannian Hessian on a product of spheres, e.g. P.-A. Absil, R. Mahony, R. Sepulchre, Optimization
    Algorithms on Matrix Manifolds (2008), ch. 5 (from memory).
    """
    for v in range(m):
        b = face.owner[v]
        s = blocks.starts[b]
        if face.state[b] == INSIDE:
            row[:] = P[s + face.axis[v]]
        else:
            row[:] = 0.0
            for i in range(blocks.sizes[b]):
                add_scaled(row, P[s + i], face.direction[v, i])
        for w in range(v, m):
            other = face.owner[w]
            start = blocks.starts[other]
            if face.state[other] == INSIDE:
                H[v, w] = row[start + face.axis[w]]
                continue
            total = 0.0
            for i in range(blocks.sizes[other]):
                total += face.direction[w, i] * row[start + i]
            H[v, w] = total
        w = v
        while w < m and face.owner[w] == b:
            H[v, w] += _own_curvature(h, blocks, face, v, w)
            w += 1
        H[v, v] *= 1.0 + damping


@compiled
def _own_curvature(h: Array, blocks: Blocks, face: Face, v: int, w: int) -> float:
    """What wall and seat of one block add between two of its directions."""
    b = face.owner[v]
    if face.state[b] == TOUCHING:
        return face.pull[b] if v == w else 0.0
    if blocks.seats[b] == 0.0:
        return 0.0
    s = blocks.starts[b]
    square = on_v = on_w = between = 0.0
    for i in range(blocks.sizes[b]):
        square += h[s + i] * h[s + i]
        on_v += h[s + i] * face.direction[v, i]
        on_w += h[s + i] * face.direction[w, i]
        between += face.direction[v, i] * face.direction[w, i]
    return float(blocks.seats[b] / np.sqrt(square) * (between - on_v * on_w / square))


@compiled
def face_slope(r: Array, h: Array, blocks: Blocks, face: Face, m: int, x: Array) -> None:
    """x (m,) becomes minus the slope of the energy along the face's directions."""
    for v in range(m):
        b = face.owner[v]
        s = blocks.starts[b]
        slope = square = on_v = 0.0
        for i in range(blocks.sizes[b]):
            slope += face.direction[v, i] * r[s + i]
            square += h[s + i] * h[s + i]
            on_v += face.direction[v, i] * h[s + i]
        if face.state[b] == INSIDE and blocks.seats[b] > 0.0:
            slope += blocks.seats[b] * on_v / np.sqrt(square)
        x[v] = -slope


@compiled
def spread(x: Array, factor: float, blocks: Blocks, face: Face, m: int, d: Array) -> None:
    """d (p,) becomes the step with coefficients factor × x (m,) on the face's directions."""
    d[:] = 0.0
    for v in range(m):
        s = blocks.starts[face.owner[v]]
        for i in range(blocks.sizes[face.owner[v]]):
            d[s + i] += factor * x[v] * face.direction[v, i]
