"""The vehicle that a command names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError

if TYPE_CHECKING:
    from looseends.vehicle.vehicle import Vehicle


def known_vehicle(vehicle_id: str, command: str) -> Vehicle:
    """The vehicle of that id.

    Raises
    ------
    InputError
        If there is none; the nearest ids are offered.
    """
    from looseends.vehicle.loading import load_vehicles  # numpy: --help need not wait for it

    vehicles = load_vehicles()
    if vehicle_id not in vehicles:
        raise InputError(unknown_name_sentence("vehicle", vehicle_id, vehicles, where=f"looseends {command}"))
    return vehicles[vehicle_id]
