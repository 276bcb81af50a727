"""Invariant: what must hold of a whole front end, whatever its numbers: balance, mirror, certificates, ranges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.mechanics.assembly import assemble, load_vector
from looseends.mechanics.bodies import GROUND, Body
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint, Ratio, Spring, TorsionSpring, rows
from looseends.mechanics.lash import solve_lash, tangent
from looseends.mechanics.model import Force, Mechanism, Poses, Watch
from looseends.mechanics.movement_range import movement_range
from looseends.mechanics.ratios import Shift, Turn
from looseends.mechanics.reduction import ReducedStroke, factor, reduce_stroke
from looseends.mechanics.settle import settle
from looseends.mechanics.travel import solve_stroke, stroke_clearances
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import Preload
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import nominal_preload, watched_rows
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.strokes import offered, stroke_forces, stroke_watches
from looseends.vehicle.vehicle import Vehicle
from tests.mechanics.mechanisms import joint

SUPPORTS = ("frame", "arm", "ride", "wheels", "plates", "one-wheel", "axle")
MIRROR = np.diag([1.0, -1.0, 1.0])


@cache
def _pickup() -> tuple[Vehicle, Specimen, Preload]:
    vehicle = load_vehicles()["yard-pickup"]
    return vehicle, nominal_specimen(vehicle), nominal_preload("yard-pickup")


def _mechanism(check: str, support: str, side: Side | None) -> Mechanism:
    vehicle, specimen, preload = _pickup()
    return build_mechanism(vehicle, specimen, Setup(check, support, side, "held", "off", 60.0), preload)


Spots = dict[str, tuple[Watch | Ratio, ...]]
Loads = list[tuple[tuple[Force, ...], Spots, float, float]]


def _loads(check_id: str, side: Side | None, mechanism: Mechanism) -> Loads:
    vehicle = _pickup()[0]
    check = resolve_check(load_catalogue().checks[check_id], side)
    return [
        (stroke_forces(vehicle, s, side), stroke_watches(vehicle, mechanism, s), s.from_share, s.to_share)
        for s in check.strokes
        if offered(vehicle, s)
    ]


def _reduced(mechanism: Mechanism, poses: Poses, loads: Loads) -> Iterator[tuple[ReducedStroke, float, float]]:
    system = assemble(mechanism, poses)
    factors = factor(system)
    for forces, watches, first, last in loads:
        found = watched_rows(watches, system.columns, poses)
        yield reduce_stroke(factors, load_vector(forces, system.columns, poses), found), first, last


def _mirrored_watch(watch: Watch | Ratio) -> Watch | Ratio:
    if isinstance(watch, Ratio):
        return _mirrored_ratio(watch)
    return replace(watch, points=watch.points @ MIRROR, directions=watch.directions @ MIRROR)


def _clearances(mechanism: Mechanism, worn: dict[str, float]) -> dict[str, Clearance]:
    vehicle, specimen, _ = _pickup()
    there = {element.name for element in mechanism.elements}
    sound = specimen.clearances(vehicle, {})
    return {
        name: replace(c, radial=worn.get(name, c.radial), axial=worn.get(name, c.axial))
        for name, c in sound.items()
        if name in there
    }


def _shown(mechanism: Mechanism, loads: Loads, worn: dict[str, float]) -> list[tuple[str, float, float]]:
    """(watch, total, free) of every stroke, about the settled pose."""
    poses = settle(mechanism, tolerance=1e-8).poses
    shown = []
    for reduced, first, last in _reduced(mechanism, poses, loads):
        answer = solve_stroke(reduced, stroke_clearances(reduced, _clearances(mechanism, worn)), first, last)
        shown += [(name, m.total, m.free) for name, m in answer.movements.items()]
    return shown


@pytest.mark.parametrize("support", SUPPORTS)
def test_supports_carry_the_whole_weight_and_nothing_sideways(support: str) -> None:
    """What the ground feels from all elements that stand on it, at rest: the weight, straight down.

    An element's energy is half stiffness times stretch squared; it pushes a body by minus the slope.
    """
    mechanism = _mechanism("wheel126", support, "left")
    poses = settle(mechanism, tolerance=1e-8).poses
    contacts = {element.name for element in mechanism.elements if isinstance(element, Contact)}
    felt = np.zeros(3)
    for element in mechanism.elements:
        part = rows(element, poses)
        if GROUND in part.on:
            stretch = np.minimum(part.offset, 0.0) if element.name in contacts else part.offset  # contacts only press
            felt -= (part.on[GROUND].T @ (part.stiffness * stretch))[:3]
    weight = GRAVITY * sum(body.mass for body in mechanism.bodies)
    assert felt == pytest.approx([0.0, 0.0, -weight], abs=0.05)


def _mirrored_ratio(ratio: Ratio) -> Ratio:
    def term(old: Turn | Shift) -> Turn | Shift:
        if isinstance(old, Turn):
            return replace(old, axis=-MIRROR @ old.axis)
        return replace(old, point=MIRROR @ old.point, axis=MIRROR @ old.axis)

    return replace(ratio, terms=tuple(term(old) for old in ratio.terms))


def _mirrored_spring(spring: Spring) -> Spring:
    """Its axes stay right-handed: with y turned round, translations mirror by it and turns the other way."""
    flip = np.diag([1.0, -1.0, 1.0])
    image = np.kron(np.diag([1.0, -1.0]), flip)
    return replace(
        spring,
        point=MIRROR @ spring.point,
        axes=MIRROR @ spring.axes @ flip,
        stiffness=image @ spring.stiffness @ image,
        preload=image @ spring.preload,
    )


def _mirrored(element: Element) -> Element:
    if isinstance(element, PointJoint):
        return replace(element, point=MIRROR @ element.point, axes=MIRROR @ element.axes)
    if isinstance(element, TorsionSpring):
        return replace(element, axis=-MIRROR @ element.axis)  # a turn's axis is a pseudovector
    if isinstance(element, Ratio):
        return _mirrored_ratio(element)
    if isinstance(element, Spring):
        return _mirrored_spring(element)
    return replace(element, point=MIRROR @ element.point, normal=MIRROR @ element.normal)


@pytest.mark.parametrize(("check", "support", "side"), [
    ("wheel39", "frame", "left"), ("wheel126", "arm", "right"), ("bj-axial", "arm", "left"), ("idler", "wheels", None),
])  # fmt: skip
def test_a_front_end_built_as_its_own_mirror_image_shows_the_same(check: str, support: str, side: Side | None) -> None:
    mechanism = _mechanism(check, support, side)
    loads = _loads(check, side, mechanism)
    worn = {
        "outer-tie-rod-end-left": 1.2,
        "lower-ball-joint-right": 1.5,
        "idler-bushing-lower": 0.8,
        "pitman-ball": 0.4,
    }
    bodies = tuple(replace(body, center=MIRROR @ body.center) for body in mechanism.bodies)
    image = Mechanism(bodies, tuple(_mirrored(element) for element in mechanism.elements))
    image_loads = [
        (
            tuple(replace(f, point=MIRROR @ f.point, vector=MIRROR @ f.vector) for f in forces),
            {name: tuple(_mirrored_watch(spot) for spot in spots) for name, spots in watches.items()},
            first,
            last,
        )
        for forces, watches, first, last in loads
    ]
    here, there = _shown(mechanism, loads, worn), _shown(image, image_loads, worn)
    assert [name for name, *_ in there] == [name for name, *_ in here]
    assert [v for _, *v in there] == [pytest.approx(v, abs=1e-6) for _, *v in here]


LINKAGE = {"tie-rod", "center-link", "pitman", "idler", "steering", "damper", "intermediate", "column"}


def _centered(body: Body) -> Body:
    """The frame's center lies a little to one side, to make up for the steering on the other."""
    return replace(body, center=body.center * [1.0, 0.0, 1.0]) if body.name == "frame" else body


