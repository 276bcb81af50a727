"""The underside plan of a vehicle, from its layout's lines and its parts."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from looseends.catalogue.sides import sided_name
from looseends.language import Text, say
from looseends.report.plan_geometry import PlanGeometry, PlanLine, PlanPart, PlanWheel, Point
from looseends.vehicle.layout_types import LayoutLine, LayoutWheel
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import SIDES, Vehicle

_WHEEL: Mapping[str, Text] = {"front": say("front wheel"), "rear": say("rear wheel")}
_DUAL_WHEELS: Mapping[str, tuple[Text, Text]] = {
    "front": (say("front inner wheel"), say("front outer wheel")),
    "rear": (say("rear inner wheel"), say("rear outer wheel")),
}


def plan_geometry(vehicle: Vehicle) -> PlanGeometry:
    """What the underside plan draws of a vehicle [mm], highest structure first: it lies furthest from the viewer."""
    lines = [(line, side) for line in vehicle.layout.lines for side in (SIDES if line.sided else (None,))]
    lines.sort(key=lambda entry: -_height(vehicle, *entry))
    structure = tuple(_plan_line(vehicle, line, side) for line, side in lines)
    parts = tuple(
        PlanPart(part.id, part.name, (part.place[0], part.place[1]), part.kind.id) for part in vehicle.parts.values()
    )
    wheels = tuple(
        drawn for wheel in vehicle.layout.wheels for side in SIDES for drawn in _wheels(vehicle, wheel, side)
    )
    along = [x for line in structure for x, _ in line.points]
    return PlanGeometry(
        structure=structure,
        parts=parts,
        wheels=wheels,
        width_mm=max(2.0 * abs(wheel.center[1]) + wheel.width_mm for wheel in wheels),
        length_mm=max(along) - min(along),
    )


def _height(vehicle: Vehicle, line: LayoutLine, side: Side | None) -> float:
    return float(np.mean([vehicle.point(vehicle.on_side(name, side))[2] for name in line.through]))


def _plan_line(vehicle: Vehicle, line: LayoutLine, side: Side | None) -> PlanLine:
    name = sided_name(line.name, side)
    points = tuple(_plan_point(vehicle, vehicle.on_side(through, side)) for through in line.through)
    return PlanLine(name, points, line.width)


def _plan_point(vehicle: Vehicle, name: str) -> Point:
    x, y, _ = vehicle.points[name]
    return x, y


def _wheels(vehicle: Vehicle, wheel: LayoutWheel, side: Side) -> list[PlanWheel]:
    """The wheel of one side, or the inner and outer one of a dual pair."""
    x, y = _plan_point(vehicle, f"{wheel.center}-{side}")
    diameter, width = 2.0 * vehicle.of_end("wheel_radius_mm", wheel.end), vehicle.of_end("tire_width_mm", wheel.end)
    apart = vehicle.numbers.get(f"{wheel.end}_dual_spacing_mm")
    if apart is None:
        return [PlanWheel(sided_name(_WHEEL[wheel.end], side), (x, y), diameter, width)]
    outward = 0.5 * apart if y > 0.0 else -0.5 * apart
    return [
        PlanWheel(sided_name(name, side), (x, y + sign * outward), diameter, width)
        for name, sign in zip(_DUAL_WHEELS[wheel.end], (-1.0, 1.0), strict=True)
    ]
