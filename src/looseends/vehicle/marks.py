"""Places that follow from a vehicle's points and radii: on tires, brake discs and the steering wheel."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.layout_types import Layout, LayoutRing, LayoutWheel

Point = tuple[float, float, float]
_NEEDED_NUMBERS = ("wheel_radius_mm", "tire_width_mm", "brake_disc_radius_mm")
"""Numbers that marks are made from, all > 0."""


def marks(layout: Layout, points: Mapping[str, Point], numbers: Mapping[str, float], file: str) -> dict[str, Point]:
    """Marks (x, y, z) [mm] that checks grip and watch, by name; `file` names the vehicle in errors.

    Raises
    ------
    InputError
        If a radius or the center of a wheel is missing.
    """
    needed = (*_NEEDED_NUMBERS, *(ring.diameter for ring in layout.rings if isinstance(ring.diameter, str)))
    for name in needed:
        if numbers.get(name, 0.0) <= 0.0:
            raise InputError(
                refusal(
                    "{file}, numbers: {name} must be > 0, found {found}",
                    file=file,
                    name=name,
                    found=repr(numbers.get(name)),
                )
            )
    made: dict[str, Point] = {}
    for wheel in layout.wheels:
        for side in ("left", "right"):
            center = points.get(f"{wheel.center}-{side}")
            if center is None:
                raise InputError(refusal('{file}, points: "{name}" is missing', file=file, name=wheel.center))
            made |= _wheel_marks(wheel, side, center, numbers)
    for ring in layout.rings:
        made |= _ring_marks(ring, points, numbers, file)
    return made


def _wheel_marks(wheel: LayoutWheel, side: str, center: Point, numbers: Mapping[str, float]) -> dict[str, Point]:
    (x, y, z), name = center, wheel.prefix
    r = numbers.get(f"{wheel.end}_wheel_radius_mm", numbers["wheel_radius_mm"])
    disc = numbers["brake_disc_radius_mm"]
    return {
        f"{name}tread-front-{side}": (x + r, y, z),
        f"{name}tread-rear-{side}": (x - r, y, z),
        f"{name}tread-top-{side}": (x, y, z + r),
        f"{name}tread-bottom-{side}": (x, y, z - r),
        f"{name}tread-under-{side}": (x, y, z - r),
        f"{name}tire-contact-{side}": (x, y, 0.0),
        f"{name}rotor-front-{side}": (x + disc, y, z),
        f"{name}rotor-top-{side}": (x, y, z + disc),
    }


def _ring_marks(
    ring: LayoutRing, points: Mapping[str, Point], numbers: Mapping[str, float], file: str
) -> dict[str, Point]:
    """Highest and lowest place of a ring; there it moves straight across its axis, level, as it turns."""
    for name in ring.axis:
        if name not in points:
            raise InputError(
                refusal(
                    '{file}, points: "{name}" is missing; the ring "{ring}" needs it',
                    file=file,
                    name=name,
                    ring=ring.name,
                )
            )
    start, center = (np.array(points[name]) for name in ring.axis)
    axis = (center - start) / max(float(np.linalg.norm(center - start)), 1e-9)
    up = np.array([0.0, 0.0, 1.0]) - axis[2] * axis
    diameter = numbers[ring.diameter] if isinstance(ring.diameter, str) else ring.diameter
    up = 0.5 * diameter * up / max(float(np.linalg.norm(up)), 1e-9)
    top, bottom = ([float(v) for v in center + sign * up] for sign in (1.0, -1.0))
    return {f"{ring.name}-top": (top[0], top[1], top[2]), f"{ring.name}-bottom": (bottom[0], bottom[1], bottom[2])}
