"""The response table of one setup: what every watch shows for every state of every part.

Single parts are solved exactly at their knots; pairs that interact carry a correction; the ensemble of specimens gives
the spread of a sound vehicle's readings. The reduced strokes are kept, so that leading sets can be solved exactly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck

MOVES = 1e-3
"""A part moves a watch when it changes it by more than this [mm] in some state."""


@dataclass(frozen=True)
class PairCorrection:
    """What two worn parts show together beyond the sum of both alone, in the states of both.

    `grids` by axis of the first and of the second part: (n + 1, m + 1, k, 2) [mm] over sound and the knots of these two
    axes; corrections of several pairs of axes add up. `first`, `second` (s, axes): knots of each state, -1 sound.
    """

    grids: Mapping[tuple[int, int], Array]
    first: NDArray[np.intp]
    second: NDArray[np.intp]

    def of_watch(self, watch: int) -> Array:
        """Correction (s, t, 2) [mm] of one watch in every pair of states."""
        total = np.zeros((len(self.first), len(self.second), 2))
        for (a, b), grid in self.grids.items():
            total += grid[:, :, watch][np.ix_(self.first[:, a] + 1, self.second[:, b] + 1)]
        return total

    def of_states(self, first: int, second: int) -> Array:
        """Correction (k, 2) [mm] of every watch in one pair of states."""
        return np.asarray(
            sum(grid[self.first[first, a] + 1, self.second[second, b] + 1] for (a, b), grid in self.grids.items())
        )

    def of_places(self, first: NDArray[np.intp], second: NDArray[np.intp]) -> Array:
        """Correction (n, k, 2) [mm] of every watch in some joint states, n states of each part."""
        each = (grid[self.first[first, a] + 1, self.second[second, b] + 1] for (a, b), grid in self.grids.items())
        return np.asarray(sum(each))

    @property
    def swapped(self) -> PairCorrection:
        """The same seen from the second part."""
        grids = {(b, a): np.swapaxes(grid, 0, 1) for (a, b), grid in self.grids.items()}
        return PairCorrection(grids, self.second, self.first)


@dataclass(frozen=True)
class ResponseTable:
    """What one setup shows.

    `watches` (k,) names; `sound` (k, 2) total and free movement [mm] of the nominal sound vehicle;
    `spread` (k, 2) standard deviation [mm] over the ensemble of sound vehicles;
    `singles` part id -> change (s, k, 2) [mm] per state; parts that change nothing are left out;
    `pairs` (part id, part id) -> correction where the two interact;
    `members` (e, k, 2) total and free movement [mm] of each sound vehicle of the ensemble, the same in every setup;
    `shares` part id -> (m, k, 2) how much of that change m vehicles of other geometry, stiffness and hand force show;
    `beside` (part id, part id) -> watches that the two show something at together though one of them alone does not.
    """

    setup: Setup
    prepared: PreparedCheck
    watches: tuple[str, ...]
    sound: Array
    spread: Array
    singles: Mapping[str, Array]
    pairs: Mapping[tuple[str, str], PairCorrection]
    shares: Mapping[str, Array] = field(default_factory=dict)
    beside: Mapping[tuple[str, str], NDArray[np.intp]] = field(default_factory=dict)
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

    def correction(self, first: str, second: str) -> PairCorrection | None:
        """What the two together show beyond the sum of both, first part first; None where they do not interact."""
        found = self.pairs.get((first, second))
        if found is None:
            other = self.pairs.get((second, first))
            return None if other is None else other.swapped
        return found
