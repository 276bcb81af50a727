"""What the underside plan draws: a plain record of lines, parts and wheels, free of any mechanics."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

Point = tuple[float, float]
"""(x, y) [mm] in vehicle axes: x forward, y to the vehicle's left (ISO 8855)."""

BREAK_MARGIN_MM = 160.0
WORTH_BREAKING = 0.85


class Bounds(NamedTuple):
    """An extent in plan [mm]."""

    x_min: float
    x_max: float
    y_min: float
    y_max: float


@dataclass(frozen=True)
class PlanLine:
    """A frame rail, arm, bar, rod or link as a polyline through `points` [mm].

    `width_mm` is its true width in plan; 0 draws a thin line. `dashed` marks what lies hidden behind
    other structure when seen from below.
    """

    name: str
    points: tuple[Point, ...]
    width_mm: float = 0.0
    dashed: bool = False


@dataclass(frozen=True)
class PlanPart:
    """A part that can carry a verdict, marked at its `center` [mm]; `kind` is its part kind's id."""

    id: str
    name: str
    center: Point
    kind: str


@dataclass(frozen=True)
class PlanWheel:
    """A wheel in plan: a rectangle of tire diameter along x and tire width along y [mm]."""

    name: str
    center: Point
    diameter_mm: float
    width_mm: float


@dataclass(frozen=True)
class PlanGeometry:
    """The underside in plan. `structure` is drawn in order: first what lies furthest from the viewer.

    `width_mm` and `length_mm` are its overall width and length. Frame rails are lines of `structure`
    like any other.
    """

    structure: tuple[PlanLine, ...]
    parts: tuple[PlanPart, ...]
    wheels: tuple[PlanWheel, ...]
    width_mm: float
    length_mm: float

    def bounds(self) -> Bounds:
        """Extent of everything described, symmetric about the center line [mm]."""
        xs, ys = _extent_of_parts(self)
        xs += [x for line in self.structure for x, _ in line.points]
        ys += [abs(y) for line in self.structure for _, y in line.points]
        half_width = max([*ys, self.width_mm / 2])
        return Bounds(min(xs, default=0.0), max(xs, default=self.length_mm), -half_width, half_width)

    def window(self) -> Bounds:
        """The extent worth drawing: parts and wheels with `BREAK_MARGIN_MM` of structure beyond them.

        Where that leaves out little, everything is drawn.
        """
        whole = self.bounds()
        xs, _ = _extent_of_parts(self)
        if not xs:
            return whole
        x_min, x_max = max(whole.x_min, min(xs) - BREAK_MARGIN_MM), min(whole.x_max, max(xs) + BREAK_MARGIN_MM)
        if x_max - x_min > WORTH_BREAKING * min(self.length_mm, whole.x_max - whole.x_min):
            return whole
        return Bounds(x_min, x_max, whole.y_min, whole.y_max)


def _extent_of_parts(geometry: PlanGeometry) -> tuple[list[float], list[float]]:
    xs = [part.center[0] for part in geometry.parts]
    ys = [abs(part.center[1]) for part in geometry.parts]
    for wheel in geometry.wheels:
        xs += [wheel.center[0] - wheel.diameter_mm / 2, wheel.center[0] + wheel.diameter_mm / 2]
        ys.append(abs(wheel.center[1]) + wheel.width_mm / 2)
    return xs, ys
