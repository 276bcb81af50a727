"""A vehicle that rolls on its wheels, and the forces of a road load case on it.

It stands at its own height on its tires' upright springs. A rolling tire does not hold on to the road where it is, as a
standing one does: it follows the way that it is steered. So hardly anything of the tires' hold along, across and about
the upright is left, and the case's forces at the contact patches take its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from looseends.diagnosis.consequences.road_cases import RoadCase
from looseends.mechanics.bodies import GROUND
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Element, PointJoint
from looseends.mechanics.model import Force, Mechanism, Poses
from looseends.mechanics.ratios import Ratio, Turn
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import Preload
from looseends.vehicle.compose import FRAME
from looseends.vehicle.layout_types import LayoutWheel
from looseends.vehicle.names import named
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import SIDES, Vehicle

SUPPORT = "wheels"
_ROLLING_HOLD = 0.01
"""Share of a standing tire's hold along, across and about the upright that is left when it rolls. Assumed: enough that
the vehicle does not drift off in the model, too little to carry a load."""

_TRAIL_MM = 30.0
"""How far behind the middle of the contact patch a tire's side force acts [mm]; from memory: 20 to 40."""

_STAY_N_PER_MM = 1.0e5
"""Stiffness that stands for the inertia of a body which is too slow to follow; assumed, far above the suspension's."""

_UPRIGHT = np.array([0.0, 0.0, 1.0])
_FORWARD = np.array([1.0, 0.0, 0.0])


def rolling_mechanism(vehicle: Vehicle, specimen: Specimen, preload: Preload, case: RoadCase) -> Mechanism:
    """The vehicle on rolling tires, the rim held by the driver, the brake as the case says."""
    setup = Setup("", SUPPORT, None, "held", case.brake, 0.0)
    mechanism = build_mechanism(vehicle, specimen, setup, preload)
    tires = {f"{wheel.prefix}tire-{side}" for wheel in vehicle.layout.wheels for side in SIDES}
    return replace(mechanism, elements=tuple(_rolling(e) if e.name in tires else e for e in mechanism.elements))


def _rolling(tire: Element) -> Element:
    assert isinstance(tire, PointJoint)
    left = np.array([_ROLLING_HOLD, _ROLLING_HOLD, 1.0])
    return replace(
        tire, stiffness=tire.stiffness * left, rotational_stiffness=tire.rotational_stiffness * _ROLLING_HOLD
    )


def with_body_staying(vehicle: Vehicle, mechanism: Mechanism, poses: Poses) -> Mechanism:
    """The mechanism with the body held where it stands, at the four corners of its axles' middles and wheels."""
    height = vehicle.numbers["frame_center_height_mm"]
    holders = []
    for wheel in vehicle.layout.wheels:
        for side in SIDES:
            x, y, _ = vehicle.point(f"{wheel.center}-{side}")
            holders.append(_stay(f"body-stays-{wheel.end}-{side}", np.array([x, y, height]), poses))
    return replace(mechanism, elements=(*mechanism.elements, *holders))


def _stay(name: str, point: np.ndarray, poses: Poses) -> PointJoint:
    moved = poses[FRAME].point(point) - point
    return PointJoint(name, GROUND, FRAME, point, np.eye(3), np.full(3, _STAY_N_PER_MM), np.zeros(3), offset=-moved)


def road_forces(vehicle: Vehicle, case: RoadCase) -> tuple[Force, ...]:
    """Forces [N] of the case at share 1: at every contact patch, and the body's inertia against them.

    The inertia acts at the height of the body's center of mass, over the same axle, so that nothing is left over but
    what leans and dives. Lifting the road under a wheel by b is a force of b times the tire's upright rate.
    """
    forces: list[Force] = []
    for wheel in vehicle.layout.wheels:
        if wheel.end in case.ends:
            for side in SIDES:
                forces += _wheel_forces(vehicle, wheel, side, case)
    return tuple(forces)


def _wheel_forces(vehicle: Vehicle, wheel: LayoutWheel, side: str, case: RoadCase) -> list[Force]:
    body, contact = f"{wheel.body}-{side}", vehicle.point(f"{wheel.prefix}tire-contact-{side}")
    turned = -1.0 if case.sides == "against" and side == "right" else 1.0
    load = vehicle.numbers[f"{wheel.end}_corner_kg"] * GRAVITY
    level = load * np.array([case.along_of_load, turned * case.across_of_load, 0.0])
    lift = turned * case.bump_mm * vehicle.of_end("tire_vertical_N_per_mm", wheel.end) * _UPRIGHT
    found = []
    if np.any(level):
        trail = _TRAIL_MM if case.across_of_load else 0.0
        middle = np.array([contact[0], 0.0, vehicle.numbers["frame_center_height_mm"]])
        found += [Force(body, contact - trail * _FORWARD, level, GROUND), Force(FRAME, middle, -level, GROUND)]
    if np.any(lift):
        found.append(Force(body, contact, lift, GROUND))
    return found


def wheel_turns(vehicle: Vehicle) -> Mapping[str, tuple[Ratio, ...]]:
    """Watches of every wheel's toe and camber [rad as mm at a lever of 1 mm], by "toe front left" and the like.

    Toe counts against the body, toe-in positive; camber against the road, top out positive. x is forward and y left,
    so a left wheel toes in by turning right, a right one by turning left.
    """
    found: dict[str, tuple[Ratio, ...]] = {}
    for wheel in vehicle.layout.wheels:
        for side in SIDES:
            body, inward = named(wheel.body, side), -1.0 if side == "left" else 1.0
            turns = {"toe": Turn(FRAME, body, _UPRIGHT, inward), "camber": Turn(GROUND, body, _FORWARD, inward)}
            for name, turn in turns.items():
                key = f"{name} {wheel.end} {side}"
                found[key] = (Ratio(key, (turn,), 1.0),)
    return found
