"""Checking a vehicle file against the layout and the catalogue that it names."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import Text, refusal, say
from looseends.mechanics.bodies import GROUND
from looseends.vehicle.compose import FRAME
from looseends.vehicle.layout_types import Direction, Given, Layout, Place
from looseends.vehicle.vehicle import Vehicle

_SHORTEST_AXIS = 0.999
"""Length [mm] below which two points give no direction; a unit vector passes."""

ALWAYS_NEEDED = (
    "frame_center_height_mm",
    "tire_vertical_N_per_mm",
    "tire_lateral_N_per_mm",
    "tire_longitudinal_N_per_mm",
    "tire_steer_N_mm_per_rad",
)
"""Numbers that every mechanism is built from; a layout names further ones."""

TORSION_BAR = ("torsion_bar_shear_modulus_MPa", "torsion_bar_diameter_mm", "torsion_bar_active_length_mm")
"""Numbers of a vehicle whose layout has torsion bars."""

OPTIONAL = (
    "wheelbase_mm",
    "wheel_rim_diameter_mm",
    "gvwr_kg",
    "wheel_radius_mm",
    "tire_width_mm",
    "brake_disc_radius_mm",
    "adjuster_lead_mm",
    "adjuster_key_lever_mm",
)
"""Numbers that may stand in a file without the mechanism needing them."""

OF_EACH_END = (
    "wheel_radius_mm",
    "tire_width_mm",
    "dual_spacing_mm",
    "tire_vertical_N_per_mm",
    "tire_lateral_N_per_mm",
    "tire_longitudinal_N_per_mm",
    "tire_steer_N_mm_per_rad",
)
"""Numbers that an end with other tires may give for itself, its name before theirs; dual ones, how far apart."""


_MISSPELT = 0.85
"""Likeness from which on a name that nobody asks for is taken for a missing one that is misspelt. Assumed."""

_LIMIT_KEYS = ("radial_mm", "axial_mm", "procedure")


@dataclass(frozen=True)
class MakerLimit:
    """A maker's reject clearances [mm total travel] for one kind of part, with the procedure they come from."""

    radial: float | None
    axial: float | None
    source: str


def check_layout(vehicle: Vehicle, file: str) -> None:
    """Refuse a vehicle whose points, axes, numbers or sources do not serve its layout.

    Raises
    ------
    InputError
        In one sentence that names the file, the entry and what is needed.
    """
    _check_points(vehicle, file)
    _check_numbers(vehicle.numbers, vehicle.layout, file)
    _check_bodies(vehicle.layout, file)
    sources = load_catalogue().sources
    if not isinstance(vehicle.source, str):
        raise InputError(refusal("{file}: source must be a text, found {found}", file=file, found=repr(vehicle.source)))
    for source in vehicle.layout.sources:
        if source not in sources:
            where = f"a layout of {vehicle.layout.id}"
            raise InputError(unknown_name_sentence("source", source, sources, where=where))
    if vehicle.source not in sources:
        raise InputError(unknown_name_sentence("source", vehicle.source, sources, where=file))


def _check_bodies(layout: Layout, file: str) -> None:
    """Every body that an element joins must be there."""
    known = {GROUND, FRAME, *(f"{body.id}{ending}" for body in layout.bodies for ending in _endings(body.sided))}
    terms = [(ratio.id, term.a, term.b) for ratio in layout.ratios for term in ratio.terms]
    joints = [(e.id, e.a, e.b) for e in layout.joints] + [(e.id, e.a, e.b) for e in layout.guides]
    springs = [(e.id, e.a, e.b) for e in layout.springs] + [(e.id, e.a, e.b) for e in layout.torsions]
    springs += [(e.id, e.a, e.b) for e in layout.air_springs]
    others = [(e.id, e.a, e.b) for e in layout.stops] + [(e.id, e.a, e.b) for e in layout.brakes]
    used = joints + springs + others + terms
    used += [] if layout.rim is None else [("rim", layout.rim.a, layout.rim.body)]
    used += [(stand.id, stand.under, stand.on) for stand in layout.stands]
    used += [("wheel", wheel.body, wheel.body) for wheel in layout.wheels]
    for element, *bodies in used:
        for body in bodies:
            if body not in known:
                where = f'{file}, element "{element}" of {layout.id}'
                raise InputError(unknown_name_sentence("body", body, known, where=where))


def _endings(sided: bool) -> tuple[str, ...]:
    return ("", "-left", "-right") if sided else ("",)


