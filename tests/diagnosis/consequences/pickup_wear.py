"""The yard pickup's bench and roads, held once for all tests of consequences, and its levers by hand."""

from __future__ import annotations

from functools import cache

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.consequences.bench import Bench
from looseends.diagnosis.consequences.ledger import Ledger, ledger_of
from looseends.diagnosis.consequences.places import WatchedPlace
from looseends.diagnosis.consequences.road import PreparedRoad, RoadEffects, WheelOnRoad, prepare_road, road_effects
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.consequences.wear import PartWear, known
from looseends.vehicle.setup import Side
from tests.vehicle.front_end import nominal, yard_pickup

ROD = "outer-tie-rod-end-left"
INNER_ROD = "inner-tie-rod-end-left"
IDLER = "idler-arm"
GEAR = "steering-gear"
CARRIER = "lower-ball-joint-left"
FOLLOWER = "upper-ball-joint-left"
BEARING = "wheel-bearing-left"

RIM_PER_MM = 16.0 * 197.0 / 150.0
"""Rim travel per length lost at the pitman arm's tip: ratio, rim radius and arm, as in test_rim_lash.py."""

WHEEL_RADIUS_MM = 402.0


@cache
def bench() -> Bench:
    """One bench for all tests: it keeps every answer."""
    return Bench(yard_pickup())


@cache
def road(case: str) -> PreparedRoad:
    """The pickup on one load case."""
    return prepare_road(yard_pickup(), load_road_cases()[case])


def place(place_id: str) -> WatchedPlace:
    """A watched place by id."""
    return next(place for place in bench().places() if place.id == place_id)


def ledger(place_id: str, **worn_mm: float) -> Ledger:
    """The ledger of radial wear [mm]; parts by their id with underscores."""
    return ledger_of(bench(), known(radial(**worn_mm)), place(place_id))


def radial(**worn_mm: float) -> dict[str, PartWear]:
    """Worn parts by id with underscores, radial clearance [mm]."""
    return {part.replace("_", "-"): PartWear(radial_mm=mm) for part, mm in worn_mm.items()}


def effects(case: str, **worn_mm: float) -> RoadEffects:
    """Effects of radial wear [mm] in one load case."""
    return road_effects(road(case), known(radial(**worn_mm)))


def wheel(found: RoadEffects, side: Side = "left", end: str = "front") -> WheelOnRoad:
    """One wheel of a load case."""
    return next(wheel for wheel in found.wheels if (wheel.side, wheel.end) == (side, end))


def sound_clearance(part: str, axis: Axis = "radial") -> float:
    """Clearance [mm] of a sound joint of the nominal vehicle."""
    clearance = nominal().clearance(yard_pickup().parts[part])
    return float(clearance.radial if axis == "radial" else clearance.axial)


def lost(part: str, worn_mm: float) -> float:
    """What wear adds to a part's radial clearance [mm]."""
    return worn_mm - sound_clearance(part)


def steering_arm_mm() -> float:
    """Lever [mm] of the tie rod about the steering axis, from the drawing: (a × r) · e."""
    vehicle = yard_pickup()
    lower, upper = (vehicle.point(f"{name}-left") for name in ("lower-ball-joint", "upper-ball-joint"))
    outer, inner = (vehicle.point(f"tie-rod-{name}-left") for name in ("outer", "inner"))
    axis = (upper - lower) / np.linalg.norm(upper - lower)
    along = (inner - outer) / np.linalg.norm(inner - outer)
    return float(abs(np.cross(axis, outer - lower) @ along))
