"""Answers that a shop might give, one set for each way of building."""

from __future__ import annotations

from typing import Any

from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.tape import Template, load_templates, read_answers, taped_vehicle, vehicle_text
from looseends.vehicle.tape.scaling import TapedVehicle
from looseends.vehicle.tape.templates import vehicle_data
from looseends.vehicle.vehicle import Vehicle

WAYS = [(template.id, template.linkage) for template in load_templates()]

_PICKUP = {
    "wheelbase_mm": 3660.0,
    "front_track_mm": 1680.0,
    "rear_track_mm": 1700.0,
    "tire_size": "LT245/75R17",
    "front_axle_kg": 1400.0,
    "rear_axle_kg": 950.0,
    "front_height_mm": 310.0,
}
_SEDAN = {
    "wheelbase_mm": 2850.0,
    "front_track_mm": 1540.0,
    "rear_track_mm": 1530.0,
    "tire_size": "235/60R16",
    "front_axle_kg": 1020.0,
    "rear_axle_kg": 800.0,
    "front_height_mm": 240.0,
}
_COMPACT = {
    "wheelbase_mm": 2600.0,
    "front_track_mm": 1500.0,
    "rear_track_mm": 1480.0,
    "tire_size": "205/55R16",
    "front_axle_kg": 850.0,
    "rear_axle_kg": 560.0,
    "front_height_mm": 215.0,
}
_VAN = {
    "wheelbase_mm": 3900.0,
    "front_track_mm": 1720.0,
    "rear_track_mm": 1640.0,
    "tire_size": "225/70R19.5",
    "front_axle_kg": 2700.0,
    "rear_axle_kg": 2200.0,
    "front_height_mm": 505.0,
}
_LENGTHS = {
    "bar-linkage-leaf": _PICKUP,
    "coil-linkage-leaf": _PICKUP,
    "coil-linkage-coil": _SEDAN,
    "strut-rack-twist-beam": _COMPACT,
    "axle-drag-link-leaf": _VAN,
}


def _little_larger(template: Template) -> dict[str, Any]:
    """Lengths and weights some percent off those of the template."""
    data = vehicle_data(template.vehicles["front"])
    points, numbers = data["points"], data["numbers"]
    front, rear = points["wheel-center"], points["rear-wheel-center"]
    width = int(numbers["tire_width_mm"])
    aspect = 5 * round((numbers["wheel_radius_mm"] - 8 * 25.4) / width * 20)
    return {
        "wheelbase_mm": 1.03 * (front[0] - rear[0]),
        "front_track_mm": 2.04 * front[1],
        "rear_track_mm": 2.03 * rear[1],
        "tire_size": f"{width}/{aspect}R16",
        "front_axle_kg": 2.1 * numbers["front_corner_kg"],
        "rear_axle_kg": 1.9 * numbers["rear_corner_kg"],
        "front_height_mm": points[template.heights["front"]][2] + 6.0,
    }


def answers_of(layout: str = "bar-linkage-leaf", linkage: str = "behind", **more: Any) -> dict[str, Any]:
    """The needed answers of a way of building; `more` replaces or adds some, None leaves one out."""
    template = next(t for t in load_templates() if (t.id, t.linkage) == (layout, linkage))
    given: dict[str, Any] = {
        "name": "ramp-truck",
        "layout": layout,
        "spring_arm": template.spring_arm,
        "stop_arm": template.stop_arm,
        "linkage": linkage,
        **(_LENGTHS.get(layout) or _little_larger(template)),
        **more,
    }
    return {name: value for name, value in given.items() if value is not None}


def taped(layout: str = "bar-linkage-leaf", linkage: str = "behind", **more: Any) -> TapedVehicle:
    """The scaled template of a way of building."""
    return taped_vehicle(read_answers(answers_of(layout, linkage, **more), "answers.toml"))


def tape_vehicle(layout: str = "bar-linkage-leaf", linkage: str = "behind", **more: Any) -> Vehicle:
    """The vehicle that the written file gives."""
    return parse_vehicle(vehicle_text(taped(layout, linkage, **more)), "ramp-truck.toml")
