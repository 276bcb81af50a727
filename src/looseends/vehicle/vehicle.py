"""Vehicles: a layout with joint centers, weights and figures, read from data files."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib import resources
from pathlib import Path
from typing import Any, get_args

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.sides import sided_name
from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import Axis, JointFigure, PartKind, VehicleKind
from looseends.errors import InputError
from looseends.language import Text
from looseends.mechanics.bodies import Array
from looseends.vehicle.altered import Altered, altered, read_alterations
from looseends.vehicle.believable import refuse_points_in_other_units, refuse_unbelievable
from looseends.vehicle.checking import MakerLimit, check_layout, maker_limits, points_of, refuse_unknown_numbers
from looseends.vehicle.compose import compose
from looseends.vehicle.driver_side import DRIVER_SIDES, mirrored, mirrored_points
from looseends.vehicle.fitting import fitted
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.layout_types import ENDS, Direction, Given, Layout, Place
from looseends.vehicle.lean import shafts_as_measured
from looseends.vehicle.marks import marks
from looseends.vehicle.own_files import OwnFile, content_mark, own_files, text_of
from looseends.vehicle.setup import Side
from looseends.vehicle.spread import Spread, read_spread

SIDES: tuple[Side, Side] = ("left", "right")

ASSISTS = ("manual", "power")
"""How steering is done; some rules speak of one only."""

KINDS = get_args(VehicleKind)
"""What a vehicle may say that it is; some rules speak of one only."""


_NEEDED_KEYS = ("id", "name", "description", *ENDS, "source", "numbers", "points")
_TABLES = ("numbers", "points", "center_points", "figures", "masses_kg", "maker_limits", "leans", "tape")
_OTHER_KEYS = ("kind", "driver_side", "without", "assist", "alteration", "spread")


@dataclass(frozen=True)
class Part:
    """One part of one vehicle: id (kind and side), kind, side, its joints' ids, and its place (3,) [mm].

    `figure` holds the reject clearances that count: the maker's on `maker_axes`, by the procedure `limit_source`,
    else common practice.
    """

    id: str
    kind: PartKind
    side: Side | None
    figure: JointFigure | None
    joints: tuple[str, ...]
    place: tuple[float, float, float]
    maker_axes: tuple[Axis, ...] = ()
    limit_source: str = ""

    @property
    def name(self) -> Text:
        """The part in words, side first: "left lower ball joint"."""
        return sided_name(kind_name(self.kind), self.side)


@dataclass(frozen=True)
class Vehicle:
    """A layout with geometry, numbers and identity; points [mm] by name, sided names end in -left or -right.

    `assist` is how it is steered, "manual" or "power"; `driver_side` from where, "left" or "right"; `kind` what it is
    for the law, None where its file does not say. `raised_mm` is how far the adjusters of its bars hold the front above
    the design height; `alterations` what was changed from how its maker built it. `spread` is there where joint centers
    are known by tape only. `content` is a mark of the file that a user wrote, empty for a vehicle that ships.
    """

    id: str
    name: str
    description: str
    layout: Layout
    numbers: Mapping[str, float]
    points: Mapping[str, tuple[float, float, float]]
    parts: Mapping[str, Part]
    source: str
    assist: str = "manual"
    kind: VehicleKind | None = None
    driver_side: str = "left"
    raised_mm: float = 0.0
    alterations: tuple[Altered, ...] = ()
    spread: Spread | None = None
    content: str = ""

    def point(self, name: str) -> Array:
        """Joint center (3,) [mm] by name."""
        return np.array(self.points[name])

    def place(self, place: Place, side: Side | None) -> Array:
        """A point, or the middle of several, for a side (None: center names only)."""
        names = (place,) if isinstance(place, str) else place
        return np.asarray(np.mean([self.point(self.on_side(name, side)) for name in names], axis=0))

    def on_side(self, name: str, side: Side | None) -> str:
        """The full name of a point or body on a side; names that have no side stay."""
        sided = f"{name}-{side}"
        return sided if side is not None and sided in self.points else name

    def direction(self, direction: Direction, side: Side | None) -> Array:
        """A direction (3,) given by two points or by a left-side vector, mirrored for the right side."""
        if isinstance(direction[0], str):
            start, end = (self.point(self.on_side(str(name), side)) for name in direction)
            return end - start
        x, y, z = (float(value) for value in direction)
        return np.array([x, -y if side == "right" else y, z])

    def of_end(self, name: str, end: str) -> float:
        """A number that each end may have for itself, as `rear_tire_width_mm`, else the vehicle's own."""
        return self.numbers.get(f"{end}_{name}", self.numbers[name])

    def number(self, given: Given) -> float:
        """A number that a layout gives, or names as one of the vehicle's."""
        return self.numbers[given] if isinstance(given, str) else float(given)

    @property
    def wearable(self) -> tuple[Part, ...]:
        """Parts whose clearance the mechanics knows."""
        return tuple(part for part in self.parts.values() if part.joints)


