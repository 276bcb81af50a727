"""Which published limits speak of a vehicle, and with what value."""

from __future__ import annotations

import math

from looseends.catalogue.types import Limit
from looseends.language import Length, Mass, Text, either, say
from looseends.vehicle.bodies import body_names
from looseends.vehicle.vehicle import Vehicle


def speaks_of(limit: Limit, vehicle: Vehicle) -> bool | None:
    """Whether a limit speaks of this vehicle; None where the vehicle's file does not say what decides it.

    By the diameter of its steering wheel, how it is steered, what it is built of, its wheel rims, weight rating and
    kind.
    """
    answers = (
        limit.assist in (None, vehicle.assist),
        limit.body is None or limit.body in body_names(vehicle),
        _within(vehicle.numbers.get("rim_diameter_mm", 0.0), limit.rim_over_mm, limit.rim_up_to_mm),
        _within(vehicle.numbers.get("wheel_rim_diameter_mm"), limit.wheel_rim_over_mm, limit.wheel_rim_up_to_mm),
        _within(vehicle.numbers.get("gvwr_kg"), limit.gvwr_over_kg, limit.gvwr_up_to_kg),
        not limit.vehicle_kinds or (None if vehicle.kind is None else vehicle.kind in limit.vehicle_kinds),
    )
    return False if False in answers else None if None in answers else True


def _within(value: float | None, over: float | None, up_to: float | None) -> bool | None:
    if over is None and up_to is None:
        return True
    return None if value is None else (over or 0.0) < value <= (up_to or math.inf)


def applies_if(limit: Limit) -> Text:
    """What a vehicle must be for the limit to speak of it, where rims, weight or kind decide: half a sentence."""
    conditions: list[Text] = []
    rims = _range_words(limit.wheel_rim_over_mm, limit.wheel_rim_up_to_mm, Length)
    conditions += [say("its wheel rims measure {range}", range=rims)] if rims else []
    weight = _range_words(limit.gvwr_over_kg, limit.gvwr_up_to_kg, Mass)
    conditions += [say("its gross vehicle weight rating is {range}", range=weight)] if weight else []
    conditions += [say("it is a {kinds}", kinds=either(limit.vehicle_kinds))] if limit.vehicle_kinds else []
    first, *others = conditions or [say("")]
    for other in others:
        first = say("{first} and {second}", first=first, second=other)
    return first


def _range_words(over: float | None, up_to: float | None, of: type[Length] | type[Mass]) -> Text | None:
    if over is not None and up_to is not None:
        return say("over {least} and up to {most}", least=_whole(over, of), most=_whole(up_to, of))
    if over is not None:
        return say("over {least}", least=_whole(over, of))
    return None if up_to is None else say("up to {most}", most=_whole(up_to, of))


def _whole(value: float, of: type[Length] | type[Mass]) -> Length | Mass:
    return of(value, 0, grouped=True)


def limit_mm(limit: Limit, vehicle: Vehicle) -> float | None:
    """The value [mm] that holds for this vehicle, in proportion to its steering wheel where the limit says so.

    None where the limit has no value in mm, or the steering wheel's diameter is not known.
    """
    if limit.value_mm is None or limit.per_rim_mm is None:
        return limit.value_mm
    rim = vehicle.numbers.get("rim_diameter_mm")
    return None if rim is None else limit.value_mm * rim / limit.per_rim_mm
