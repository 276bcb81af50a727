"""Proof that an answer is the answer: the duality gap, recomputed from g alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block, outside, support_gap
from looseends.mechanics.constants import GAP_TOLERANCE


@dataclass(frozen=True)
class Certificate:
    """Optimality of one answer.

    `gap` [N·mm] bounds how far its energy lies above the least; `scaled_gap` is the gap over the energy in play;
    `outside` is the worst violation of a clearance set.
    """

    gap: float
    scaled_gap: float
    outside: float

    @property
    def holds(self) -> bool:
        """True when the answer counts as solved."""
        return self.scaled_gap <= GAP_TOLERANCE and self.outside <= GAP_TOLERANCE


def certify(S: Array, f0: Array, blocks: Sequence[Block], semi: Array, g: Array) -> Certificate:
    """Certificate of g (p,) [mm] for min ½ gᵀSg - f0ᵀg over the blocks with semi-axes (p,) [mm].

    For a convex energy, energy(g) - least <= max over the sets of f·(h - g) with f = f0 - S g.
    Source: weak duality; M. Frank, P. Wolfe, Naval Research Logistics Quarterly 3 (1956) 95-110 (the gap), from memory.
    """
    f = f0 - S @ g
    finite = np.where(np.isinf(semi), 0.0, semi)
    gap = sum(support_gap(block, g, f, finite) for block in blocks)
    energy = 0.5 * abs(float(g @ S @ g)) + abs(float(f0 @ g))
    # The work that the forces of a joint without clearance could do through it: gives a scale when g is all zero.
    reach = sum(float(np.linalg.norm(finite[b.start : b.stop] * f0[b.start : b.stop])) for b in blocks)
    scale = max(energy, reach, 1e-9)
    worst = max((outside(block, g, finite) for block in blocks), default=0.0)
    return Certificate(float(gap), float(gap) / scale, worst)
