"""Which bodies meet at which named point, and the bars that follow: what a linkage looks like from its layout alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from looseends.catalogue.sides import sided_name
from looseends.language import Text
from looseends.mechanics.bodies import Array
from looseends.vehicle.bodies import body_centers
from looseends.vehicle.compose import FRAME
from looseends.vehicle.layout_types import LayoutGuide, LayoutJoint, LayoutLine, LayoutSpring, LayoutStop, Place
from looseends.vehicle.names import body_name, sides_of
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import Vehicle

BarKind = Literal["bar", "coil", "rail", "bracket"]

_LEAST_RADIUS_MM = 7.0
_THIN_RADIUS_MM = 11.0
"""Of a bar that no line of the layout draws: about a tie rod's half. Assumed, for the picture only."""
_NEAR_MM = 20.0
"""So near a bar a joint is taken to sit on it. Assumed, for the picture only."""


@dataclass(frozen=True)
class Bar:
    """A straight piece between two design points (3,) [mm], each end carried by its own body: the same for a rigid bar,
    two for a spring."""

    kind: BarKind
    name: Text | None
    bodies: tuple[str, str]
    points: tuple[Array, Array]
    radius: float


def bars_of(vehicle: Vehicle) -> list[Bar]:
    """Every bar: the lines of the layout, then what joins the joints of bodies that have none, then frame brackets."""
    at = attachments(vehicle)
    bars = [
        bar for line in vehicle.layout.lines for side in sides_of(line.sided) for bar in _drawn(vehicle, line, side, at)
    ]
    places = joint_places(vehicle)
    for body in body_centers(vehicle):
        own = [bar for bar in bars if body in bar.bodies]
        bars += _missing(body, places.get(body, []), own)
    return bars


def attachments(vehicle: Vehicle) -> dict[str, set[str]]:
    """Names of the bodies that are joined, placed or sprung at each named point."""
    found: dict[str, set[str]] = {}
    for body, at, side in _joined(vehicle):
        for name in (at,) if isinstance(at, str) else at:
            found.setdefault(vehicle.on_side(name, side), set()).add(body)
    return found


def joint_places(vehicle: Vehicle) -> dict[str, list[Array]]:
    """Design points (3,) [mm] at which each body is joined."""
    found: dict[str, list[Array]] = {}
    layout = vehicle.layout
    joints: tuple[LayoutJoint | LayoutGuide, ...] = (*layout.joints, *layout.guides)
    for joint in joints:
        for side in sides_of(joint.sided):
            axis = vehicle.direction(joint.axis, side)
            point = vehicle.place(joint.at, side) + joint.offset * axis / float(np.linalg.norm(axis))
            for body in (joint.a, joint.b):
                found.setdefault(body_name(vehicle, body, side), []).append(point)
    return found


def _joined(vehicle: Vehicle) -> Iterator[tuple[str, Place, Side | None]]:
    layout = vehicle.layout
    for body in layout.bodies:
        for side in sides_of(body.sided):
            yield body_name(vehicle, body.id, side), body.at, side
    elements: tuple[LayoutJoint | LayoutGuide | LayoutStop | LayoutSpring, ...]
    elements = (*layout.joints, *layout.guides, *layout.stops, *layout.springs)
    for element in elements:
        for side in sides_of(element.sided):
            for name in (element.a, element.b):
                yield body_name(vehicle, name, side), element.at, side


def _drawn(vehicle: Vehicle, line: LayoutLine, side: Side | None, at: Mapping[str, set[str]]) -> Iterator[Bar]:
    names = [vehicle.on_side(name, side) for name in line.through]
    sprung = _springs(vehicle, side).get(frozenset(names))
    points = [vehicle.point(name) for name in names]
    name, radius = sided_name(line.name, side), max(0.5 * line.width, _LEAST_RADIUS_MM)
    if sprung is not None:
        kind, upper, lower = sprung
        ends = _by_height(points)
        yield Bar(kind, name, (lower, upper), ends, radius)
        return
    bodies = _carriers(names, at)
    kind = "rail" if set(bodies) == {FRAME} else "bar"
    for (body, start), (next_body, end) in pairwise(zip(bodies, points, strict=True)):
        yield Bar(kind, name, (body, next_body), (start, end), radius)


def _springs(vehicle: Vehicle, side: Side | None) -> dict[frozenset[str], tuple[BarKind, str, str]]:
    """Kind, upper and lower body of springs by the two points that they run between."""
    found: dict[frozenset[str], tuple[BarKind, str, str]] = {}
    kinds: list[tuple[BarKind, str, str, object]] = [
        ("coil", spring.a, spring.b, spring.axis) for spring in vehicle.layout.springs if spring.beam is None
    ]
    kinds += [("bar", bar.a, bar.b, bar.axis) for bar in vehicle.layout.torsions]
    for kind, a, b, axis in kinds:
        if isinstance(axis, tuple) and all(isinstance(name, str) for name in axis):
            ends = frozenset(vehicle.on_side(str(name), side) for name in axis)
            first, second = (body_name(vehicle, name, side) for name in (a, b))
            upper, lower = (second, first) if second == FRAME else (first, second)
            found[ends] = (kind, upper, lower)
    return found


def _by_height(points: Sequence[Array]) -> tuple[Array, Array]:
    low, high = sorted(points[:2], key=lambda point: float(point[2]))
    return low, high


def _carriers(names: Sequence[str], at: Mapping[str, set[str]]) -> list[str]:
    """The body that carries each point of a line: the one that most of its points belong to, where half of them do."""
    there = [at.get(name, set()) - {FRAME} for name in names]
    counts = {body: sum(body in bodies for bodies in there) for body in sorted(set().union(*there))}
    known = sum(bool(bodies) for bodies in there)
    best = max(counts, key=lambda body: counts[body], default=FRAME)
    if not counts or 2 * counts[best] >= known:
        return [best] * len(names)
    return [min(bodies, default=FRAME) for bodies in there]


def _missing(body: str, places: Sequence[Array], own: Sequence[Bar]) -> list[Bar]:
    """Bars from joints that lie on no bar of their body to the nearest place that does."""
    reached = [bar.points for bar in own]
    left = _distinct(places)
    if not reached and left:
        reached = [(left[0], left[0])]
    made: list[Bar] = []
    kind: BarKind = "bracket" if body == FRAME else "bar"
    while left:
        nearest = min(left, key=lambda place: _from_all(place, reached)[0])
        left = [place for place in left if place is not nearest]
        far, foot = _from_all(nearest, reached)
        if far > _NEAR_MM:
            made.append(Bar(kind, None, (body, body), (foot, nearest), _THIN_RADIUS_MM))
            reached.append((foot, nearest))
    return made


def _distinct(places: Sequence[Array]) -> list[Array]:
    found: list[Array] = []
    for place in places:
        if all(float(np.linalg.norm(place - other)) > 1.0 for other in found):
            found.append(place)
    return found


def _from_all(place: Array, pieces: Sequence[tuple[Array, Array]]) -> tuple[float, Array]:
    """Least distance [mm] to any piece, and the foot (3,) on it; a place where nothing is."""
    feet = [_foot(place, start, end) for start, end in pieces] or [place]
    distances = [float(np.linalg.norm(place - foot)) for foot in feet]
    least = int(np.argmin(distances))
    return distances[least], feet[least]


def _foot(place: Array, start: Array, end: Array) -> Array:
    along = end - start
    share = float((place - start) @ along) / max(float(along @ along), 1e-9)
    return np.asarray(start + np.clip(share, 0.0, 1.0) * along)
