"""Vehicles of the same kind whose joint centers lie a little elsewhere, for what nobody has measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.vehicle.groups import groups_of, stem_of
from looseends.vehicle.lean import leaned, turned
from looseends.vehicle.vehicle import Vehicle

_SIDES = ("-left", "-right")
_MIDDLE_MM = 1.0
"""A center point nearer to the middle plane than this lies in it."""
_MIRROR = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True)
class GroupMove:
    """How a group lies elsewhere: shifts (3,) [mm] of its left and right side and lean (2,) [rad] across its axis.

    The right side's shift is as seen in the mirror, and both lean as mirror images.
    """

    left: Array
    right: Array
    lean: Array


def scattered(vehicle: Vehicle, rng: np.random.Generator, common_mm: float, own_mm: float) -> Vehicle:
    """The vehicle with every joint center moved: by `common_mm` (1 sigma) alike on both sides, mirrored, and by
    `own_mm` on each side for itself."""
    common: dict[str, np.ndarray] = {}
    points = {}
    for name, point in vehicle.points.items():
        stem = name.removesuffix(_SIDES[0]).removesuffix(_SIDES[1])
        both = common.setdefault(stem, rng.normal(0.0, common_mm, 3))
        mirror = np.array([1.0, -1.0 if name.endswith(_SIDES[1]) else 1.0, 1.0])
        x, y, z = (float(v) for v in np.array(point) + both * mirror + rng.normal(0.0, own_mm, 3))
        points[name] = (x, y, z)
    return replace(vehicle, points=points)


def drawn_vehicle(vehicle: Vehicle, rng: np.random.Generator, common_mm: float, own_mm: float) -> Vehicle:
    """Another vehicle: drawn over the file's own spread, its groups keeping their shape; else `scattered`."""
    spread = vehicle.spread
    if spread is None:
        return scattered(vehicle, rng, common_mm, own_mm)
    moves = {}
    for name, group in spread.groups.items():
        both, left, right = rng.normal(0.0, group.common, 3), *rng.normal(0.0, group.own, (2, 3))
        moves[name] = GroupMove(both + left, both + right, rng.normal(0.0, group.lean, 2))
    shares = {name: float(np.exp(rng.normal(0.0, share))) for name, share in spread.numbers.items()}
    return moved(vehicle, moves, shares)


def moved(vehicle: Vehicle, moves: Mapping[str, GroupMove], shares: Mapping[str, float]) -> Vehicle:
    """The vehicle with groups of points moved, by group id, and numbers multiplied, by name.

    What has no side moves with the side on which it lies, and in the middle plane along it only.
    """
    points, layout = dict(vehicle.points), vehicle.layout
    groups, taken = groups_of(vehicle.points), set[str]()
    for name, move in moves.items():
        mine = [p for p in vehicle.points if stem_of(p) in groups[name].points and p not in taken]
        taken |= set(mine)
        for mirror, shift in ((np.ones(3), move.left), (_MIRROR, move.right)):
            side = [p for p in mine if _on_right(p, vehicle) == (mirror[1] < 0.0)]
            # Seen in the mirror the right side is a left one.
            seen = {p: mirror * vehicle.point(p) for p in side}
            for p, place in leaned(seen, groups[name], move.lean).items():
                middle = np.array([1.0, 0.0 if _in_middle(p, vehicle) else 1.0, 1.0])
                x, y, z = (float(v) for v in mirror * (seen[p] + middle * (place - seen[p] + shift)))
                points[p] = (x, y, z)
        layout = turned(layout, groups[name].turned, move.lean)
    numbers = {name: value * shares.get(name, 1.0) for name, value in vehicle.numbers.items()}
    return replace(vehicle, points=points, layout=layout, numbers=numbers)


def _on_right(name: str, vehicle: Vehicle) -> bool:
    return name.endswith(_SIDES[1]) or (not name.endswith(_SIDES[0]) and vehicle.points[name][1] < 0.0)


def _in_middle(name: str, vehicle: Vehicle) -> bool:
    return not name.endswith(_SIDES) and abs(vehicle.points[name][1]) < _MIDDLE_MM