def _without_linkage(mechanism: Mechanism) -> Mechanism:
    """The front end with a plain rod from frame to each knuckle in place of the unsymmetric steering linkage."""

    def steering(name: str) -> bool:
        return any(name.startswith(start) for start in LINKAGE)

    bodies = tuple(_centered(body) for body in mechanism.bodies if not steering(body.name))
    kept = [e for e in mechanism.elements if not any(steering(body) for pair in e.pairs for body in pair)]
    gone = {e.name: e for e in mechanism.elements if isinstance(e, PointJoint)}
    rods = [
        joint(f"rod-{s}", "frame", f"knuckle-{s}", gone[f"outer-tie-rod-end-{s}"].point, [0.0, 5e3, 0.0], shape=None)
        for s in ("left", "right")
    ]
    return Mechanism(bodies, (*kept, *rods))


@pytest.mark.parametrize(("check", "support"), [("wheel126", "arm"), ("wheel126", "frame"), ("bj-axial", "arm")])
def test_left_and_right_show_the_same_where_the_steering_linkage_is_left_out(check: str, support: str) -> None:
    both = {}
    for side in ("left", "right"):
        mechanism = _without_linkage(_mechanism(check, support, side))  # type: ignore[arg-type]
        loads = _loads(check, side, mechanism)  # type: ignore[arg-type]
        worn = {f"lower-ball-joint-{side}": 1.5, f"upper-arm-front-bushing-{side}": 0.7}
        both[side] = [(name.replace(side, ""), *v) for name, *v in _shown(mechanism, loads, worn)]
    names = [[name for name, *_ in both[side]] for side in ("left", "right")]
    assert names[0] == names[1]
    values = {side: np.array([v for _, *v in both[side]]) for side in both}
    assert values["left"] == pytest.approx(values["right"], abs=1e-6)
    assert float(np.max(values["left"])) > 0.5


