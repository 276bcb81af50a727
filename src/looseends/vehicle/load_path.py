"""How the vehicle's weight comes to a front wheel: the carrier, and what its joint carries in each support."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint, rows
from looseends.mechanics.springs import Spring
from looseends.vehicle.compose import FRAME
from looseends.vehicle.names import named
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Held
from looseends.vehicle.vehicle import Part, Vehicle

LoadState = Literal["L", "R", "H", "U"]
"""What a joint carries: the vehicle's weight (L), a spring against a stop (R), what hangs on it (H), next to
nothing (U)."""

Seating = Literal["pressed in", "pulled out"]
"""Where the load holds a ball: a joint loaded in compression, or in tension, whose ball worn through comes out."""

_LOADED, _FREE = 1.6, 0.4
"""A joint is loaded from so many times the weight of wheel and knuckle on, and free up to so much of it; assumed."""

_KNUCKLE = "knuckle"


@dataclass(frozen=True)
class JointLoad:
    """What a joint of the knuckle carries as the vehicle is held.

    `down` [N] presses the knuckle down along the joint's line (negative: holds it up), `across` [N] to the side;
    `hanging` [N] is the weight of wheel and knuckle, which both together are laid against. `seating` says whether the
    load presses the ball into its housing or pulls it toward the stud's opening; None where it carries next to nothing
    or the layout does not say which way the stud points.
    """

    part: str
    down: float
    across: float
    hanging: float
    state: LoadState
    seating: Seating | None = None


def carrying_bodies(vehicle: Vehicle) -> set[str]:
    """Bodies of the front, without side, that the springs carrying it act on, the frame left out."""
    layout = vehicle.layout
    pairs = [(s.a, s.b) for s in layout.springs if s.carries == "front"]
    pairs += [(bar.a, bar.b) for bar in layout.torsions if bar.carries == "front"]
    return {body for pair in pairs for body in pair} - {FRAME}


def droop_stop_bodies(vehicle: Vehicle) -> set[str]:
    """Bodies of the front, without side, that end the wheel's way down, the frame left out."""
    stops = [stop for stop in vehicle.layout.stops if stop.id == "rebound-stop"]
    return {body for stop in stops for body in (stop.a, stop.b)} - {FRAME}


def force_on(held: Held, element: Element, body: str) -> Array:
    """Force [N] (3,) with which an element acts on one of its bodies; none of an open contact."""
    part = rows(element, held.poses)
    if isinstance(element, Contact) and part.offset[0] > 0.0:
        return np.zeros(3)
    return np.asarray(-(part.on[body].T @ (part.stiffness * part.offset))[:3])


def carrier(vehicle: Vehicle, standing: Held, side: Side) -> Part:
    """The part through whose joint the weight comes to the knuckle of a vehicle that stands on its wheels.

    From the knuckle upward along what presses hardest: the first joint that a part owns. Where a spring stands on the
    knuckle itself, it is the joint beyond the spring, a strut's mount.

    Raises
    ------
    MechanicsError
        If nothing carries the knuckle but the frame itself.
    """
    owners = {joint: part for part in vehicle.parts.values() for joint in part.joints}
    below, body = named("hub", side), named(_KNUCKLE, side)
    while body != FRAME:
        element = _pressing(standing, body, below)
        if element.name in owners:
            return owners[element.name]
        below, body = body, element.body_b if element.body_a == body else element.body_a
    raise MechanicsError(refusal("{vehicle}: no joint carries its {side} knuckle", vehicle=vehicle.id, side=side))


def _pressing(held: Held, body: str, below: str) -> PointJoint | Spring:
    """The joint or spring that presses a body down hardest, those toward the wheel left out."""
    found = [
        e
        for e in held.mechanism.elements
        if isinstance(e, PointJoint | Spring) and body in (e.body_a, e.body_b) and below not in (e.body_a, e.body_b)
    ]
    return min(found, key=lambda element: float(force_on(held, element, body)[2]))


def follower(vehicle: Vehicle, standing: Held, side: Side) -> Part:
    """The ball joint of the knuckle that only holds the other end of the steering axis.

    Raises
    ------
    MechanicsError
        If the knuckle has no ball joint but the carrier.
    """
    carries, knuckle = carrier(vehicle, standing, side), named(_KNUCKLE, side)
    joints = [e for e in standing.mechanism.elements if isinstance(e, PointJoint) and knuckle in (e.body_a, e.body_b)]
    names = {e.name for e in joints}
    balls = [p for p in vehicle.parts.values() if p.id.endswith(f"ball-joint-{side}") and names & set(p.joints)]
    for part in balls:
        if part.id != carries.id:
            return part
    raise MechanicsError(
        refusal("{vehicle}: its {side} knuckle has no ball joint that only follows", vehicle=vehicle.id, side=side)
    )


def joint_load(vehicle: Vehicle, held: Held, part: Part) -> JointLoad:
    """What the joint of a knuckle's part carries as the vehicle is held.

    It is loaded through a stop, R, where the wheel's way down is at its end and the load stays all the same.
    """
    element = next(e for e in held.mechanism.elements if e.name in part.joints)
    assert isinstance(element, PointJoint)
    knuckle = named(_KNUCKLE, part.side)
    body = knuckle if knuckle in (element.body_a, element.body_b) else element.body_a
    turned = held.poses[element.body_a].rotation if element.body_a in held.poses else np.eye(3)
    line = turned @ element.axes[:, 2]
    force = force_on(held, element, body)
    along = float(force @ line)
    hanging = GRAVITY * sum(b.mass for b in vehicle.layout.bodies if b.id in ("hub", _KNUCKLE))
    state = _state(held, float(np.linalg.norm(force)) / hanging, part.side)
    across = float(np.linalg.norm(force - along * line))
    down = -along if line[2] > 0.0 else along
    return JointLoad(part.id, down, across, hanging, state, _seating(vehicle, part, turned.T @ force, state))


def _seating(vehicle: Vehicle, part: Part, force: Array, state: LoadState) -> Seating | None:
    """From the force [N] (3,) on the knuckle, in which the stud sits: along the stud it presses the ball in."""
    stud = next(
        (j.stud for j in vehicle.layout.joints if named(j.id, part.side if j.sided else None) in part.joints), None
    )
    if stud is None or state == "U":
        return None
    return "pressed in" if float(force @ vehicle.direction(stud, part.side)) > 0.0 else "pulled out"


def _state(held: Held, times: float, side: Side | None) -> LoadState:
    if times <= _FREE:
        return "U"
    if times < _LOADED:
        return "H"
    return "R" if held.stop_gaps.get(named("rebound-stop", side), 1.0) < 0.0 else "L"
