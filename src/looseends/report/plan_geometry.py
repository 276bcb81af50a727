"""What the underside plan draws: a plain record of lines, parts and wheels, free of any mechanics."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from looseends.language import AsWritten, Speech

Point = tuple[float, float]
"""(x, y) [mm] in vehicle axes: x forward, y to the vehicle's left (ISO 8855)."""

BREAK_MARGIN_MM = 90.0
LEAST_CUT_MM = 300.0


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

    def said(self, speech: Speech) -> PlanGeometry:
        """The same plan with every name in the reader's language."""

        def name(words: str) -> AsWritten:
            return AsWritten(speech.words(words))

        return replace(
            self,
            structure=tuple(replace(line, name=name(line.name)) for line in self.structure),
            parts=tuple(replace(part, name=name(part.name)) for part in self.parts),
            wheels=tuple(replace(wheel, name=name(wheel.name)) for wheel in self.wheels),
        )

    def bounds(self) -> Bounds:
        """Extent of everything described, symmetric about the center line [mm]."""
        spans, ys = _spans(self), [abs(part.center[1]) for part in self.parts]
        xs = [x for span in spans for x in span] + [x for line in self.structure for x, _ in line.points]
        ys += [abs(wheel.center[1]) + wheel.width_mm / 2 for wheel in self.wheels]
        ys += [abs(y) for line in self.structure for _, y in line.points]
        half_width = max([*ys, self.width_mm / 2])
        return Bounds(min(xs, default=0.0), max(xs, default=self.length_mm), -half_width, half_width)

    def windows(self) -> tuple[Bounds, ...]:
        """The stretches worth drawing, front to rear: parts and wheels with `BREAK_MARGIN_MM` of structure around.

        A stretch that carries neither is left out, where that saves more than `LEAST_CUT_MM`.
        """
        whole, spans = self.bounds(), _spans(self)
        if not spans:
            return (whole,)
        stretches = [spans[0]]
        for high, low in spans[1:]:
            front, rear = stretches[-1]
            if rear - high > 2 * BREAK_MARGIN_MM + LEAST_CUT_MM:
                stretches.append((high, low))
            else:
                stretches[-1] = (front, min(rear, low))
        cuts = [(high + BREAK_MARGIN_MM, low - BREAK_MARGIN_MM) for high, low in stretches]
        cuts[0] = (_unless_little(cuts[0][0], whole.x_max), cuts[0][1])
        cuts[-1] = (cuts[-1][0], -_unless_little(-cuts[-1][1], -whole.x_min))
        return tuple(Bounds(low, high, whole.y_min, whole.y_max) for high, low in cuts)


def _spans(geometry: PlanGeometry) -> list[tuple[float, float]]:
    """From where to where every part and wheel reaches along the vehicle, front to rear [mm]."""
    spans = [(part.center[0], part.center[0]) for part in geometry.parts]
    spans += [(w.center[0] + w.diameter_mm / 2, w.center[0] - w.diameter_mm / 2) for w in geometry.wheels]
    return sorted(spans, reverse=True)


def _unless_little(cut: float, end: float) -> float:
    """The cut, or the end of everything where cutting would save little."""
    return cut if end - cut > LEAST_CUT_MM else end
