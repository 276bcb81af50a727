"""Which vehicles a row of the trade's table means: the words for a layout, told from the vehicle's own data."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import cache

from looseends.vehicle.load_path import carrying_bodies, droop_stop_bodies
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle

_AXLES = {"front-axle", "beam"}
_ARMS = {"lower-arm", "upper-arm"}


def bodies(vehicle: Vehicle) -> set[str]:
    """Bodies of the vehicle's layout, without sides."""
    return {body.id for body in vehicle.layout.bodies}


def _has(names: Collection[str]) -> Callable[[Vehicle], bool]:
    return lambda vehicle: set(names) <= bodies(vehicle)


WORDS: Mapping[str, Callable[[Vehicle], bool]] = {
    "any": lambda vehicle: True,
    "double arms": _has(_ARMS),
    "spring on the lower arm": lambda vehicle: "lower-arm" in carrying_bodies(vehicle),
    "spring on the upper arm": lambda vehicle: "upper-arm" in carrying_bodies(vehicle),
    "rebound stop on the upper arm": lambda vehicle: "upper-arm" in droop_stop_bodies(vehicle),
    "droop ended by shock or coilover": lambda vehicle: "upper-arm" not in droop_stop_bodies(vehicle),
    "strut with the coil around it": lambda vehicle: (
        "strut" in bodies(vehicle) and not _ARMS & carrying_bodies(vehicle)
    ),
    "solid axle or swing beams": lambda vehicle: bool(_AXLES & bodies(vehicle)),
    "solid axle with a track bar": _has({"front-axle", "track-bar"}),
    "rack": _has({"rack"}),
    "steering box": _has({"steering-box"}),
    "box and linkage": _has({"steering-box"}),
    "parallelogram linkage": _has({"center-link", "idler-arm"}),
    "two idler arms": _has({"center-link", "idler-arm", "idler-arm-second"}),
    "sway bar with links": _has({"sway-bar", "sway-link"}),
    # how the supports hold the wheels, which the support itself says
    "both wheels hanging": lambda vehicle: True,
    "both wheels on stands": lambda vehicle: True,
    "one wheel on a stand": lambda vehicle: True,
}
"""Each phrase of a cell's `layout`, between commas."""


def fits(vehicle: Vehicle, words: str) -> bool:
    """Whether the vehicle is laid out as the words say.

    Raises
    ------
    KeyError
        If a phrase is not one of `WORDS`.
    """
    return all(WORDS[phrase](vehicle) for phrase in words.split(", "))


def held_so(vehicle: Vehicle, support: str) -> bool:
    """Whether the front of the vehicle can be held so; "axle" means that the stands are under the front one."""
    found = vehicle.layout.supports.get(support)
    return found is not None and (support != "axle" or found.stands)


@cache
def meant(words: str, support: str) -> tuple[Vehicle, ...]:
    """Vehicles that ship, laid out as the words say, whose front can be held so."""
    return tuple(v for v in load_vehicles().values() if fits(v, words) and held_so(v, support))
