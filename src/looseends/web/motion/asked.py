"""What the motion view was asked for, checked field by field."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

import msgspec

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Axis, AxisFigures, Check, Stroke
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.language import refusal
from looseends.language.quantity import Length
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.strokes import check_on, offered, offers
from looseends.vehicle.vehicle import Part, Vehicle
from looseends.web.taken.numbers import number

_WHERE = "motion"
SIDES: Mapping[str, Side] = {"left": "left", "right": "right"}
AXES: tuple[Axis, Axis] = ("radial", "axial")
MOST_WORN = 12
"""Worn parts that one picture can still tell apart. Assumed."""
MOST_MM = 25.0
"""A bound against slips of the pen and no limit of wear: a dial gauge at a joint runs so far. Common practice, no
source."""
MOST_REJECTS = 20.0
"""A joint with so many times its reject clearance has come apart. Common practice, no source."""
STAND_SUPPORT = "arm"
MOST_INBOARD_MM = 300.0
"""Further inboard than any lower arm is long. Assumed."""


class MotionAsk(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """What to show, as it was sent; `worn` lists PART=MM, PART.axial=MM or PART.radial=MM in mm of total travel.

    What is left empty is the first that the check accepts.
    """

    vehicle: str
    check: str
    support: str = ""
    side: str = ""
    stroke: str = ""
    steer: str = ""
    brake: str = ""
    stand_inboard_mm: float = 0.0
    worn: list[str] = []


@dataclass(frozen=True)
class MotionRequest:
    """A vehicle, its setup, the stroke of the check that is shown, and what is worn [mm of total travel]."""

    vehicle: Vehicle
    check: Check
    setup: Setup
    stroke: Stroke
    worn: Mapping[tuple[str, Axis], float]


def read_motion(ask: MotionAsk, vehicle: Vehicle | None = None) -> MotionRequest:
    """The request, every field of it checked; `vehicle`: that of a visit, in place of the one named.

    Raises
    ------
    InputError
        In one sentence: what, the value found, what is accepted.
    """
    vehicle = vehicle or _vehicle(ask.vehicle)
    check = _check(ask.check, vehicle)
    side = _side(ask.side, check)
    resolved = check_on(vehicle, check.id, side)
    setup = Setup(
        check=check.id,
        support=_one_of("support", ask.support, supports_of(check, vehicle), check),
        side=side,
        steer=cast(Literal["held", "free"], _one_of("steer", ask.steer, check.steer_states, check)),
        brake=cast(Literal["off", "on"], _one_of("brake", ask.brake, check.brake_states, check)),
        stand_inboard_mm=_inboard(ask),
    )
    strokes = {stroke.id: stroke for stroke in resolved.strokes if offered(vehicle, stroke)}
    stroke = strokes[_one_of("stroke", ask.stroke, strokes, check)]
    return MotionRequest(vehicle, resolved, setup, stroke, _worn(ask.worn, vehicle))


def checks_of(vehicle: Vehicle) -> list[Check]:
    """The checks that mechanics computes and this vehicle has something to grip for."""
    found = [check for check in load_catalogue().checks.values() if check.kind == "movement"]
    sides: Mapping[bool, Side | None] = {True: "left", False: None}
    return [check for check in found if offers(vehicle, resolve_check(check, sides[check.sided]))]


def supports_of(check: Check, vehicle: Vehicle) -> list[str]:
    """The supports of a check that the vehicle's layout knows."""
    return [support for support in check.supports if support in vehicle.layout.supports]


def axes_of(part: Part) -> Mapping[Axis, AxisFigures]:
    """The axes in which a part's joints hold, and so can have clearance."""
    if part.figure is None:
        return {}
    figures: Mapping[Axis, AxisFigures] = {"radial": part.figure.radial, "axial": part.figure.axial}
    return {axis: values for axis, values in figures.items() if values.stiffness is not None}


def most_clearance(part: Part, axes: Sequence[Axis]) -> float:
    """The largest clearance [mm of total travel] that is accepted of a part."""
    rejects = [reject for axis in axes if (reject := axes_of(part)[axis].reject) is not None]
    return min([MOST_MM, *(MOST_REJECTS * max(rejects) for _ in rejects[:1])])


def _vehicle(given: str) -> Vehicle:
    vehicles = load_vehicles()
    if given not in vehicles:
        raise InputError(unknown_name_sentence("vehicle", given[:60], vehicles, where=_WHERE))
    return vehicles[given]


