"""The yard pickup shaken in one call; settled vehicles are kept, because many tests ask for the same one."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Literal

import numpy as np

from looseends.catalogue.types import Axis
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import (
    PreparedCheck,
    Shaken,
    WatchedMovement,
    answer_stroke,
    nominal_preload,
    prepare_check,
)
from looseends.vehicle.shake import shake as shake_vehicle
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.vehicle import Vehicle

SOUND: Mapping[tuple[str, Axis], float] = {}


def yard_pickup() -> Vehicle:
    """The vehicle of the training bay."""
    return load_vehicles()["yard-pickup"]


@cache
def nominal() -> Specimen:
    """Every joint in the middle of its band."""
    return nominal_specimen(yard_pickup())


@cache
def prepared(
    check: str,
    support: str,
    side: Side | None,
    brake: Literal["on", "off"] = "off",
    stand_inboard_mm: float = 0.0,
    raised_mm: float = 0.0,
    force: float | None = None,
) -> PreparedCheck:
    """The check set up on the vehicle, steering held; lengths in mm, force in N."""
    setup = Setup(check, support, side, "held", brake, stand_inboard_mm)
    return prepare_check(yard_pickup(), nominal(), setup, nominal_preload("yard-pickup", raised_mm), force=force)


def shaken(check: PreparedCheck, worn: Mapping[tuple[str, Axis], float] = SOUND) -> Shaken:
    """What the check shows with these clearances [mm total travel]."""
    return shake_vehicle(yard_pickup(), nominal(), check, worn)


def movement(answer: Shaken, watch: str) -> WatchedMovement:
    """One watch of an answer."""
    return next(entry for entry in answer.movements if entry.watch == watch)


def force_at_rest(check: PreparedCheck, joint: str) -> float:
    """Force [N] in a joint before the bar lifts; for checks whose stroke begins at no force."""
    (stroke,) = check.strokes
    assert stroke.first_share == 0.0
    answer = answer_stroke(stroke, nominal().clearances(yard_pickup(), SOUND))
    return float(np.linalg.norm(answer.first.f[stroke.reduced.joints[joint]]))


def no_clearance_anywhere() -> dict[tuple[str, Axis], float]:
    """Every joint of the vehicle without any clearance, for values that are worked by hand."""
    axes: tuple[Axis, Axis] = ("radial", "axial")
    return {(part.id, axis): 0.0 for part in yard_pickup().wearable for axis in axes}
