"""From a check on a vehicle to forces and watches that the mechanics room knows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Check, Grip, Stroke, WatchPlace
from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import PointJoint, Ratio
from looseends.mechanics.model import Force, Mechanism, Watch
from looseends.vehicle.bodies import body_names
from looseends.vehicle.names import named
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import SIDES, Vehicle

_VEHICLE_AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


def check_on(vehicle: Vehicle, check_id: str, side: Side | None) -> Check:
    """A check as it is done on one side of this vehicle: a heavy wheel is lifted with more than the check's force.

    Raises
    ------
    InputError
        If the side does not fit the check.
    """
    check = resolve_check(load_catalogue().checks[check_id], side)
    return replace(check, strokes=tuple(_lifting(vehicle, stroke, side) for stroke in check.strokes))


def _lifting(vehicle: Vehicle, stroke: Stroke, side: Side | None) -> Stroke:
    if not stroke.lifts:
        return stroke
    gripped = {grip.body for grip in stroke.grips}
    lifted = sum(body.mass for body in vehicle.layout.bodies if named(body.id, side if body.sided else None) in gripped)
    return replace(stroke, force=max(stroke.force, stroke.lifts * GRAVITY * lifted))


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
    raise MechanicsError(refusal('{vehicle}: no place is called "{name}"', vehicle=vehicle.id, name=name))


def stroke_watches(vehicle: Vehicle, mechanism: Mechanism, stroke: Stroke) -> dict[str, tuple[Watch | Ratio, ...]]:
    """Watches of one stroke by name; a part's joints are watched where their two bodies meet, a gear or coupling by
    what one side of it moves without the other.

    A part with several joints (bearing, idler bracket, link) is watched at each of them; its movement is the root mean
    square over them.
    """
    places = [place for place in stroke.watches if applies(vehicle, place)]
    return {place.id: _watches(vehicle, mechanism, place) for place in places}


def applies(vehicle: Vehicle, place: WatchPlace) -> bool:
    """Whether this vehicle has what the watch looks at."""
    if place.kind == "point":
        if place.part is not None and place.part not in vehicle.parts:
            return False
        return {place.body, place.against} <= _bodies(vehicle) and _has_place(vehicle, str(place.at))
    return place.part in vehicle.parts and bool(vehicle.parts[str(place.part)].joints)


def offers(vehicle: Vehicle, check: Check) -> bool:
    """Whether any stroke of the check, resolved for its side, can be done on this vehicle."""
    return any(offered(vehicle, stroke) for stroke in check.strokes)


def wheels_clear(vehicle: Vehicle, check: Check, support: str) -> bool:
    """Whether no wheel that the check takes hold of stands on the floor in this support."""
    ends = vehicle.layout.supports[support].ends
    standing = [wheel.body for wheel in vehicle.layout.wheels if ends[wheel.end].tires in ("floor", "plates")]
    held = {named(body, side) for body in standing for side in SIDES}
    return not any(grip.body in held for stroke in check.strokes for grip in stroke.grips)


def offered(vehicle: Vehicle, stroke: Stroke) -> bool:
    """Whether this vehicle has all that the stroke grips and needs, and anything that it watches."""
    return (
        gripped(vehicle, stroke)
        and set(stroke.needs) <= _bodies(vehicle)
        and any(applies(vehicle, place) for place in stroke.watches)
    )


def gripped(vehicle: Vehicle, stroke: Stroke) -> bool:
    """Whether this vehicle has all that the stroke grips."""
    there = _bodies(vehicle)
    return all({grip.body, grip.reacts_on} <= there and _has_place(vehicle, grip.at) for grip in stroke.grips)


def _bodies(vehicle: Vehicle) -> set[str]:
    return {GROUND, *body_names(vehicle)}


def _has_place(vehicle: Vehicle, name: str) -> bool:
    return name in vehicle.points or name in vehicle.parts


def _watches(vehicle: Vehicle, mechanism: Mechanism, place: WatchPlace) -> tuple[Watch | Ratio, ...]:
    if place.kind == "point":
        directions = np.array([_VEHICLE_AXES[place.component]])
        point = place_of(vehicle, str(place.at))
        return (Watch(place.id, str(place.body), place.against, point[None, :], directions),)
    owned = vehicle.parts[str(place.part)].joints
    joints = [e for e in mechanism.elements if isinstance(e, PointJoint | Ratio) and e.name in owned]
    return tuple(j if isinstance(j, Ratio) else _joint_watch(j, place) for j in joints)


def _joint_watch(joint: PointJoint, place: WatchPlace) -> Watch:
    directions = joint_directions(joint.axes, place)
    return Watch(place.id, joint.body_b, joint.body_a, joint.point[None, :], directions, joint.body_a)


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
