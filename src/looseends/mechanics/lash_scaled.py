"""The lash problem in one size: h = g / semi-axis, without axes that cannot move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array, Indices
from looseends.mechanics.clearance import Block, BlockIndex, ball_sizes


@dataclass(frozen=True)
class Scaled:
    """The same problem in h = g / semi-axis (mm on half-lines and without end), without axes that have no clearance.

    `seats` (blocks,) [N·mm, or N where the scale is 1] is what |h| costs; `radii` (blocks,) is 1, infinite without end.
    """

    P: Array
    q: Array
    scale: Array
    keep: Indices
    blocks: tuple[Block, ...]
    seats: Array
    radii: Array
    full: int

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return len(self.q)

    @staticmethod
    def of(S: Array, f0: Array, blocks: Sequence[Block], semi: Array, seats: Array | None) -> Scaled:
        """The scaled problem; `seats` (blocks,) [N], none if not given."""
        keep: list[int] = []
        kept: list[int] = []
        kept_blocks: list[Block] = []
        for number, block in enumerate(blocks):
            inside = [i for i in range(block.start, block.stop) if semi[i] > 0.0]
            if inside:
                kept.append(number)
                kept_blocks.append(Block(block.kind, len(keep), len(keep) + len(inside)))
                keep.extend(inside)
        index = np.array(keep, dtype=np.intp)
        scale = np.where(np.isinf(semi[index]), 1.0, semi[index])
        P = S[np.ix_(index, index)] * np.outer(scale, scale)
        costs = np.zeros(len(blocks)) if seats is None else seats * ball_sizes(blocks, semi)
        endless = BlockIndex.of(kept_blocks).endless(semi[index]) if kept else np.zeros(0, dtype=bool)
        radii = np.where(endless, np.inf, 1.0)
        return Scaled(P, -f0[index] * scale, scale, index, tuple(kept_blocks), costs[kept], radii, len(f0))

    def unscaled(self, h: Array) -> Array:
        """g (p,) [mm] of h."""
        g: Array = np.zeros(self.full)
        g[self.keep] = h * self.scale
        return g

    def scaled(self, g: Array) -> Array:
        """h of g (p,) [mm]."""
        return np.asarray(g[self.keep] / self.scale)

    @property
    def index(self) -> BlockIndex:
        """The blocks as arrays."""
        return BlockIndex.of(self.blocks)

    def owners(self) -> NDArray[np.intp]:
        """Number of the block that each unknown belongs to."""
        return np.repeat(np.arange(len(self.blocks)), [block.stop - block.start for block in self.blocks])

    def projected(self, h: Array) -> Array:
        """The nearest point inside every set along its own radius."""
        index, owner = self.index, self.owners()
        inside = h / np.maximum(index.lengths(h) / self.radii, 1.0)[owner]
        return np.asarray(np.where(index.half_line[owner], np.maximum(h, 0.0), inside))
