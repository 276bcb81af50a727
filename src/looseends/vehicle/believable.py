"""Whether a vehicle's numbers and points can be meant: units, sides, weights, wheels on the ground, bars that hold."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from itertools import combinations
from typing import Any

import numpy as np

from looseends.errors import InputError
from looseends.language import Text, either, refusal, say
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.layout_types import Layout, LayoutSpring
from looseends.vehicle.vehicle import Vehicle

_APART_MM = 1.0
_WHEELBASE_SLIP_MM = 15.0
"""Difference between the wheelbase and the wheels' centers that rounding and caster explain. Assumed."""
_LEAST_LOADED_SHARE = 0.85
"""Height of a wheel's center, as a share of its unloaded radius, that a soft tire still has. Assumed."""
_MOST_SHEAR_MPA = 1400.0
"""Shear stress that spring steel of a torsion bar bears. From memory."""
_MOST_SAG_MM = 900.0
"""How far a spring may be pressed in to carry its load: longer than any coil of a road vehicle. Assumed."""
_WHEEL_HEIGHT_MM = (120.0, 800.0)
_POINT_UNITS = (("metres", 1000.0), ("inches", 25.4), ("centimetres", 10.0))


@cache
def _data() -> Mapping[str, Any]:
    path = resources.files("looseends.vehicle") / "data" / "believable.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def unit_names() -> tuple[str, ...]:
    """The units in which somebody may have written a number, in words."""
    return (*(unit for unit, _ in _POINT_UNITS), *(unit["name"] for unit in _data()["unit"]))


def refuse_points_in_other_units(
    points: Mapping[str, tuple[float, float, float]], layouts: list[Layout], file: str
) -> None:
    """Refuse points of which the wheels' height says that they are not in mm.

    Raises
    ------
    InputError
        With the unit in which they would fit.
    """
    least, most = _WHEEL_HEIGHT_MM
    for wheel in (wheel for layout in layouts for wheel in layout.wheels):
        height = points.get(f"{wheel.center}-left", (0.0, 0.0, least))[2]
        fitting = [
            refusal("{unit} (times {times})", unit=say("{unit}", unit=unit), times=f"{times:g}")
            for unit, times in _POINT_UNITS
            if least <= height * times <= most
        ]
        if not least <= height <= most:
            offer = refusal("; if the points are in {units}, write mm", units=either(fitting)) if fitting else ""
            raise InputError(
                refusal(
                    "{file}, points: {center} must lie {least} to {most} mm above the ground, found {found}{offer}",
                    file=file,
                    center=wheel.center,
                    least=f"{least:g}",
                    most=f"{most:g}",
                    found=f"{height:g}",
                    offer=offer,
                )
            )


def refuse_unbelievable(vehicle: Vehicle, file: str) -> None:
    """Refuse numbers and points that no vehicle has.

    Raises
    ------
    InputError
        In one sentence that names the file, the entry, what was found and what is accepted.
    """
    _check_ranges(vehicle.numbers, file)
    _check_wheels(vehicle, file)
    _check_sides(vehicle, file)
    _check_joints_apart(vehicle, file)
    _check_weights(vehicle, file)
    _check_springs(vehicle, file)


def _check_ranges(numbers: Mapping[str, float], file: str) -> None:
    for name, value in numbers.items():
        for ending, (least, most) in _data()["numbers"].items():
            whole, either_way = name == ending or name.endswith(f"_{ending}"), ending in _data()["either_way"]
            if whole and not least <= (abs(value) if either_way else value) <= most:
                raise InputError(
                    refusal(
                        "{file}, numbers: {name} must be from {least} to {most}{sign}, found {found}{offer}",
                        file=file,
                        name=name,
                        least=f"{least:g}",
                        most=f"{most:g}",
                        sign=say(", or negative") if either_way else "",
                        found=f"{value:g}",
                        offer=_other_unit(name, value, least, most),
                    )
                )


def _other_unit(name: str, value: float, least: float, most: float) -> Text | str:
    for unit in _data()["unit"]:
        if name.endswith(unit["of"]) and least <= value * unit["times"] <= most:
            return refusal(
                "; if that is in {unit}, write {value}",
                unit=say("{unit}", unit=unit["name"]),
                value=f"{value * unit['times']:.5g}",
            )
    return ""


def _check_wheels(vehicle: Vehicle, file: str) -> None:
    front, rear = (vehicle.point(f"{wheel.center}-left") for wheel in vehicle.layout.wheels)
    apart = float(front[0] - rear[0])
    if apart <= 0.0:
        raise InputError(
            refusal(
                "{file}, points: the rear wheels must lie behind the front ones, x smaller, found x = {rear} "
                "behind {front}",
                file=file,
                rear=f"{rear[0]:g}",
                front=f"{front[0]:g}",
            )
        )
    given = vehicle.numbers.get("wheelbase_mm", apart)
    if abs(given - apart) > _WHEELBASE_SLIP_MM:
        raise InputError(
            refusal(
                "{file}, numbers: wheelbase_mm must be what the wheels' centers are apart, {apart} mm, found {found}",
                file=file,
                apart=f"{apart:g}",
                found=f"{given:g}",
            )
        )
    for wheel in vehicle.layout.wheels:
        radius, height = vehicle.of_end("wheel_radius_mm", wheel.end), vehicle.point(f"{wheel.center}-left")[2]
        if not _LEAST_LOADED_SHARE * radius <= height <= radius:
            raise InputError(
                refusal(
                    "{file}, points: {center} must lie {least} to {radius} mm above the ground, for its tire has "
                    "the radius {radius} mm, found {found}",
                    file=file,
                    center=wheel.center,
                    least=f"{_LEAST_LOADED_SHARE * radius:.0f}",
                    radius=f"{radius:g}",
                    found=f"{height:g}",
                )
            )