def load_vehicles() -> Mapping[str, Vehicle]:
    """All vehicles by id: those that ship with the package, then the user's own.

    Raises
    ------
    InputError
        If a file of the user's is no vehicle file, or has the id of another vehicle.
    """
    own = own_files()
    return _with_own(own) if own else shipped_vehicles()


@cache
def shipped_vehicles() -> Mapping[str, Vehicle]:
    """The vehicles that ship with the package, by id."""
    folder = resources.files("looseends.vehicle") / "data" / "vehicles"
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    vehicles = [parse_vehicle(f.read_text(encoding="utf-8"), f.name) for f in files]
    return {vehicle.id: vehicle for vehicle in vehicles}


@lru_cache(maxsize=4)
def _with_own(files: tuple[OwnFile, ...]) -> Mapping[str, Vehicle]:
    vehicles = dict(shipped_vehicles())
    for file in files:
        vehicle = own_vehicle(file.path)
        if vehicle.id in vehicles:
            raise InputError(f'{file.path.name}: id "{vehicle.id}" is taken by another vehicle; choose another id.')
        vehicles[vehicle.id] = vehicle
    return vehicles


def own_vehicle(path: Path) -> Vehicle:
    """The vehicle of a file that a user wrote.

    Raises
    ------
    InputError
        If the file cannot be read or is no vehicle file.
    """
    text = text_of(path)
    return replace(parse_vehicle(text, path.name), content=content_mark(text))


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
        raise InputError(f"{file}: not a TOML file: {error}") from error
    _check_keys(data, file)
    assist = data.get("assist", ASSISTS[0])
    if assist not in ASSISTS:
        raise InputError(f"{file}: assist must be one of {', '.join(ASSISTS)}, found {assist!r}")
    kind = data.get("kind")
    if kind is not None and kind not in KINDS:
        raise InputError(f"{file}: kind must be one of {', '.join(KINDS)}, found {kind!r}")
    driver = data.get("driver_side", DRIVER_SIDES[0])
    if driver not in DRIVER_SIDES:
        raise InputError(f"{file}: driver_side must be one of {', '.join(DRIVER_SIDES)}, found {driver!r}")
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
    spread = read_spread(data.get("spread"), vehicle, file)
    vehicle = replace(vehicle, parts=_parts(vehicle, data, file), spread=spread)
    return altered(vehicle, read_alterations(data.get("alteration", []), file), file)


def _check_keys(data: Mapping[str, Any], file: str) -> None:
    """Unknown keys first: one that is misspelt tells more than the needed one that is then missing."""
    known = (*_NEEDED_KEYS, *_TABLES, *_OTHER_KEYS)
    for key in data:
        if key not in known:
            raise InputError(unknown_name_sentence("key", key, known, where=file))
    for key in _NEEDED_KEYS:
        if key not in data:
            raise InputError(f'{file}: key "{key}" is missing')
    for key in _TABLES:
        if not isinstance(data.get(key, {}), dict):
            raise InputError(f"{file}: {key} must be a table [{key}], found {data[key]!r}")
    for key in ("id", "name", "description"):
        if not isinstance(data[key], str) or not data[key].strip():
            raise InputError(f"{file}: {key} must be a text that is not empty, found {data[key]!r}")
    if not isinstance(data.get("without", []), list):
        raise InputError(f"{file}: without must be a list of options, found {data['without']!r}")


def _steered_from_the_right(
    layouts: list[Layout], points: dict[str, tuple[float, float, float]], center_points: Collection[str]
) -> tuple[list[Layout], dict[str, tuple[float, float, float]]]:
    """Layouts with the steering mirrored, and points with those that no other layout uses mirrored too."""
    kept = {name for layout in layouts if layout.end != "steering" for name in points_of(layout)}
    turned = frozenset(center_points) - kept
    mirrored_layouts = [mirrored(layout) if layout.end == "steering" else layout for layout in layouts]
    return mirrored_layouts, points | mirrored_points({name: points[name] for name in turned})


