"""The solids of the motion view: bars, wheels, rings, joints, stands and floor, in mm where the support holds them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import msgspec
import numpy as np

from looseends.catalogue.types import Axis
from looseends.language import Speech
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.elements import Contact, PointJoint
from looseends.mechanics.model import Poses
from looseends.vehicle.layout_types import LayoutRing, LayoutWheel
from looseends.vehicle.names import named
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Held
from looseends.vehicle.vehicle import SIDES, Part, Vehicle
from looseends.web.motion.attached import Bar, bars_of

Vector = tuple[float, float, float]


class BodyShown(msgspec.Struct, kw_only=True):
    """A rigid body; displacements count from `origin` [mm]."""

    name: str
    origin: Vector


class BarShown(msgspec.Struct, kw_only=True):
    """A straight piece between two places [mm], each carried by the body of that number."""

    kind: str
    name: str
    bodies: tuple[int, int]
    places: tuple[Vector, Vector]
    radius: float


class WheelShown(msgspec.Struct, kw_only=True):
    """A wheel with its tire [mm], about the axis (no unit)."""

    body: int
    center: Vector
    axis: Vector
    radius: float
    width: float


class RingShown(msgspec.Struct, kw_only=True):
    """A steering wheel's rim [mm]."""

    body: int
    center: Vector
    axis: Vector
    radius: float


class JointShown(msgspec.Struct, kw_only=True):
    """A joint between two bodies, by number; -1 is the ground.

    `kind`: ball, pin, rubber, slot, guide (which nobody buys), stop, stand or tire. `part` and `name` are empty where
    no part owns it; `worn` tells that its clearance was given.
    """

    id: str
    kind: str
    part: str
    name: str
    bodies: tuple[int, int]
    place: Vector
    axis: Vector
    worn: bool


class SceneShown(msgspec.Struct, kw_only=True):
    """What stands there: all places in mm, x forward, y left, z up, as the support holds the vehicle without hands."""

    bodies: list[BodyShown]
    bars: list[BarShown]
    wheels: list[WheelShown]
    rings: list[RingShown]
    joints: list[JointShown]
    floor: bool


def scene_of(vehicle: Vehicle, held: Held, worn: Mapping[tuple[str, Axis], float], speech: Speech) -> SceneShown:
    """The solids of a vehicle as it is held."""
    numbers = {name: n for n, name in enumerate(held.factors.system.columns)} | {GROUND: -1}
    layout, poses = vehicle.layout, held.poses
    return SceneShown(
        bodies=[BodyShown(name=name, origin=vector(poses[name].origin)) for name in held.factors.system.columns],
        bars=[_bar(bar, poses, numbers, speech) for bar in bars_of(vehicle)],
        wheels=[
            shown
            for wheel in layout.wheels
            for side in SIDES
            for shown in _wheels(vehicle, wheel, side, poses, numbers)
        ],
        rings=[_ring(vehicle, ring, poses, numbers) for ring in layout.rings],
        joints=_joints(vehicle, held, worn, numbers, speech),
        floor=any(element.name.removeprefix("rear-").startswith("tire-") for element in held.mechanism.elements),
    )


def vector(values: Array) -> Vector:
    """Three numbers to a thousandth of a mm, or of one for a direction."""
    x, y, z = (round(float(value), 4) for value in values)
    return x, y, z


def _bar(bar: Bar, poses: Poses, numbers: Mapping[str, int], speech: Speech) -> BarShown:
    start, end = (poses[body].point(point) for body, point in zip(bar.bodies, bar.points, strict=True))
    first, second = (numbers[body] for body in bar.bodies)
    return BarShown(
        kind=bar.kind,
        name="" if bar.name is None else speech.words(bar.name),
        bodies=(first, second),
        places=(vector(start), vector(end)),
        radius=bar.radius,
    )


def _wheels(
    vehicle: Vehicle, wheel: LayoutWheel, side: Side, poses: Poses, numbers: Mapping[str, int]
) -> list[WheelShown]:
    """The wheel of one side, or both of a dual pair."""
    body = named(wheel.body, side)
    pose, center = poses[body], vehicle.point(f"{wheel.center}-{side}")
    apart = vehicle.numbers.get(f"{wheel.end}_dual_spacing_mm", 0.0)
    offsets = (-0.5 * apart, 0.5 * apart) if apart else (0.0,)
    return [
        WheelShown(
            body=numbers[body],
            center=vector(pose.point(center + np.array([0.0, offset, 0.0]))),
            axis=vector(pose.rotation @ np.array([0.0, 1.0, 0.0])),
            radius=vehicle.of_end("wheel_radius_mm", wheel.end),
            width=vehicle.of_end("tire_width_mm", wheel.end),
        )
        for offset in offsets
    ]


def _ring(vehicle: Vehicle, ring: LayoutRing, poses: Poses, numbers: Mapping[str, int]) -> RingShown:
    """A ring turns with the steering wheel where the layout names its body, else it stays with the frame."""
    rim = vehicle.layout.rim
    body = rim.body if rim is not None and rim.axis[1] == ring.axis[1] else "frame"
    center, start = vehicle.point(ring.axis[1]), vehicle.point(ring.axis[0])
    axis = (center - start) / float(np.linalg.norm(center - start))
    return RingShown(
        body=numbers[body],
        center=vector(poses[body].point(center)),
        axis=vector(poses[body].rotation @ axis),
        radius=0.5 * vehicle.number(ring.diameter),
    )


def _joints(
    vehicle: Vehicle, held: Held, worn: Mapping[tuple[str, Axis], float], numbers: Mapping[str, int], speech: Speech
) -> list[JointShown]:
    owners = {joint: part for part in vehicle.parts.values() for joint in part.joints}
    worn_parts = {part for part, _ in worn}
    found = []
    for element in held.mechanism.elements:
        if not isinstance(element, PointJoint | Contact):
            continue
        part = owners.get(element.name)
        kind = _kind(element, part)
        if kind is None:
            continue
        pose = held.poses.get(element.body_b) or held.poses[element.body_a]
        axis = element.normal if isinstance(element, Contact) else element.axes[:, 2]
        found.append(
            JointShown(
                id=element.name,
                kind=kind,
                part="" if part is None else part.id,
                name="" if part is None else speech.words(part.name),
                bodies=(numbers[element.body_a], numbers[element.body_b]),
                place=vector(pose.point(element.point)),
                axis=vector(pose.rotation @ axis),
                worn=part is not None and part.id in worn_parts,
            )
        )
    return found


JointKind = Literal["ball", "pin", "rubber", "slot", "guide", "stop", "stand", "tire"]


def _kind(element: PointJoint | Contact, part: Part | None) -> JointKind | None:
    """What a joint looks like; None for what holds without being a thing, as lift pads and hands."""
    if isinstance(element, Contact):
        return "stand" if element.body_a == GROUND else "stop"
    if part is not None and part.figure is not None:
        return part.figure.shape
    if element.body_a == GROUND:
        return "tire" if "tire-" in element.name else None
    return None if element.name == "rim-hold" or element.name.startswith("brake") else "guide"
