"""Clearance sets: how far a joint may move before it carries force.

A set is made of elementary blocks over consecutive unknowns g: an ellipsoid (1 to 3 axes, "ball"),
an interval (a ball of one axis) or a half-line (a one-sided contact, g >= 0). A ball joint is one block of
three axes. A pin in its bushing is two blocks, a disc across and an interval along: an ellipsoid on a pin would
let a large axial load hide the radial play.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import OPEN_CONTACT_LIMIT

Shape = Literal["ball", "pin", "slot"]


@dataclass(frozen=True)
class Block:
    """One elementary set over the unknowns `start:stop`."""

    kind: Literal["ball", "half-line"]
    start: int
    stop: int


@dataclass(frozen=True)
class Clearance:
    """Clearance of a point joint: shape and total travel [mm] across (`radial`) and along (`axial`)."""

    shape: Shape
    radial: float
    axial: float


def blocks_of(shape: Shape, held: Array, start: int) -> tuple[Block, ...]:
    """Blocks of one joint whose held axes (3 booleans: x, y across, z along) become unknowns from `start`.

    Raises
    ------
    ValueError
        If a slot holds another axis than x.
    """
    across, along = int(held[0]) + int(held[1]), int(held[2])
    if shape == "ball":
        return (Block("ball", start, start + across + along),)
    if shape == "slot":
        if across != 1 or along:
            raise ValueError("a slot holds its x axis only")
        return (Block("ball", start, start + 1),)
    blocks = []
    if across:
        blocks.append(Block("ball", start, start + across))
    if along:
        blocks.append(Block("ball", start + across, start + across + along))
    return tuple(blocks)


def semi_axes(clearance: Clearance, held: Array) -> Array:
    """Half of the total travel per held axis (k,) [mm]."""
    half = np.array([clearance.radial, clearance.radial, clearance.axial]) / 2.0
    return np.asarray(half[held.astype(bool)], dtype=np.float64)


@dataclass(frozen=True)
class BlockIndex:
    """Blocks that cover the unknowns one after the other, as arrays for whole-vector arithmetic."""

    starts: NDArray[np.intp]
    half_line: NDArray[np.bool_]

    @staticmethod
    def of(blocks: Sequence[Block]) -> BlockIndex:
        """Index of blocks that follow each other without a hole."""
        starts = np.array([block.start for block in blocks], dtype=np.intp)
        return BlockIndex(starts, np.array([block.kind == "half-line" for block in blocks], dtype=bool))

    def lengths(self, values: Array) -> Array:
        """Euclidean length of each block's part of `values` (p,)."""
        return np.asarray(np.sqrt(np.add.reduceat(values * values, self.starts)))

    def sums(self, values: Array) -> Array:
        """Sum of each block's part of `values` (p,)."""
        return np.asarray(np.add.reduceat(values, self.starts))


def support_gaps(blocks: Sequence[Block], g: Array, f: Array, semi: Array) -> Array:
    """How far force f is from being an outward normal of each block at g: max over the set of f·(h - g) [N·mm].

    Zero exactly when g is the farthest point of the set along f, that is when f is zero inside and along the
    outward normal on the boundary. `semi` (p,) [mm], infinite on half-lines.
    Derived in docs/mechanics.md, "Certificate".
    """
    if not len(blocks):
        return np.zeros(0)
    index = BlockIndex.of(blocks)
    reach = index.lengths(np.where(np.isinf(semi), 0.0, semi) * f)
    # A half-line can be opened by any force that pulls; a wall far away keeps the bound finite.
    pull = index.sums(np.maximum(f, 0.0)) * OPEN_CONTACT_LIMIT
    return np.asarray(np.where(index.half_line, pull, reach) - index.sums(f * g))


def outside(blocks: Sequence[Block], g: Array, semi: Array) -> float:
    """How far g lies outside its sets: a share of a ball's size, mm along axes without clearance and on half-lines."""
    if not len(blocks):
        return 0.0
    index = BlockIndex.of(blocks)
    solid = np.isfinite(semi) & (semi > 0.0)
    inside = index.lengths(np.where(solid, g / np.where(solid, semi, 1.0), 0.0)) - 1.0
    stuck = np.abs(np.where(semi == 0.0, g, 0.0))
    below = np.where(np.isinf(semi), -g, 0.0)
    return max(0.0, *(float(np.max(violation)) for violation in (inside, stuck, below)))
