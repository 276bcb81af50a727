"""A vehicle: a layout with joint centers, weights, figures and parts, as frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from looseends.catalogue.sides import sided_name
from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import Axis, JointFigure, PartKind, VehicleKind
from looseends.language import Text
from looseends.mechanics.bodies import Array
from looseends.vehicle.alteration import Altered
from looseends.vehicle.layout_types import Direction, Given, Layout, Place
from looseends.vehicle.setup import Side
from looseends.vehicle.spread import Spread

SIDES: tuple[Side, Side] = ("left", "right")


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
