"""The training bay: the yard pickup set up and shaken in one call, and the sheet on which a lesson writes."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from functools import cache
from typing import Literal

from looseends.catalogue.types import Axis
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.travel import Movement
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import PreparedCheck, PreparedStroke, Worn, answer_stroke, nominal_preload, prepare_check
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.vehicle import Vehicle

SOUND: Worn = {}
Numbers = dict[str, float]
"""What a lesson has read, by a name that ends in its unit, `_mm` or `_N`; without one it is a plain number."""


@cache
def yard_pickup() -> Vehicle:
    """The vehicle of the training bay."""
    return load_vehicles()["yard-pickup"]


@cache
def nominal() -> Specimen:
    """Every joint of it in the middle of its band."""
    return nominal_specimen(yard_pickup())


@cache
def set_up(
    check: str,
    support: str,
    side: Side | None = None,
    *,
    steer: Literal["held", "free"] = "held",
    brake: Literal["off", "on"] = "off",
    stand_inboard_mm: float = 0.0,
    force: float | None = None,
) -> PreparedCheck:
    """A check set up on the vehicle; the stand's place in mm, the force in N. Kept, for lessons ask for it again."""
    setup = Setup(check, support, side, steer, brake, stand_inboard_mm)
    return prepare_check(yard_pickup(), nominal(), setup, nominal_preload("yard-pickup"), force=force)


def shown(
    check: PreparedCheck, worn: Worn = SOUND, changed: Mapping[str, Clearance] | None = None
) -> dict[str, Movement]:
    """What every watch of a check shows with these worn clearances [mm total travel].

    `changed` gives joints, by joint name, a clearance of their own: seized, softened or taken off.
    """
    clearances = nominal().clearances(yard_pickup(), worn) | dict(changed or {})
    movements: dict[str, Movement] = {}
    for stroke in check.strokes:
        movements |= answer_stroke(stroke, clearances).movements
    return movements


def stroke_of(check: PreparedCheck, stroke_id: str) -> PreparedStroke:
    """One stroke of a check by its name."""
    return next(stroke for stroke in check.strokes if stroke.stroke_id == stroke_id)


def joint_forces(stroke: PreparedStroke, joint: str, worn: Worn = SOUND) -> tuple[list[float], list[float]]:
    """Force [N] in a joint at the two ends of a stroke, along the joint's own held axes."""
    answer = answer_stroke(stroke, nominal().clearances(yard_pickup(), worn))
    part = stroke.reduced.joints[joint]
    return answer.first.f[part].tolist(), answer.last.f[part].tolist()


def no_clearance_anywhere() -> dict[tuple[str, Axis], float]:
    """Every joint without any clearance, for numbers that are worked by hand."""
    axes: tuple[Axis, Axis] = ("radial", "axial")
    return {(part.id, axis): 0.0 for part in yard_pickup().wearable for axis in axes}


class Sheet:
    """What a lesson reads: each number is printed in the trade's words as it is written down."""

    def __init__(self, title: str) -> None:
        self.numbers: Numbers = {}
        print(f"{title}\n")

    def write(self, key: str, words: str, value: float) -> float:
        """Write one number down, and give it back."""
        unit = next((unit for unit in ("mm", "N") if key.endswith(f"_{unit}")), "")
        digits = 1 if unit == "N" else 2
        self.numbers[key] = value
        # the second term keeps a rounded zero from carrying a sign
        print(f"  {words:<72}{round(value, digits) + 0.0:9.{digits}f} {unit}".rstrip())
        return value

    def say(self, sentence: str) -> None:
        """What follows from the numbers."""
        print(f"\n{textwrap.fill(sentence, 100)}")
