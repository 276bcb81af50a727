"""The force-movement curve of a stroke: what a hand feels as dead zone, stop and spring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ClearanceArrays
from looseends.mechanics.kernel import solve_many
from looseends.mechanics.reduction import ReducedStroke


@dataclass(frozen=True)
class Ramp:
    """Movement of each watch over the shares of the hand load.

    shares (n,); moved (n, k) [mm] from the first share, along the direction between the two ends; slope (n, k)
    [mm per unit share] of that curve; watch_names (k,).
    """

    shares: Array
    moved: Array
    slope: Array
    watch_names: tuple[str, ...]

    def free(self, watch: str) -> float:
        """Dead zone [mm] of a watch: the total less what the springs at the two ends give, as in `travel.Movement`."""
        k = self.watch_names.index(watch)
        total = float(self.moved[-1, k])
        elastic = self.shares[-1] * self.slope[-1, k] - self.shares[0] * self.slope[0, k]
        return float(np.clip(total - elastic, 0.0, max(total, 0.0)))

    def give(self, watch: str) -> float:
        """How much more easily a watch moves where it moves most easily than at the stiffer of the two ends.

        1 for a spring, which rises from the start; large for play, which has a dead zone and then a stop; infinite
        where an end does not give at all.
        """
        k = self.watch_names.index(watch)
        steps = np.diff(self.moved[:, k]) / np.diff(self.shares)
        end = min(float(self.slope[0, k]), float(self.slope[-1, k]))
        return float(np.max(steps)) / end if end > 0.0 else float("inf")


def force_ramp(stroke: ReducedStroke, clearances: ClearanceArrays, shares: Array) -> Ramp:
    """The curve over rising shares (n,) of the hand load, n >= 2, each point solved and certified.

    Raises
    ------
    MechanicsError
        If a point has no certified answer.
    ValueError
        If the shares do not rise.
    """
    if len(shares) < 2 or np.any(np.diff(shares) <= 0.0):
        raise ValueError("the shares must rise, from at least two")
    n = len(shares)
    answers = solve_many(
        stroke.S,
        stroke.f_base + shares[:, None] * stroke.f_hand,
        stroke.blocks,
        np.tile(clearances.semi, (n, 1)),
        seats=np.tile(clearances.seats, (n, 1)),
        softness=np.tile(clearances.softness, (n, 1)),
        df=stroke.f_hand,
    )
    moved, slope = np.zeros((n, len(stroke.watch_names))), np.zeros((n, len(stroke.watch_names)))
    for k, (on_g, hand) in enumerate(zip(stroke.watch_on_g, stroke.watch_hand, strict=True)):
        place = answers.g @ on_g.T + shares[:, None] * hand
        total = place[-1] - place[0]
        along = total / max(float(np.linalg.norm(total)), 1e-300)
        moved[:, k] = (place - place[0]) @ along
        slope[:, k] = (answers.slope @ on_g.T + hand) @ along
    return Ramp(np.asarray(shares), moved, slope, stroke.watch_names)