def _check_sides(vehicle: Vehicle, file: str) -> None:
    """A wheel, and what joins two bodies of its side, lies on the left as the left side is given."""
    sided = {body.id for body in vehicle.layout.bodies if body.sided}
    names = [wheel.center for wheel in vehicle.layout.wheels]
    names += [e.at for e in vehicle.layout.joints if isinstance(e.at, str) and {e.a, e.b} <= sided]
    for name in dict.fromkeys(names):
        y = vehicle.points.get(f"{name}-left", (0.0, 1.0, 0.0))[1]
        if y <= 0.0:
            raise InputError(
                refusal(
                    "{file}, points: {name} must be given for the left side, y above 0, found y = {y}",
                    file=file,
                    name=name,
                    y=f"{y:g}",
                )
            )


def _joint_points(layout: Layout) -> Iterator[tuple[str, list[str]]]:
    """Every body with the points at which it is joined."""
    for body in layout.bodies:
        ends = [e.at for e in layout.joints if body.id in (e.a, e.b) and isinstance(e.at, str) and e.apart == 0.0]
        yield body.id, list(dict.fromkeys(ends))


def _check_joints_apart(vehicle: Vehicle, file: str) -> None:
    for body, names in _joint_points(vehicle.layout):
        for first, second in combinations(names, 2):
            places = [vehicle.point(vehicle.on_side(name, "left")) for name in (first, second)]
            if float(np.linalg.norm(places[1] - places[0])) < _APART_MM:
                at = ", ".join(f"{value:g}" for value in places[0])
                raise InputError(
                    refusal(
                        '{file}, points: "{first}" and "{second}", two joints of the body {body}, must lie at least '
                        "1 mm apart, found both at [{at}]",
                        file=file,
                        first=first,
                        second=second,
                        body=body,
                        at=at,
                    )
                )


def _check_weights(vehicle: Vehicle, file: str) -> None:
    ends = [wheel.end for wheel in vehicle.layout.wheels]
    total = 2.0 * sum(vehicle.numbers[f"{end}_corner_kg"] for end in ends)
    bodies = sum(body.mass * (2 if body.sided else 1) for body in vehicle.layout.bodies)
    corners = " and ".join(f"{end}_corner_kg" for end in ends)
    if total <= bodies:
        raise InputError(
            refusal(
                "{file}, numbers: {corners} must leave a weight for the frame, found {found} kg on all tires "
                "and {bodies} kg in the layout's bodies alone",
                file=file,
                corners=corners,
                found=f"{total:g}",
                bodies=f"{bodies:g}",
            )
        )
    most = vehicle.numbers.get("gvwr_kg", total)
    if total > most:
        pounds = _data_times("pounds")
        multiply = refusal("; if they are in pounds, multiply by {times}", times=f"{pounds:.4f}")
        offer = multiply if pounds * total <= most else ""
        raise InputError(
            refusal(
                "{file}, numbers: {corners} must be together, on both sides, at most gvwr_kg = {most}, found "
                "{found}{offer}",
                file=file,
                corners=corners,
                most=f"{most:g}",
                found=f"{total:g}",
                offer=offer,
            )
        )


def _data_times(unit: str) -> float:
    return float(next(entry["times"] for entry in _data()["unit"] if entry["name"] == unit))


def _check_springs(vehicle: Vehicle, file: str) -> None:
    layout = vehicle.layout
    carrying = {spring.carries for spring in layout.springs} | {bar.carries for bar in layout.torsions}
    carrying |= {air.carries for air in layout.air_springs}
    for wheel in layout.wheels:
        if wheel.end not in carrying:
            raise InputError(
                refusal(
                    "{file}: the layout {id} has no spring that carries the {end}",
                    file=file,
                    id=layout.id,
                    end=wheel.end,
                )
            )
    for torsion in layout.torsions:
        outer, pivot = (vehicle.point(f"{name}-left") for name in (torsion.pushes_down, str(torsion.axis[0])))
        torque = vehicle.numbers[f"{torsion.carries}_corner_kg"] * GRAVITY * abs(float(outer[1] - pivot[1]))
        diameter = vehicle.numbers["torsion_bar_diameter_mm"]
        stress = 16.0 * torque / (np.pi * diameter**3)
        if stress > _MOST_SHEAR_MPA:
            raise InputError(
                refusal(
                    "{file}, numbers: torsion_bar_diameter_mm must carry {carries}_corner_kg at no more than "
                    "{most} MPa of shear, found {found} mm at {stress} MPa",
                    file=file,
                    carries=torsion.carries,
                    most=f"{_MOST_SHEAR_MPA:,.0f}",
                    found=f"{diameter:g}",
                    stress=f"{stress:,.0f}",
                )
            )
    for spring in layout.springs:
        _check_coil(vehicle, spring, file)


def _check_coil(vehicle: Vehicle, spring: LayoutSpring, file: str) -> None:
    if spring.rates is None or spring.carries is None:
        return
    rate, load = vehicle.number(spring.rates[2]), vehicle.numbers[f"{spring.carries}_corner_kg"] * GRAVITY
    sag = spring.share * load / rate if rate else 0.0
    if sag > _MOST_SAG_MM:
        raise InputError(
            refusal(
                "{file}, numbers: {rate} must carry {carries}_corner_kg pressed in by no more than "
                "{most} mm, found {found} N/mm, which goes in by {sag} mm",
                file=file,
                rate=spring.rates[2],
                carries=spring.carries,
                most=f"{_MOST_SAG_MM:g}",
                found=f"{rate:g}",
                sag=f"{sag:,.0f}",
            )
        )