def points_of(layout: Layout) -> frozenset[str]:
    """Names of all points that a layout names, as it names them."""
    named = [name for at, _ in _places(layout) for name in ((at,) if isinstance(at, str) else at)]
    return frozenset(named + [str(end) for _, axis, _ in _axes(layout) for end in axis if isinstance(end, str)])


def _places(layout: Layout) -> list[tuple[Place, bool]]:
    """Every place that the layout names, and whether it is sided."""
    placed: list[tuple[Place, bool]] = [(e.at, e.sided) for e in layout.bodies] + [
        (e.at, e.sided) for e in layout.joints
    ]
    placed += [(e.at, e.sided) for e in layout.guides] + [(e.at, e.sided) for e in layout.stops]
    placed += [(e.at, e.sided) for e in layout.air_springs]
    placed += [(e.at, e.sided) for e in layout.parts] + [(e.at, e.sided) for e in layout.springs]
    placed += [(e.at, e.sided) for e in layout.ratios] + [(e.through, e.sided) for e in layout.lines]
    placed += [(e.start, True) for e in layout.stands] + [(e.at, True) for e in layout.brakes]
    placed += [(term.at, ratio.sided) for ratio in layout.ratios for term in ratio.terms if term.at is not None]
    return placed


def _axes(layout: Layout) -> list[tuple[str, Direction, bool]]:
    """Every direction that the layout gives, with the element that it is for and whether it is sided."""
    axes: list[tuple[str, Direction, bool]] = [(e.id, e.axis, e.sided) for e in layout.joints] + [
        (e.id, e.axis, e.sided) for e in layout.guides
    ]
    axes += [(e.id, e.axis, e.sided) for e in layout.torsions] + [(e.id, e.axis, e.sided) for e in layout.springs]
    axes += [(ratio.id, term.axis, ratio.sided) for ratio in layout.ratios for term in ratio.terms]
    axes += [(e.id, e.push, e.sided) for e in layout.springs] + [(e.id, e.normal, e.sided) for e in layout.stops]
    axes += [(e.id, e.push, e.sided) for e in layout.air_springs]
    axes += [] if layout.rim is None else [("rim", layout.rim.axis, False)]
    return axes


def _check_points(vehicle: Vehicle, file: str) -> None:
    """Every point that the layout names must be there, and every axis must have a length."""
    for at, sided in _places(vehicle.layout):
        for name in (at,) if isinstance(at, str) else at:
            _need_point(vehicle, name, sided, file)
    for element, axis, sided in _axes(vehicle.layout):
        for end in axis:
            if isinstance(end, str):
                _need_point(vehicle, end, sided, file)
        if float(np.linalg.norm(vehicle.direction(axis, "left" if sided else None))) < _SHORTEST_AXIS:
            raise InputError(
                refusal(
                    '{file}, points: the axis of "{element}" needs two points at least 1 mm apart, found {axis}',
                    file=file,
                    element=element,
                    axis=axis,
                )
            )


def _need_point(vehicle: Vehicle, name: str, sided: bool, file: str) -> None:
    if vehicle.on_side(name, "left" if sided else None) not in vehicle.points:
        raise InputError(_missing(vehicle, name, file))


def _missing(vehicle: Vehicle, name: str, file: str) -> Text:
    layout, instead = vehicle.layout.id, _instead(vehicle, name)
    if instead is None:
        return refusal(
            '{file}, points: "{name}" is missing; the layout {layout} needs it', file=file, name=name, layout=layout
        )
    return refusal(
        '{file}, points: "{name}" is missing; the layout {layout} needs it, {instead}',
        file=file,
        name=name,
        layout=layout,
        instead=instead,
    )


def _instead(vehicle: Vehicle, name: str) -> Text | None:
    """What stands in the file in place of a point that is missing: the same on the middle, or one that is misspelt."""
    asked = {vehicle.on_side(asked, side) for asked in points_of(vehicle.layout) for side in (None, "left", "right")}
    given = {point.removesuffix("-left").removesuffix("-right") for point in set(vehicle.points) - asked}
    if name in vehicle.points or f"{name}-left" in vehicle.points:
        return say("found it in the other table of points")
    near = get_close_matches(name, given, n=1, cutoff=_MISSPELT)
    return refusal('found "{found}"', found=near[0]) if near else None


