"""Vehicles of the same kind whose joint centers lie a little elsewhere, for what nobody has measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from looseends.vehicle.vehicle import Vehicle

_SIDES = ("-left", "-right")


def scattered(vehicle: Vehicle, rng: np.random.Generator, common_mm: float, own_mm: float) -> Vehicle:
    """The vehicle with every joint center moved: by `common_mm` (1 sigma) alike on both sides, mirrored, and by
    `own_mm` on each side for itself."""
    common: dict[str, np.ndarray] = {}
    points = {}
    for name, point in vehicle.points.items():
        stem = name.removesuffix(_SIDES[0]).removesuffix(_SIDES[1])
        both = common.setdefault(stem, rng.normal(0.0, common_mm, 3))
        mirror = np.array([1.0, -1.0 if name.endswith(_SIDES[1]) else 1.0, 1.0])
        x, y, z = (float(v) for v in np.array(point) + both * mirror + rng.normal(0.0, own_mm, 3))
        points[name] = (x, y, z)
    return replace(vehicle, points=points)