@pytest.mark.parametrize("support", ["frame", "arm", "ride"])
def test_every_answer_is_certified_and_inside_its_own_range(support: str) -> None:
    rng = np.random.default_rng(11)
    mechanism = _mechanism("wheel126", support, "left")
    poses = settle(mechanism).poses
    wearable = sorted(_clearances(mechanism, {}))
    for reduced, first, last in _reduced(mechanism, poses, _loads("wheel126", "left", mechanism)):
        for _ in range(4):
            worn = {str(name): float(rng.uniform(0.0, 3.0)) for name in rng.choice(wearable, 4, replace=False)}
            arrays = stroke_clearances(reduced, _clearances(mechanism, worn))
            answer = solve_stroke(reduced, arrays, first, last)
            assert answer.first.certificate.holds
            assert answer.last.certificate.holds
            for name, movement in answer.movements.items():
                least, greatest = movement_range(reduced, arrays, answer, name, first, last)
                assert least - 1e-6 <= movement.total <= greatest + 1e-6
                assert 0.0 <= movement.free <= movement.total


def test_every_tire_feels_the_weight_of_its_corner() -> None:
    """Standing on its wheels, each tire is squeezed by the load that the vehicle states for its corner."""
    mechanism = _mechanism("idler", "wheels", None)
    poses, numbers = settle(mechanism).poses, _pickup()[0].numbers
    for prefix, corner in (("", numbers["front_corner_kg"]), ("rear-", numbers["rear_corner_kg"])):
        for side in ("left", "right"):
            assert _pressed(mechanism, poses, f"{prefix}tire-{side}") == pytest.approx(corner * GRAVITY, rel=0.005)


def _pressed(mechanism: Mechanism, poses: Poses, name: str) -> float:
    element = next(e for e in mechanism.elements if e.name == name)
    assert isinstance(element, PointJoint)
    part = rows(element, poses)
    return float(-part.stiffness[2] * part.offset[2])


def test_the_linkage_is_one_sided() -> None:
    """Were it symmetric, the mirror test would prove little."""
    centers = {body.name: body.center for body in _mechanism("wheel39", "frame", "left").bodies}
    assert centers["pitman-arm"][1] == pytest.approx(-centers["idler-arm"][1])
    assert centers["steering-box"][1] > 100.0


@pytest.mark.parametrize("support", ["frame", "arm"])
def test_the_tangent_behind_free_travel_is_the_slope_between_two_neighbouring_pulls(support: str) -> None:
    """Free travel hangs on the slope at the stroke's ends, so the touching joints must be told right, not nearly."""
    step = 1e-3
    mechanism = _mechanism("wheel126", support, "right")
    worn = {"lower-ball-joint-right": 1.5, "upper-arm-front-bushing-right": 0.7}
    for reduced, first, last in _reduced(mechanism, settle(mechanism).poses, _loads("wheel126", "right", mechanism)):
        semi = stroke_clearances(reduced, _clearances(mechanism, worn)).semi
        for share in (first, last):
            here, up, down = (
                solve_lash(reduced.S, reduced.f_base + s * reduced.f_hand, reduced.blocks, semi)
                for s in (share, share + step, share - step)
            )
            slope = tangent(reduced.S, reduced.blocks, semi, here, reduced.f_hand)
            for on_g in reduced.watch_on_g:
                assert on_g @ (up.g - down.g) / (2.0 * step) == pytest.approx(on_g @ slope, abs=2e-3)
