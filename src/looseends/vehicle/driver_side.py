"""Steering from the other side: a steering layout and its center points, mirrored across the vehicle.

A mirror image of a vehicle steers as the vehicle does: to the right when its wheel is turned to the right.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from looseends.vehicle.layout_types import Direction, Layout, LayoutRatio, LayoutTerm, Place

DRIVER_SIDES = ("left", "right")
"""Where the driver sits; a layout is written for the left."""

_OTHER = {"-left": "-right", "-right": "-left"}


def mirrored(layout: Layout) -> Layout:
    """The steering layout with all that has no side set on the other one; what is sided has both sides already.

    A turn changes its sense in a mirror and a shift along a mirrored axis does not, so that turns change their sign.
    """
    joints = tuple(
        e if e.sided else replace(e, a=_name(e.a), b=_name(e.b), at=_place(e.at), axis=_direction(e.axis))
        for e in layout.joints
    )
    guides = tuple(
        e if e.sided else replace(e, a=_name(e.a), b=_name(e.b), at=_place(e.at), axis=_direction(e.axis))
        for e in layout.guides
    )
    bodies = tuple(e if e.sided else replace(e, at=_place(e.at)) for e in layout.bodies)
    lines = tuple(e if e.sided else replace(e, through=tuple(map(_name, e.through))) for e in layout.lines)
    parts = tuple(e if e.sided else replace(e, at=_place(e.at)) for e in layout.parts)
    ratios = tuple(e if e.sided else _ratio(e) for e in layout.ratios)
    return replace(layout, joints=joints, guides=guides, bodies=bodies, lines=lines, parts=parts, ratios=ratios)


def mirrored_points(points: Mapping[str, tuple[float, float, float]]) -> dict[str, tuple[float, float, float]]:
    """Points [mm] with y reversed."""
    return {name: (x, -y, z) for name, (x, y, z) in points.items()}


def _name(name: str) -> str:
    ending = next((ending for ending in _OTHER if name.endswith(ending)), "")
    return name.removesuffix(ending) + _OTHER[ending] if ending else name


def _place(place: Place) -> Place:
    return _name(place) if isinstance(place, str) else tuple(map(_name, place))


def _direction(direction: Direction) -> Direction:
    if isinstance(direction[0], str):
        return (_name(direction[0]), _name(str(direction[1])))
    x, y, z = (float(value) for value in direction)
    return (x, -y, z)


def _ratio(ratio: LayoutRatio) -> LayoutRatio:
    return replace(ratio, at=_place(ratio.at), terms=tuple(map(_term, ratio.terms)))


def _term(term: LayoutTerm) -> LayoutTerm:
    factor = -term.factor if term.kind == "turn" else term.factor
    at = None if term.at is None else _place(term.at)
    return replace(term, a=_name(term.a), b=_name(term.b), at=at, axis=_direction(term.axis), factor=factor)
