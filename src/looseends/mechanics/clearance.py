"""Clearance sets: how far a joint may move before it carries force.

A set is made of elementary blocks over consecutive unknowns g: an ellipsoid (1 to 3 axes, "ball"),
an interval (a ball of one axis) or a half-line (a one-sided contact, g >= 0). A ball with infinite semi-axes is no
wall at all: a part that is missing, or held by friction or softened rubber only. A ball joint is one block of
three axes. A pin in its bushing is two blocks, a disc across and an interval along: an ellipsoid on a pin would
let a large axial load hide the radial play.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array

Shape = Literal["ball", "pin", "slot"]


@dataclass(frozen=True)
class Block:
    """One elementary set over the unknowns `start:stop`."""

    kind: Literal["ball", "half-line"]
    start: int
    stop: int


@dataclass(frozen=True)
class Clearance:
    """Clearance of a joint: shape, total travel [mm] across (`radial`) and along (`axial`), and how it wears otherwise.

    Parameters
    ----------
    seat : force [N] that must be exceeded before a block of the joint gives way (dry, clamped, spring-loaded); 0: none.
    radial_stiffness_left, axial_stiffness_left : share of the sound stiffness. Below 1 the joint gives as if it had
        only that share, without end; its block's travel does not count then (see `softening`). 0: nothing holds there.
    missing : nothing holds the joint at all, except its seat.

    Raises
    ------
    ValueError
        If a travel or the seat is negative or has no end, or a share lies outside 0 to 1.
    """

    shape: Shape
    radial: float
    axial: float
    seat: float = 0.0
    radial_stiffness_left: float = 1.0
    axial_stiffness_left: float = 1.0
    missing: bool = False

    def __post_init__(self) -> None:
        for name in ("radial", "axial", "seat"):
            if not 0.0 <= getattr(self, name) < np.inf:
                raise ValueError(f"{name} is {getattr(self, name)}; accepted is a finite number of 0 or more")
        for name in ("radial_stiffness_left", "axial_stiffness_left"):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise ValueError(f"{name} is {getattr(self, name)}; accepted is a share from 0 to 1")

    @property
    def stiffness_left(self) -> Array:
        """Share of the sound stiffness on x, y and z (3,)."""
        if self.missing:
            return np.zeros(3)
        return np.array([self.radial_stiffness_left, self.radial_stiffness_left, self.axial_stiffness_left])


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


def softening(stiffness: Array, left: Array) -> Array:
    """Softness W (k,) [N/mm] on the clearance unknown that makes a joint of `stiffness` act with the `left` one.

    Joint and softness stand in series: min over g of ½ k (x - g)² + ½ W g² is ½ kW/(k + W) x², and kW/(k + W) = k'
    gives W = k k'/(k - k'). Both (k,) [N/mm], 0 <= left < stiffness; W = 0 where nothing is left.
    """
    return np.asarray(stiffness * left / (stiffness - left))


@dataclass(frozen=True)
class ClearanceArrays:
    """What `solve_lash` needs of the clearances.

    semi (p,) [mm]: semi-axes, 0 locked, infinite without a wall and on half-lines; seats (blocks,) [N];
    softness (p,) [N/mm], to be added on the diagonal of S. For n problems at once each has n rows (`stacked`).
    """

    semi: Array
    seats: Array
    softness: Array


def stacked(one: ClearanceArrays, n: int) -> ClearanceArrays:
    """The same for n problems, one row each, to be changed row by row."""
    return ClearanceArrays(*(np.tile(array, (n, 1)) for array in (one.semi, one.seats, one.softness)))


def axis_unknowns(part: slice, held: Array, axis: Literal["radial", "axial"]) -> NDArray[np.intp]:
    """Unknowns of a joint whose semi-axis is half of its radial (x, y) or axial (z) travel, as `semi_axes` has it."""
    of_axis = np.array([axis == "radial", axis == "radial", axis == "axial"])[held.astype(bool)]
    return np.asarray(np.arange(part.start, part.stop)[of_axis])


def clearance_arrays(
    clearances: Mapping[str, Clearance],
    joints: Mapping[str, slice],
    held: Mapping[str, Array],
    blocks: Sequence[Block],
    stiffness: Array | None = None,
    base: ClearanceArrays | None = None,
) -> ClearanceArrays:
    """Arrays for clearances by joint name; joints that are not named stay as in `base`, or have none.

    `joints`, `held` and `blocks` as in a LinearSystem or a ReducedStroke; `stiffness` (p,) [N/mm] is its root².

    Raises
    ------
    ValueError
        If a joint is softened and no stiffness is given.
    """
    if base is None:
        semi, seats, softness = np.zeros(_count(blocks)), np.zeros(len(blocks)), np.zeros(_count(blocks))
    else:
        semi, seats, softness = base.semi.copy(), base.seats.copy(), base.softness.copy()
    first = {block.start: number for number, block in enumerate(blocks)}
    for name, clearance in clearances.items():
        part = joints[name]
        semi[part] = semi_axes(clearance, held[name])
        left = clearance.stiffness_left[held[name].astype(bool)]
        for number in _numbers(first, blocks, part):
            seats[number] = clearance.seat
            inside = slice(blocks[number].start, blocks[number].stop)
            share = left[inside.start - part.start : inside.stop - part.start]
            softness[inside] = 0.0
            if np.all(share == 1.0):
                continue
            # A sound axis of a softened block stays stiff: without end it would be free.
            semi[inside] = np.where(share < 1.0, np.inf, 0.0)
            softness[inside] = _softness(name, share, None if stiffness is None else stiffness[inside])
    for block in blocks:
        if block.kind == "half-line":
            semi[block.start] = np.inf
    return ClearanceArrays(semi, seats, softness)


def _count(blocks: Sequence[Block]) -> int:
    return blocks[-1].stop if blocks else 0


def _numbers(first: Mapping[int, int], blocks: Sequence[Block], part: slice) -> Iterator[int]:
    number = first.get(part.start, len(blocks))
    while number < len(blocks) and blocks[number].start < part.stop:
        yield number
        number += 1


def _softness(name: str, share: Array, stiffness: Array | None) -> Array:
    partly = (share > 0.0) & (share < 1.0)
    if not np.any(partly):
        return np.zeros(len(share))
    if stiffness is None:
        raise ValueError(f'joint "{name}" is softened; accepted only where the stiffness of the joints is given')
    return np.where(partly, softening(stiffness, np.where(partly, share, 0.0) * stiffness), 0.0)


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

    def endless(self, semi: Array) -> NDArray[np.bool_]:
        """Which balls have no wall: a semi-axis is infinite."""
        return np.asarray(~self.half_line & np.logical_or.reduceat(np.isinf(semi), self.starts))

    def sums(self, values: Array) -> Array:
        """Sum of each block's part of `values` (p,)."""
        return np.asarray(np.add.reduceat(values, self.starts))


def ball_sizes(blocks: Sequence[Block], semi: Array) -> Array:
    """Largest finite semi-axis (blocks,) [mm] of each block, 1 where there is none: what turns a seat [N] into N·mm."""
    if not len(blocks):
        return np.zeros(0)
    largest = np.maximum.reduceat(np.where(np.isinf(semi), 0.0, semi), BlockIndex.of(blocks).starts)
    return np.where(largest > 0.0, largest, 1.0)
