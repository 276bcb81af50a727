"""Clearance sets: how far a joint may move before it carries force.

A set is made of elementary blocks over consecutive unknowns g: an ellipsoid (1 to 3 axes, "ball"),
an interval (a ball of one axis) or a half-line (a one-sided contact, g >= 0). A ball joint is one block of
three axes. A pin in its bushing is two blocks, a disc across and an interval along: an ellipsoid on a pin would
let a large axial load hide the radial play.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

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
    return half[held.astype(bool)]


def support_gap(block: Block, g: Array, f: Array, semi: Array) -> float:
    """How far force f is from being an outward normal of the block at g: max over the set of f·(h - g) [N·mm].

    Zero exactly when g is the farthest point of the set along f, that is when f is zero inside and along the
    outward normal on the boundary. Arguments are whole vectors; the block picks its part.
    Derived in docs/mechanics.md (certificate).
    """
    part = slice(block.start, block.stop)
    if block.kind == "half-line":
        reach = OPEN_CONTACT_LIMIT if f[block.start] > 0.0 else 0.0
        return float(f[block.start] * (reach - g[block.start]))
    return float(np.linalg.norm(semi[part] * f[part]) - f[part] @ g[part])


def outside(block: Block, g: Array, semi: Array) -> float:
    """How far g lies outside the block, as a share of its size (0 inside); half-line: mm below zero."""
    part = slice(block.start, block.stop)
    if block.kind == "half-line":
        return float(max(0.0, -g[block.start]))
    if not np.any(semi[part] > 0.0):
        return float(np.max(np.abs(g[part]), initial=0.0))
    inside = semi[part] > 0.0
    return float(max(0.0, np.linalg.norm(g[part][inside] / semi[part][inside]) - 1.0))
