"""The response table of one setup: what every watch shows for every state of every part.

Single parts are solved exactly at their knots; pairs that interact carry a correction; the ensemble of specimens gives
the spread of a sound vehicle's readings. The reduced strokes are kept, so that leading sets can be solved exactly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck


@dataclass(frozen=True)
class ResponseTable:
    """What one setup shows.

    `watches` (k,) names; `sound` (k, 2) total and free movement [mm] of the nominal sound vehicle;
    `spread` (k, 2) standard deviation [mm] over the ensemble of sound vehicles;
    `singles` part id -> change (s, k, 2) [mm] per state; parts that change nothing are left out;
    `pairs` (part id, part id) -> correction (k, 2) [mm] with both parts at the reference state;
    `reference` part id -> change (k, 2) at the reference state, to scale the correction;
    `members` (e, k, 2) total and free movement [mm] of each sound vehicle of the ensemble, the same in every setup;
    `shares` part id -> (m, k) how much of that change m vehicles of other geometry, stiffness and hand force show.
    """

    setup: Setup
    prepared: PreparedCheck
    watches: tuple[str, ...]
    sound: Array
    spread: Array
    singles: Mapping[str, Array]
    pairs: Mapping[tuple[str, str], Array]
    reference: Mapping[str, Array]
    shares: Mapping[str, Array] = field(default_factory=dict)
    members: Array = field(default_factory=lambda: np.zeros((0, 0, 2)))

    @property
    def expected(self) -> Array:
        """Total and free movement (k, 2) [mm] to be expected of a sound vehicle: the ensemble's mean, if there is one.

        The nominal vehicle is no average: what gives way in any of many soft places moves more in the mean.
        """
        return self.members.mean(axis=0) if len(self.members) else self.sound

    def change(self, part_id: str, states: int) -> Array:
        """Change (s, k, 2) [mm] of every watch in every state of a part."""
        found = self.singles.get(part_id)
        return found if found is not None else np.zeros((states, len(self.watches), 2))

    def correction(self, first: str, second: str) -> Array:
        """Pair correction (k, 2) [mm] at the reference states; zero where the two do not interact."""
        found = self.pairs.get((first, second))
        if found is None:
            found = self.pairs.get((second, first))
        return found if found is not None else np.zeros((len(self.watches), 2))
