"""The states that a worn part may be in: a grid of clearances on its axes, and their prior weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs
from looseends.mechanics.bodies import Array
from looseends.vehicle.vehicle import Part, Vehicle


@dataclass(frozen=True)
class PartStates:
    """Worn states of one part.

    `axes` (a,) worn axes, leading first; `knots` per axis (n,) clearance [mm total travel];
    `index` (s, a) knot of each state per axis, -1: that axis is sound; `weight` (s,) prior weights, sum 1;
    `reject` per axis [mm].
    """

    part: Part
    axes: tuple[Axis, ...]
    knots: tuple[Array, ...]
    index: NDArray[np.intp]
    weight: Array
    reject: tuple[float, ...]

    def worn(self, state: int) -> dict[tuple[str, Axis], float]:
        """Worn clearance [mm] by (part id, axis) in a state."""
        return {
            (self.part.id, axis): float(knots[i])
            for axis, knots, i in zip(self.axes, self.knots, self.index[state], strict=True)
            if i >= 0
        }

    def clearance(self, axis_number: int) -> Array:
        """Clearance (s,) [mm] on one axis in every state; 0 where that axis is sound."""
        i = self.index[:, axis_number]
        return np.where(i >= 0, self.knots[axis_number][np.maximum(i, 0)], 0.0)

    @cached_property
    def neighbors(self) -> tuple[tuple[NDArray[np.intp], NDArray[np.intp]], ...]:
        """Per axis the states (s,) one knot below and one above, the last one where there is none; itself if sound."""
        lookup = {tuple(knots): s for s, knots in enumerate(self.index.tolist())}
        found = []
        for axis, knots in enumerate(self.knots):
            ends = []
            for step in (-1, 1):
                moved = np.where(self.index >= 0, self.index, -1)
                worn = self.index[:, axis] >= 0
                moved[worn, axis] = np.clip(self.index[worn, axis] + step, 0, len(knots) - 1)
                ends.append(np.array([lookup[tuple(row)] for row in moved.tolist()]))
            found.append((ends[0], ends[1]))
        return tuple(found)

    @property
    def middle(self) -> int:
        """The state with every axis at its middle knot."""
        middle = len(self.knots[0]) // 2
        return int(np.flatnonzero(np.all(self.index == middle, axis=1))[0])

    @property
    def beyond_reject(self) -> NDArray[np.bool_]:
        """Which states (s,) are past the reject clearance on any axis."""
        past = [self.clearance(a) > reject for a, reject in enumerate(self.reject)]
        return np.asarray(np.any(past, axis=0))


def vehicle_states(vehicle: Vehicle, beliefs: Beliefs) -> tuple[PartStates, ...]:
    """States of every part of a vehicle that can be worn, in the vehicle's order."""
    return tuple(part_states(part, beliefs) for part in vehicle.wearable if worn_axes(part))


def worn_axes(part: Part) -> tuple[Axis, ...]:
    """Axes that diagnosis treats as unknown, the one that wears first in front; only those with a reject clearance."""
    figure = part.figure
    if figure is None:
        return ()
    have = {"radial": figure.radial.reject, "axial": figure.axial.reject}
    axes = [axis for axis in part.kind.worn_by if have[axis] is not None]
    return tuple(sorted(axes, key=lambda axis: axis != figure.wear_axis))


def reject_clearance(part: Part, axis: Axis) -> float:
    """Reject clearance [mm total travel] of one axis.

    Raises
    ------
    ValueError
        If the catalogue has none.
    """
    assert part.figure is not None
    reject = part.figure.radial.reject if axis == "radial" else part.figure.axial.reject
    if reject is None:
        raise ValueError(f"{part.id} has no reject clearance along its {axis} axis")
    return reject


def part_states(part: Part, beliefs: Beliefs) -> PartStates:
    """Worn states of one part: every knot alone, and for two axes every pair of knots."""
    axes = worn_axes(part)
    reject = tuple(reject_clearance(part, axis) for axis in axes)
    knots = tuple(np.array(beliefs.knots) * r for r in reject)
    size = _size_weights(beliefs)
    n = len(size)
    if len(axes) == 1:
        return PartStates(part, axes, knots, np.arange(n)[:, None], size, reject)
    index, weight = [], []
    for i, j in product(range(-1, n), repeat=2):
        if i < 0 and j < 0:
            continue
        index.append((i, j))
        if j < 0:
            weight.append(beliefs.only_leading * size[i])
        elif i < 0:
            weight.append(beliefs.only_other * size[j])
        else:
            weight.append(beliefs.both * size[i] * size[j])
    return PartStates(part, axes, knots, np.array(index), np.array(weight) / sum(weight), reject)


def _size_weights(beliefs: Beliefs) -> Array:
    z = np.log(np.array(beliefs.knots) / beliefs.median) / beliefs.log_spread
    weight = np.exp(-0.5 * z**2)
    return np.asarray((1.0 - beliefs.even_share) * weight / weight.sum() + beliefs.even_share / len(weight))


def plain_odds(states: Sequence[PartStates], beliefs: Beliefs) -> dict[str, float]:
    """Prior log odds by part of a vehicle of which nothing is known."""
    return {s.part.id: log_odds(s.part, beliefs) for s in states}


def log_odds(part: Part, beliefs: Beliefs) -> float:
    """Prior log odds that a part is worn, of which nothing is known."""
    assert part.figure is not None
    chance = min(0.5, beliefs.worn_chance * part.figure.relative_wear)
    return float(np.log(chance / (1.0 - chance)))