def needed_numbers(layout: Layout) -> frozenset[str]:
    """Names of the numbers that a vehicle of this layout must give."""
    given: list[Given] = [value for guide in layout.guides for value in (*guide.stiffness, *guide.rotational)]
    given += [value for spring in layout.springs for value in (*(spring.rates or ()), *(spring.beam or ()))]
    given += [value for ratio in layout.ratios for term in ratio.terms for value in (term.lever, term.over)]
    given += [ratio.stiffness for ratio in layout.ratios] + [stop.stiffness for stop in layout.stops]
    given += [joint.seat for joint in layout.joints] + [ratio.seat for ratio in layout.ratios]
    given += [joint.apart for joint in layout.joints] + [stop.gap for stop in layout.stops]
    given += [] if layout.rim is None else [layout.rim.held, layout.rim.free]
    given += [value for air in layout.air_springs for value in (air.area, air.height)]
    given += [ring.diameter for ring in layout.rings]
    given += [f"{wheel.end}_corner_kg" for wheel in layout.wheels]
    given += TORSION_BAR if layout.torsions else ()
    return frozenset({*ALWAYS_NEEDED, *layout.needs.numbers, *(value for value in given if isinstance(value, str))})


def refuse_unknown_numbers(numbers: Mapping[str, float], layout: Layout, file: str) -> None:
    """Refuse numbers that nobody asks for; a needed one that is misspelt is named so.

    Raises
    ------
    InputError
        With the nearest names.
    """
    known = {*needed_numbers(layout), *_optional(layout)}
    for name in numbers:
        if name not in known:
            raise InputError(unknown_name_sentence("number", name, known, where=f"{file}, numbers"))


def _optional(layout: Layout) -> frozenset[str]:
    return frozenset({*OPTIONAL, *(f"{wheel.end}_{name}" for wheel in layout.wheels for name in OF_EACH_END)})


def _check_numbers(numbers: Mapping[str, float], layout: Layout, file: str) -> None:
    needed = needed_numbers(layout)
    may_be_none = {joint.apart for joint in layout.joints}
    for name in sorted(needed):
        if name not in numbers:
            raise InputError(
                refusal(
                    '{file}, numbers: "{name}" is missing; the layout {layout} needs it',
                    file=file,
                    name=name,
                    layout=layout.id,
                )
            )
        if name in may_be_none and numbers[name] < 0.0:
            raise InputError(
                refusal(
                    "{file}, numbers: {name} must be >= 0, found {found}",
                    file=file,
                    name=name,
                    found=f"{numbers[name]:g}",
                )
            )
        if name not in may_be_none and numbers[name] <= 0.0:
            raise InputError(
                refusal(
                    "{file}, numbers: {name} must be > 0, found {found}",
                    file=file,
                    name=name,
                    found=f"{numbers[name]:g}",
                )
            )
    for name in _optional(layout) & set(numbers):
        if numbers[name] <= 0.0:
            raise InputError(
                refusal(
                    "{file}, numbers: {name} must be > 0, found {found}",
                    file=file,
                    name=name,
                    found=f"{numbers[name]:g}",
                )
            )


def maker_limits(data: Mapping[str, Any], kinds: Collection[str], file: str) -> dict[str, MakerLimit]:
    """Maker's limits by part kind from the vehicle file's table.

    Raises
    ------
    InputError
        If a kind is unknown, a clearance is no number above 0, or the procedure is not named.
    """
    limits = {}
    for kind, entry in data.items():
        where = f"{file}, maker_limits, {kind}"
        if kind not in kinds:
            raise InputError(unknown_name_sentence("part kind", kind, kinds, where=f"{file}, maker_limits"))
        if not isinstance(entry, dict):
            raise InputError(
                refusal(
                    "{where}: must be a table with radial_mm, axial_mm and procedure, found {found}",
                    where=where,
                    found=repr(entry),
                )
            )
        for key in entry:
            if key not in _LIMIT_KEYS:
                raise InputError(unknown_name_sentence("key", key, _LIMIT_KEYS, where=where))
        if "radial_mm" not in entry and "axial_mm" not in entry:
            raise InputError(refusal("{where}: radial_mm or axial_mm must be given, found neither", where=where))
        for key in ("radial_mm", "axial_mm"):
            value = entry.get(key, 1.0)
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 25.0:
                raise InputError(
                    refusal(
                        "{where}: {key} must be a clearance above 0 and below 25 mm, found {found}",
                        where=where,
                        key=key,
                        found=repr(value),
                    )
                )
        if not isinstance(entry.get("procedure"), str) or not entry["procedure"].strip():
            raise InputError(
                refusal(
                    "{where}: procedure must name the maker's procedure, found {found}",
                    where=where,
                    found=repr(entry.get("procedure")),
                )
            )
        limits[kind] = MakerLimit(entry.get("radial_mm"), entry.get("axial_mm"), entry["procedure"])
    return limits
