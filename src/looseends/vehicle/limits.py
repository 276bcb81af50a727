"""Which published limits speak of a vehicle, and with what value."""

from __future__ import annotations

import math
from collections.abc import Sequence

from looseends.catalogue.types import Limit
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


def applies_if(limit: Limit) -> str:
    """What a vehicle must be for the limit to speak of it, where rims, weight or kind decide: half a sentence."""
    rims = _range_words("its wheel rims measure", limit.wheel_rim_over_mm, limit.wheel_rim_up_to_mm, "mm")
    weight = _range_words("its gross vehicle weight rating is", limit.gvwr_over_kg, limit.gvwr_up_to_kg, "kg")
    return " and ".join([*rims, *weight, *_kind_words(limit.vehicle_kinds)])


def _range_words(what: str, over: float | None, up_to: float | None, unit: str) -> list[str]:
    bounds = [f"over {over:,.0f} {unit}"] if over is not None else []
    bounds += [f"up to {up_to:,.0f} {unit}"] if up_to is not None else []
    return [f"{what} {' and '.join(bounds)}"] if bounds else []


def _kind_words(kinds: Sequence[str]) -> list[str]:
    return [f"it is a {' or '.join(kinds)}"] if kinds else []


def limit_mm(limit: Limit, vehicle: Vehicle) -> float | None:
    """The value [mm] that holds for this vehicle, in proportion to its steering wheel where the limit says so.

    None where the limit has no value in mm, or the steering wheel's diameter is not known.
    """
    if limit.value_mm is None or limit.per_rim_mm is None:
        return limit.value_mm
    rim = vehicle.numbers.get("rim_diameter_mm")
    return None if rim is None else limit.value_mm * rim / limit.per_rim_mm
