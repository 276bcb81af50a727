"""Reading a vehicle file: which keys it has, its layouts, joint centers and numbers, all that is refused."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any, get_args

import numpy as np

from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.types import VehicleKind
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.alteration import read_alterations
from looseends.vehicle.altered import altered
from looseends.vehicle.believable import refuse_points_in_other_units, refuse_unbelievable
from looseends.vehicle.checking import check_layout, points_of, refuse_unknown_numbers
from looseends.vehicle.compose import compose
from looseends.vehicle.driver_side import DRIVER_SIDES, mirrored, mirrored_points
from looseends.vehicle.fitting import fitted
from looseends.vehicle.layout import layout_ids, load_layout, load_layouts
from looseends.vehicle.layout_types import ENDS, Layout
from looseends.vehicle.lean import shafts_as_measured
from looseends.vehicle.marks import marks
from looseends.vehicle.parts import vehicle_parts
from looseends.vehicle.spread import read_spread
from looseends.vehicle.vehicle import Vehicle

ASSISTS = ("manual", "power")
"""How steering is done; some rules speak of one only."""

KINDS = get_args(VehicleKind)
"""What a vehicle may say that it is; some rules speak of one only."""

_NEEDED_KEYS = ("id", "name", "description", *ENDS, "source", "numbers", "points")
_TABLES = ("numbers", "points", "center_points", "figures", "masses_kg", "maker_limits", "leans", "tape")
_OTHER_KEYS = ("kind", "driver_side", "without", "assist", "alteration", "spread")


def parse_vehicle(text: str, file: str) -> Vehicle:
    """A vehicle from TOML text; `file` names it in errors.

    Raises
    ------
    InputError
        If the text is not TOML, a key is missing, the layout or a figure is unknown, or a point is no point.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(refusal("{file}: not a TOML file: {problem}", file=file, problem=error)) from error
    _check_keys(data, file)
    assist = data.get("assist", ASSISTS[0])
    if assist not in ASSISTS:
        raise InputError(
            refusal(
                "{file}: assist must be one of {accepted}, found {found}",
                file=file,
                accepted=", ".join(ASSISTS),
                found=repr(assist),
            )
        )
    kind = data.get("kind")
    if kind is not None and kind not in KINDS:
        raise InputError(
            refusal(
                "{file}: kind must be one of {accepted}, found {found}",
                file=file,
                accepted=", ".join(KINDS),
                found=repr(kind),
            )
        )
    driver = data.get("driver_side", DRIVER_SIDES[0])
    if driver not in DRIVER_SIDES:
        raise InputError(
            refusal(
                "{file}: driver_side must be one of {accepted}, found {found}",
                file=file,
                accepted=", ".join(DRIVER_SIDES),
                found=repr(driver),
            )
        )
    layouts = [_layout(data[end], end, file) for end in ENDS]
    points = _points(data, file)
    refuse_points_in_other_units(points, layouts, file)
    if driver == "right":
        layouts, points = _steered_from_the_right(layouts, points, data.get("center_points", {}))
    layout = shafts_as_measured(fitted(compose(layouts, file), data, file), data.get("leans"), file)
    numbers = {name: _number(value, name, file) for name, value in data["numbers"].items()}
    refuse_unknown_numbers(numbers, layout, file)
    named = (data["id"], data["name"], data["description"])
    points |= marks(layout, points, numbers, file)
    vehicle = Vehicle(*named, layout, numbers, points, {}, data["source"], assist, kind, driver)
    check_layout(vehicle, file)
    refuse_unbelievable(vehicle, file)
    spread = read_spread(data.get("spread"), points, numbers, file)
    vehicle = replace(vehicle, parts=vehicle_parts(vehicle, data, file), spread=spread)
    return altered(vehicle, read_alterations(data.get("alteration", []), file), file)


def _check_keys(data: Mapping[str, Any], file: str) -> None:
    """Unknown keys first: one that is misspelt tells more than the needed one that is then missing."""
    known = (*_NEEDED_KEYS, *_TABLES, *_OTHER_KEYS)
    for key in data:
        if key not in known:
            raise InputError(unknown_name_sentence("key", key, known, where=file))
    for key in _NEEDED_KEYS:
        if key not in data:
            raise InputError(refusal('{file}: key "{key}" is missing', file=file, key=key))
    for key in _TABLES:
        if not isinstance(data.get(key, {}), dict):
            raise InputError(
                refusal(
                    "{file}: {key} must be a table [{key}], found {found}", file=file, key=key, found=repr(data[key])
                )
            )
    for key in ("id", "name", "description"):
        if not isinstance(data[key], str) or not data[key].strip():
            raise InputError(
                refusal(
                    "{file}: {key} must be a text that is not empty, found {found}",
                    file=file,
                    key=key,
                    found=repr(data[key]),
                )
            )
    if not isinstance(data.get("without", []), list):
        raise InputError(
            refusal("{file}: without must be a list of options, found {found}", file=file, found=repr(data["without"]))
        )


def _steered_from_the_right(
    layouts: list[Layout], points: dict[str, tuple[float, float, float]], center_points: Collection[str]
) -> tuple[list[Layout], dict[str, tuple[float, float, float]]]:
    """Layouts with the steering mirrored, and points with those that no other layout uses mirrored too."""
    kept = {name for layout in layouts if layout.end != "steering" for name in points_of(layout)}
    turned = frozenset(center_points) - kept
    mirrored_layouts = [mirrored(layout) if layout.end == "steering" else layout for layout in layouts]
    return mirrored_layouts, points | mirrored_points({name: points[name] for name in turned})


def _layout(name: Any, end: str, file: str) -> Layout:
    if name not in layout_ids() or load_layout(name).end != end:
        accepted = ", ".join(layout.id for layout in load_layouts().values() if layout.end == end)
        raise InputError(
            refusal(
                '{file}: {end} layout "{name}" is unknown; accepted: {accepted}',
                file=file,
                end=end,
                name=name,
                accepted=accepted,
            )
        )
    return load_layout(name)


def _number(value: Any, name: str, file: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not np.isfinite(value):
        raise InputError(
            refusal(
                "{file}, numbers: {name} must be a finite number, found {found}",
                file=file,
                name=name,
                found=repr(value),
            )
        )
    return float(value)


def _points(data: Mapping[str, Any], file: str) -> dict[str, tuple[float, float, float]]:
    points = {}
    for table, sided in (("points", True), ("center_points", False)):
        for name, value in data.get(table, {}).items():
            if not isinstance(value, list) or len(value) != 3:
                raise InputError(
                    refusal(
                        "{file}, {table}: {name} must be three numbers [x, y, z] in mm, found {found}",
                        file=file,
                        table=table,
                        name=name,
                        found=repr(value),
                    )
                )
            x, y, z = (_number(v, name, file) for v in value)
            if sided:
                points[f"{name}-left"], points[f"{name}-right"] = (x, y, z), (x, -y, z)
                if y == 0.0:
                    points[name] = (x, y, z)
            else:
                points[name] = (x, y, z)
    return points
