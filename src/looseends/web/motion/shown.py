"""The motion view's answer: scene, courses of the sound and the worn vehicle, watches and hands, in mm, rad and N."""

from __future__ import annotations

import msgspec
import numpy as np

from looseends.catalogue.types import WatchPlace
from looseends.language import Speech
from looseends.mechanics.bodies import Array
from looseends.mechanics.elements import Contact
from looseends.mechanics.model import Watch
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.web.motion.asked import MotionRequest
from looseends.web.motion.moving import Course, Curve, Motion, motion_of
from looseends.web.motion.scene import SceneShown, Vector, scene_of, vector

_DIGITS = 8


class CurveShown(msgspec.Struct, kw_only=True):
    """What a watch does: total and free movement [mm] between the two ends, `moved_mm` at each step from the first,
    and for each interval between two steps whether it lies in the dead zone."""

    total_mm: float
    free_mm: float
    moved_mm: list[float]
    in_dead_zone: list[bool]


class SpotShown(msgspec.Struct, kw_only=True):
    """Where a watch looks: the movement of `body` against `against` at `place` [mm] along the directions."""

    body: int
    against: int
    place: Vector
    directions: list[Vector]


class WatchShown(msgspec.Struct, kw_only=True):
    """A watch of the stroke; its movement is the root mean square over its spots. What turns (a gear) has no spot."""

    id: str
    name: str
    words: str
    spots: list[SpotShown]
    sound: CurveShown
    worn: CurveShown


class HandShown(msgspec.Struct, kw_only=True):
    """A hand or a bar: its force [N] at share 1 on a body at a place [mm]."""

    body: int
    place: Vector
    force_N: Vector


class CourseShown(msgspec.Struct, kw_only=True):
    """A stroke step by step: displacements [step][body][6], three in mm and three rotations in rad, from the rest
    without hands; forces [step][joint][3] in N with which each joint of the scene presses its second body; slack
    [step][joint]: it carries next to nothing."""

    displacements: list[list[list[float]]]
    forces_N: list[list[list[float]]]
    slack: list[list[bool]]


class SetupShown(msgspec.Struct, kw_only=True):
    """How the vehicle is held and worked on."""

    vehicle: str
    check: str
    support: str
    side: str | None
    stroke: str
    steer: str
    brake: str
    stand_inboard_mm: float
    worn_mm: dict[str, float]


class MotionShown(msgspec.Struct, kw_only=True):
    """A stroke on a sound vehicle and on the worn one; `rest_step` is the step without hands, or nearest to it."""

    setup: SetupShown
    stroke_words: str
    force_N: float
    shares: list[float]
    rest_step: int
    scene: SceneShown
    hands: list[HandShown]
    watches: list[WatchShown]
    sound: CourseShown
    worn: CourseShown


def motion_shown(request: MotionRequest, speech: Speech) -> MotionShown:
    """The whole answer, its names in the reader's language; lengths stay in mm.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support.
    """
    motion = motion_of(request)
    scene = scene_of(request.vehicle, motion.held, request.worn, speech)
    numbers = {name: n for n, name in enumerate(motion.held.factors.system.columns)} | {"ground": -1}
    return MotionShown(
        setup=_setup(request),
        stroke_words=speech.words(request.stroke.words),
        force_N=request.stroke.force,
        shares=[float(share) for share in motion.shares],
        rest_step=motion.rest,
        scene=scene,
        hands=[
            HandShown(
                body=numbers[hand.body],
                place=vector(motion.held.poses[hand.body].point(hand.point)),
                force_N=vector(hand.vector),
            )
            for hand in motion.hands
            if hand.body in motion.held.poses
        ],
        watches=_watches(request, motion, numbers, speech),
        sound=_course(motion.sound, motion, scene),
        worn=_course(motion.worn, motion, scene),
    )


def _setup(request: MotionRequest) -> SetupShown:
    setup = request.setup
    return SetupShown(
        vehicle=request.vehicle.id,
        check=setup.check,
        support=setup.support,
        side=setup.side,
        stroke=request.stroke.id,
        steer=setup.steer,
        brake=setup.brake,
        stand_inboard_mm=setup.stand_inboard_mm,
        worn_mm={f"{part}.{axis}": mm for (part, axis), mm in request.worn.items()},
    )


def _watches(request: MotionRequest, motion: Motion, numbers: dict[str, int], speech: Speech) -> list[WatchShown]:
    names = vehicle_vocabulary(request.vehicle).names
    places: dict[str, WatchPlace] = {place.id: place for place in request.stroke.watches}
    return [
        WatchShown(
            id=name,
            name=speech.words(names.get(name, name)),
            words=speech.words(places[name].words),
            spots=[_spot(spot, motion, numbers) for spot in spots if isinstance(spot, Watch)],
            sound=_curve(motion.sound.curves[name]),
            worn=_curve(motion.worn.curves[name]),
        )
        for name, spots in motion.watches.items()
    ]


def _spot(watch: Watch, motion: Motion, numbers: dict[str, int]) -> SpotShown:
    poses = motion.held.poses
    directions = watch.directions
    if watch.carried_by in poses:
        directions = directions @ poses[watch.carried_by].rotation.T
    place = poses[watch.body].point(watch.points[0]) if watch.body in poses else watch.points[0]
    return SpotShown(
        body=numbers[watch.body],
        against=numbers[watch.against],
        place=_exact(place),
        directions=[_exact(direction) for direction in directions],
    )


def _exact(values: Array) -> Vector:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _curve(curve: Curve) -> CurveShown:
    return CurveShown(
        total_mm=curve.movement.total,
        free_mm=curve.movement.free,
        moved_mm=[round(float(value), _DIGITS) for value in curve.moved],
        in_dead_zone=[bool(value) for value in curve.free_steps],
    )


def _course(course: Course, motion: Motion, scene: SceneShown) -> CourseShown:
    n = len(motion.shares)
    open_contacts = {element.name for element in motion.held.mechanism.elements if isinstance(element, Contact)}
    forces = np.stack([course.forces[joint.id] for joint in scene.joints], axis=1)
    none = np.zeros(n, dtype=bool)
    slack = np.stack([course.slack.get(joint.id, none) for joint in scene.joints], axis=1)
    for k, joint in enumerate(scene.joints):
        if joint.id in open_contacts:
            forces[slack[:, k], k] = 0.0
    return CourseShown(
        displacements=np.round(course.displacements, 9).tolist(),
        forces_N=np.round(forces, 1).tolist(),
        slack=slack.tolist(),
    )