def _check(given: str, vehicle: Vehicle) -> Check:
    offered_checks = {check.id: check for check in checks_of(vehicle)}
    known = load_catalogue().checks
    if given not in known:
        raise InputError(unknown_name_sentence("check", given[:60], offered_checks, where=_WHERE))
    if given not in offered_checks:
        raise InputError(
            refusal(
                "{where}: check must be one that mechanics computes and that {id} has something to grip for, "
                "found {found}.",
                where=_WHERE,
                id=vehicle.id,
                found=shown(given),
            )
        )
    return known[given]


def _side(given: str, check: Check) -> Side | None:
    if not check.sided:
        if given:
            raise InputError(
                refusal(
                    '{where}: side must be left out of check "{id}", which is done on the whole vehicle, found '
                    "{found}.",
                    where=_WHERE,
                    id=check.id,
                    found=shown(given),
                )
            )
        return None
    if given and given not in SIDES:
        raise InputError(
            refusal(
                '{where}: side of check "{id}" must be left or right, found {found}.',
                where=_WHERE,
                id=check.id,
                found=shown(given),
            )
        )
    return SIDES[given or "left"]


def _one_of(field: str, given: str, accepted: Collection[str], check: Check) -> str:
    if not accepted:
        raise InputError(
            refusal(
                '{where}: check "{id}" has no {field} on this vehicle, found {found}.',
                where=_WHERE,
                id=check.id,
                field=field,
                found=shown(given),
            )
        )
    if not given:
        return next(iter(accepted))
    if given not in accepted:
        raise InputError(
            refusal(
                '{where}: {field} of check "{id}" must be {accepted}, found {found}.',
                where=_WHERE,
                field=field,
                id=check.id,
                accepted=" or ".join(accepted),
                found=shown(given),
            )
        )
    return given


def _inboard(ask: MotionAsk) -> float:
    value = ask.stand_inboard_mm
    if not math.isfinite(value) or not 0.0 <= value <= MOST_INBOARD_MM:
        raise InputError(
            refusal(
                "{where}: stand_inboard_mm must be from 0 to {most}, found {found}.",
                where=_WHERE,
                most=Length(MOST_INBOARD_MM),
                found=Length(value) if math.isfinite(value) else f"{value:g}",
            )
        )
    if value and ask.support != STAND_SUPPORT:
        raise InputError(
            refusal(
                '{where}: stand_inboard_mm belongs to support "{support}" only, found it with support {found}.',
                where=_WHERE,
                support=STAND_SUPPORT,
                found=shown(ask.support),
            )
        )
    return value


def _worn(given: Sequence[str], vehicle: Vehicle) -> dict[tuple[str, Axis], float]:
    if len(given) > MOST_WORN:
        raise InputError(
            refusal(
                "{where}: worn must name at most {most} parts, found {found}.",
                where=_WHERE,
                most=MOST_WORN,
                found=len(given),
            )
        )
    worn: dict[tuple[str, Axis], float] = {}
    for text in given:
        name, equals, amount = text.partition("=")
        if not equals:
            raise InputError(
                refusal(
                    "{where}: worn must be PART=MM, as in idler-arm=4, found {found}.", where=_WHERE, found=shown(text)
                )
            )
        part, axes = _part_and_axes(name.strip(), vehicle)
        clearance = _clearance(amount, part, axes)
        for axis in axes:
            if (part.id, axis) in worn:
                raise InputError(
                    refusal(
                        "{where}: worn {id}: the {axis} clearance must be given once, found it twice.",
                        where=_WHERE,
                        id=part.id,
                        axis=axis,
                    )
                )
            worn[part.id, axis] = clearance
    return worn


def _part_and_axes(name: str, vehicle: Vehicle) -> tuple[Part, tuple[Axis, ...]]:
    base, dot, asked = name.partition(".")
    wearable = {part.id: part for part in vehicle.wearable}
    if base not in wearable:
        raise InputError(unknown_name_sentence("worn part", base[:60], wearable, where=_WHERE))
    part = wearable[base]
    axes = tuple(axes_of(part))
    if not dot:
        return part, axes
    for axis in axes:
        if axis == asked:
            return part, (axis,)
    raise InputError(
        refusal(
            "{where}: worn {id}: axis must be {accepted}, found {found}.",
            where=_WHERE,
            id=part.id,
            accepted=" or ".join(axes),
            found=shown(asked),
        )
    )


def _clearance(given: str, part: Part, axes: Sequence[Axis]) -> float:
    value, most = number(given, whole=False), most_clearance(part, axes)
    if value is None or not 0.0 <= value <= most:
        raise InputError(
            refusal(
                "{where}: worn {id}: clearance must be from 0 to {most} of total travel, found {found}.",
                where=_WHERE,
                id=part.id,
                most=Length(most),
                found=shown(given.strip()) if value is None else Length(value),
            )
        )
    return value
