"""How far an answer of the lash problem is from being one: per block, from g and the forces alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block, BlockIndex, ball_sizes
from looseends.mechanics.constants import OPEN_CONTACT_LIMIT


def seat_energy(blocks: Sequence[Block], g: Array, semi: Array, seats: Array) -> Array:
    """What the seats cost at g [N·mm]: seat × size × |g / semi-axis| (blocks,); for a round block seat × |g|."""
    if not len(blocks):
        return np.zeros(0)
    moved = np.where(semi > 0.0, g, 0.0) / np.where(np.isfinite(semi) & (semi > 0.0), semi, 1.0)
    return np.asarray(seats * ball_sizes(blocks, semi) * BlockIndex.of(blocks).lengths(moved))


def support_gaps(
    blocks: Sequence[Block],
    g: Array,
    f: Array,
    semi: Array,
    seats: Array | None = None,
    rounding: Array | None = None,
) -> Array:
    """How far force f is from holding each block at g: max over the set of f·h - seat(h), less the same at g [N·mm].

    Zero exactly when f is the slope of the seat inside the set, and leaves it along the outward normal on the
    boundary. `semi` (p,) [mm], infinite without a wall and on half-lines; `seats` (blocks,) [N], none if not given;
    `rounding` (p,) [N] is what f may be wrong by for lack of digits.
    Derived in docs/mechanics.md, "Certificate".
    """
    if not len(blocks):
        return np.zeros(0)
    index = BlockIndex.of(blocks)
    seats = np.zeros(len(blocks)) if seats is None else seats
    rounding = np.zeros(len(g)) if rounding is None else rounding
    endless = index.endless(semi)
    reach = index.lengths(np.where(np.isinf(semi), 1.0, semi) * f) - seats * ball_sizes(blocks, semi)
    # A half-line can be opened by any force that pulls; a far wall keeps the bound finite, as on balls without one. It
    # would make much of the last digit of f: what is no force but rounding does not count there.
    reach = np.where(endless, (reach - index.lengths(rounding)) * OPEN_CONTACT_LIMIT, reach)
    pull = index.sums(np.maximum(f - rounding, 0.0)) * OPEN_CONTACT_LIMIT
    held = index.sums(f * g) - seat_energy(blocks, g, semi, seats)
    return np.asarray(np.where(index.half_line, pull, np.maximum(reach, 0.0)) - held)


def outside(blocks: Sequence[Block], g: Array, semi: Array) -> float:
    """How far g lies outside its sets: a share of a ball's size, mm along axes without clearance and on half-lines.

    What has no wall, and a half-line, counts as walled in at OPEN_CONTACT_LIMIT, as in `support_gaps`.
    """
    if not len(blocks):
        return 0.0
    index = BlockIndex.of(blocks)
    size = np.where(np.isinf(semi), OPEN_CONTACT_LIMIT, np.where(semi > 0.0, semi, 1.0))
    inside = index.lengths(np.where(semi > 0.0, g / size, 0.0)) - 1.0
    stuck = np.abs(np.where(semi == 0.0, g, 0.0))
    below = np.where(index.half_line, -g[index.starts], 0.0)
    return max(0.0, *(float(np.max(violation)) for violation in (inside, stuck, below)))
