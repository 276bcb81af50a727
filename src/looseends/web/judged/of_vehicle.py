"""What a bay works out of a vehicle once, and again where the vehicle's file was changed."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.vehicle.vehicle import Vehicle

_MOST = 64
"""Vehicles of which it is kept; a bay has no more at hand."""

_Made = TypeVar("_Made")


def once_a_vehicle(make: Callable[[Vehicle], _Made]) -> Callable[[Vehicle], _Made]:
    """The function, asked once for each vehicle; a vehicle whose file was changed is another object."""
    known: dict[str, tuple[Vehicle, _Made]] = {}

    @wraps(make)
    def made(vehicle: Vehicle) -> _Made:
        found = known.get(vehicle.id)
        if found is None or found[0] is not vehicle:
            found = vehicle, make(vehicle)
            if len(known) >= _MOST:
                known.clear()
            known[vehicle.id] = found
        return found[1]

    return made


usual_setups_of = once_a_vehicle(usual_setups)
"""The setups that a visit of the vehicle ordinarily uses."""
