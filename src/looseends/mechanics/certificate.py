"""Proof that an answer is the answer: the duality gap, recomputed from g alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import GAP_TOLERANCE, ROUNDING
from looseends.mechanics.gaps import outside, support_gaps


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

    @property
    def holds_but_for_walls(self) -> bool:
        """True where only a set is left, as of a contact that opens beyond all bounds."""
        return self.scaled_gap <= GAP_TOLERANCE < self.outside


def certify(
    S: Array, f0: Array, blocks: Sequence[Block], semi: Array, g: Array, seats: Array | None = None
) -> Certificate:
    """Certificate of g (p,) [mm] for min ½ gᵀSg - f0ᵀg + seats over the blocks with semi-axes (p,) [mm].

    With f = f0 - S g, energy(g) - least <= max over the sets of f·(h - g) - seat(h) + seat(g); seats (blocks,) [N].
    Source: weak duality; M. Frank, P. Wolfe, Naval Research Logistics Quarterly 3 (1956) 95-110 (the gap), from memory.
    """
    f = f0 - S @ g
    seats = np.zeros(len(blocks)) if seats is None else seats
    rounding = ROUNDING * (np.abs(f0) + np.abs(S) @ np.abs(g))
    gap = float(np.sum(support_gaps(blocks, g, f, semi, seats, rounding)))
    # In play is what joints and pressed contacts do: a stop that stands open by centimetres, with k·gap² in f0·g, would
    # excuse any error. A share of the whole stays as the floor, where rounding begins.
    line = np.zeros(len(g), dtype=bool)
    line[[block.start for block in blocks if block.kind == "half-line"]] = True
    opened = np.where(line, g, 0.0)
    moved, locked = g - opened, f0 - S @ opened
    finite = np.where(np.isinf(semi), 0.0, semi)
    pressed = np.where(line, np.minimum(f, 0.0), 0.0)
    stored = float(np.sum(pressed**2)) / max(float(np.max(np.diag(S), initial=0.0)), 1e-30)
    in_play = (
        0.5 * float(moved @ S @ moved) + abs(float(locked @ moved)) + float(np.sum(np.abs(finite * locked))) + stored
    )
    whole = 0.5 * abs(float(g @ S @ g)) + abs(float(f0 @ g))
    scale = max(in_play, 1e-5 * whole, 1e-9)
    return Certificate(gap, gap / scale, outside(blocks, g, semi))
