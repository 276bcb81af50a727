"""What a tape vehicle's file leaves open: shafts whose direction nobody measured, and questions not answered."""

from __future__ import annotations

import math

from looseends.vehicle.groups import PointGroup, groups_of
from looseends.vehicle.vehicle import Vehicle

_KNOWN_DEG = 1.5
"""A shaft that may lean further than this, 1 sigma, is not known: two or three degrees spoil a reading. Assumed."""


def unknown_shafts(vehicle: Vehicle) -> tuple[PointGroup, ...]:
    """Groups with a shaft whose direction the vehicle's file does not know; none without a spread."""
    if vehicle.spread is None:
        return ()
    leans = {name: spread.lean for name, spread in vehicle.spread.groups.items()}
    return tuple(
        group
        for name, group in groups_of(vehicle.points).items()
        if group.turned and leans[name] > math.radians(_KNOWN_DEG)
    )


def widest_groups(vehicle: Vehicle, count: int) -> tuple[tuple[PointGroup, float], ...]:
    """The groups whose place is known least, with the spread [mm] of one side, widest first; none without a spread.

    What is for the drawing only is left out.
    """
    if vehicle.spread is None:
        return ()
    groups = groups_of(vehicle.points)
    found = [(groups[name], math.hypot(s.common, s.own)) for name, s in vehicle.spread.groups.items()]
    counting = [(group, mm) for group, mm in found if "drawing" not in group.measure]
    return tuple(sorted(counting, key=lambda pair: -pair[1])[:count])