def _layout(name: Any, end: str, file: str) -> Layout:
    accepted = {layout.id: layout for layout in load_layouts().values() if layout.end == end}
    if name not in accepted:
        raise InputError(f'{file}: {end} layout "{name}" is unknown; accepted: {", ".join(sorted(accepted))}')
    return accepted[name]


def _number(value: Any, name: str, file: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not np.isfinite(value):
        raise InputError(f"{file}, numbers: {name} must be a finite number, found {value!r}")
    return float(value)


def _points(data: Mapping[str, Any], file: str) -> dict[str, tuple[float, float, float]]:
    points = {}
    for table, sided in (("points", True), ("center_points", False)):
        for name, value in data.get(table, {}).items():
            if not isinstance(value, list) or len(value) != 3:
                raise InputError(f"{file}, {table}: {name} must be three numbers [x, y, z] in mm, found {value!r}")
            x, y, z = (_number(v, name, file) for v in value)
            if sided:
                points[f"{name}-left"], points[f"{name}-right"] = (x, y, z), (x, -y, z)
                if y == 0.0:
                    points[name] = (x, y, z)
            else:
                points[name] = (x, y, z)
    return points


def with_maker_limit(part: Part, limit: MakerLimit | None) -> Part:
    """The part with its maker's reject clearances in place of common practice, where the maker gives any."""
    if limit is None or part.figure is None:
        return part
    radial = replace(part.figure.radial, reject=limit.radial or part.figure.radial.reject)
    axial = replace(part.figure.axial, reject=limit.axial or part.figure.axial.reject)
    figure = replace(part.figure, radial=radial, axial=axial)
    axes: tuple[tuple[Axis, float | None], ...] = (("radial", limit.radial), ("axial", limit.axial))
    given = tuple(axis for axis, value in axes if value is not None)
    return replace(part, figure=figure, maker_axes=given, limit_source=limit.source)


def _parts(vehicle: Vehicle, data: Mapping[str, Any], file: str) -> dict[str, Part]:
    catalogue = load_catalogue()
    figures = data.get("figures", {})
    limits = maker_limits(data.get("maker_limits", {}), catalogue.part_kinds, file)
    for kind in figures:
        if kind not in catalogue.part_kinds:
            raise InputError(unknown_name_sentence("part kind", kind, catalogue.part_kinds, where=f"{file}, figures"))
    parts: dict[str, Part] = {}
    owners: dict[tuple[str, Side | None], list[tuple[str, Place]]] = {}
    owned = [(joint.part, joint.id, joint.sided, joint.at) for joint in vehicle.layout.joints]
    owned += [(ratio.part, ratio.id, ratio.sided, ratio.at) for ratio in vehicle.layout.ratios if ratio.part]
    for part_kind, element, sided, at in owned:
        for side in SIDES if sided else (None,):
            joint_id = element if side is None else f"{element}-{side}"
            owners.setdefault((part_kind, side), []).append((joint_id, at))
    for seen in vehicle.layout.parts:
        for side in SIDES if seen.sided else (None,):
            owners.setdefault((seen.kind, side), []).append(("", seen.at))
    for (kind_id, side), joints in owners.items():
        if kind_id not in catalogue.part_kinds:
            where = f"layout {vehicle.layout.id}"
            raise InputError(unknown_name_sentence("part kind", kind_id, catalogue.part_kinds, where=where))
        kind = catalogue.part_kinds[kind_id]
        figure_id = figures.get(kind_id, kind.figure)
        if figure_id is not None and figure_id not in catalogue.joint_figures:
            raise InputError(f'{file}, figures: "{figure_id}" is no joint figure of the catalogue')
        part_id = kind_id if side is None else f"{kind_id}-{side}"
        x, y, z = (float(v) for v in np.mean([vehicle.place(at, side) for _, at in joints], axis=0))
        mine = tuple(name for name, _ in joints if name)
        figure = catalogue.joint_figures[figure_id] if figure_id is not None and mine else None
        part = Part(part_id, kind, side, figure, mine, (x, y, z), (), figure.source if figure else "")
        parts[part_id] = with_maker_limit(part, limits.get(kind_id))
    return parts
