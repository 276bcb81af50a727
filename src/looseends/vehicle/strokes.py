"""From a check on a vehicle to forces and watches that the mechanics room knows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from looseends.catalogue.types import Check, Grip, Stroke, WatchPlace
from looseends.errors import MechanicsError
from looseends.mechanics.bodies import Array
from looseends.mechanics.elements import PointJoint
from looseends.mechanics.model import Force, Mechanism, Watch
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import Vehicle

_VEHICLE_AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


def stroke_forces(vehicle: Vehicle, stroke: Stroke, side: Side | None) -> tuple[Force, ...]:
    """Forces [N] of one stroke at share 1; y of a sided check counts outboard."""
    return tuple(_force(vehicle, stroke, grip, side) for grip in stroke.grips)


def _force(vehicle: Vehicle, stroke: Stroke, grip: Grip, side: Side | None) -> Force:
    direction = _outboard(grip.direction, side)
    vector = stroke.force * grip.share * direction / float(np.linalg.norm(direction))
    return Force(grip.body, place_of(vehicle, grip.at), vector, grip.reacts_on)


def _outboard(direction: tuple[float, float, float], side: Side | None) -> Array:
    x, y, z = direction
    return np.array([x, -y if side == "right" else y, z])


def place_of(vehicle: Vehicle, name: str) -> Array:
    """Place (3,) [mm] of a mark, a joint center, a part, or an element of the layout, by name.

    Raises
    ------
    MechanicsError
        If the vehicle has no such place.
    """
    if name in vehicle.points:
        return vehicle.point(name)
    if name in vehicle.parts:
        return np.array(vehicle.parts[name].place)
    raise MechanicsError(f'{vehicle.id}: no place is called "{name}"')


def stroke_watches(vehicle: Vehicle, mechanism: Mechanism, stroke: Stroke) -> tuple[Watch, ...]:
    """Watches of one stroke; a part's joints are watched where the two bodies meet.

    A part with two joints (bearing, idler bracket) is watched at both.
    """
    return tuple(_watch(vehicle, mechanism, place) for place in stroke.watches if applies(vehicle, place))


def applies(vehicle: Vehicle, place: WatchPlace) -> bool:
    """Whether this vehicle has what the watch looks at."""
    return place.kind == "point" or (place.part in vehicle.parts and bool(vehicle.parts[str(place.part)].joints))


def _watch(vehicle: Vehicle, mechanism: Mechanism, place: WatchPlace) -> Watch:
    if place.kind == "point":
        directions = np.array([_VEHICLE_AXES[place.component]])
        point = place_of(vehicle, str(place.at))
        return Watch(place.id, str(place.body), place.against, point[None, :], directions)
    owned = vehicle.parts[str(place.part)].joints
    joints = [e for e in mechanism.elements if isinstance(e, PointJoint) and e.name in owned]
    joint, points = joints[0], np.array([j.point for j in joints])
    return Watch(place.id, joint.body_b, joint.body_a, points, joint_directions(joint.axes, place), joint.body_a)


def joint_directions(axes: Array, place: WatchPlace) -> Array:
    """Directions (k, 3) that count for a joint watch: across (2), along (1) or one vehicle axis (1)."""
    if place.component == "radial":
        return axes[:, :2].T
    if place.component == "axial":
        return axes[:, 2:].T
    return np.array([_VEHICLE_AXES[place.component]])


def watch_places(check: Check) -> Sequence[tuple[Stroke, WatchPlace]]:
    """Every watch of a check with its stroke, in order."""
    return [(stroke, place) for stroke in check.strokes for place in stroke.watches]
