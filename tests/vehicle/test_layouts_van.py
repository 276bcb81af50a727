"""A solid axle on leaf springs with king pins: where their play shows, and what the bearing and the brake do to it.

Effects of the trade: common practice, no source. Figures: proportions from memory, computed from the points.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.model import Force
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import answer_stroke, prepare_held
from looseends.vehicle.strokes import check_on
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.other_vehicles import OUT, UP, held, lift, preload, seen, shake_39, shake_126, specimen, vehicle

NAME = "crew-van"


@pytest.mark.parametrize("bushing", ["upper", "lower"])
@pytest.mark.parametrize("side", SIDES)
def test_king_pin_play_shows_under_the_axle_with_the_brake_on(side: Side, bushing: str) -> None:
    joint = f"king-pin-bushing-{bushing}-{side}"
    raised = seen(
        NAME, held(NAME, "axle", None, "on"), shake_126(side), {(joint, "radial"): 1.0}, joint=(joint, "radial")
    )
    standing = seen(
        NAME, held(NAME, "wheels", None, "on"), shake_126(side), {(joint, "radial"): 1.0}, joint=(joint, "radial")
    )
    assert raised.free == pytest.approx(1.0, rel=0.05)
    assert standing.free < 0.05


def test_the_brake_takes_the_bearings_play_out_of_the_king_pins_reading() -> None:
    worn = {("wheel-bearing-left", "radial"): 0.5}
    off, on = (
        seen(NAME, held(NAME, "axle", None, brake), shake_126("left"), worn, point=("hub-left", "tread-top-left"))
        for brake in ("off", "on")
    )
    assert off.free > 4.0
    assert on.free < 0.1 * off.free


@pytest.mark.parametrize("side", SIDES)
def test_lifting_the_wheel_shows_the_thrust_bearings_clearance_off_the_floor_only(side: Side) -> None:
    """The axle rests on it standing; lifted at the axle, the knuckle hangs by it and a bar takes that up."""
    joint, push = f"king-pin-thrust-bearing-{side}", lift(side, 2000.0)
    raised, standing = (
        seen(NAME, held(NAME, support), push, {(joint, "axial"): 0.8}, joint=(joint, "axial"))
        for support in ("axle", "wheels")
    )
    assert raised.free == pytest.approx(0.8, rel=0.05)
    assert standing.total < 0.05


def test_a_worn_end_of_the_one_piece_tie_rod_frees_the_far_wheel_alone() -> None:
    """The drag link holds the near wheel."""
    worn, state = {("outer-tie-rod-end-left", "radial"): 2.0}, held(NAME, "axle")
    near, far = (
        seen(NAME, state, shake_39(side), worn, point=(f"hub-{side}", f"tread-front-{side}")).free
        - seen(NAME, state, shake_39(side), {}, point=(f"hub-{side}", f"tread-front-{side}")).free
        for side in SIDES
    )
    assert abs(near) < 0.1
    assert far > 3.0


def steer(whole: Vehicle, rise_mm: float) -> tuple[float, float]:
    """Steer [deg] of the left and the right wheel with the frame clamped and both wheels raised so far, by force."""
    setup = Setup("", "frame", None, "held", "off", 0.0)
    mechanism = build_mechanism(whole, specimen(NAME), setup, preload(NAME))
    centers = {side: whole.point(f"wheel-center-{side}") for side in SIDES}
    load = 12606.0 + 165.0 * GRAVITY + 180.0 * rise_mm
    for _ in range(6):
        pushes = tuple(Force(f"hub-{side}", center, load * UP) for side, center in centers.items())
        poses = settle(mechanism, forces=pushes, tolerance=1e-4).poses
        risen = np.mean([poses[f"hub-{side}"].point(center)[2] - center[2] for side, center in centers.items()])
        load += 180.0 * float(rise_mm - risen)
    spindles = [poses[f"hub-{side}"].rotation @ OUT for side in SIDES]
    left, right = (float(np.degrees(np.arctan2(-spindle[0], spindle[1]))) for spindle in spindles)
    return left, right


BALLS = {"as built": (640.0, 520.0, 540.0), "60 mm too low": (640.0, 520.0, 480.0), "on the arc": (532.0, 575.0, 522.0)}


@cache
def with_ball(case: str) -> Vehicle:
    """The van with its pitman ball elsewhere."""
    return replace(vehicle(NAME), points={**vehicle(NAME).points, "pitman-ball": BALLS[case]})


@pytest.mark.parametrize(
    ("case", "rise", "degrees"),
    [
        ("as built", -40.0, 0.18),
        ("as built", 40.0, -0.35),
        ("60 mm too low", -40.0, -1.07),
        ("60 mm too low", 40.0, 0.91),
        ("on the arc", -40.0, 0.0),
        ("on the arc", 40.0, 0.0),
    ],
)
def test_the_drag_link_steers_both_wheels_as_the_axle_rises(case: str, rise: float, degrees: float) -> None:
    """The axle moves on an arc, three quarters of the front half of its leaf long: rule of thumb, from memory.

    Drag link and arc differ as the pitman ball lies; toe stays, for the tie rod is one piece.
    """
    before, after = steer(with_ball(case), 0.0), steer(with_ball(case), rise)
    left, right = (now - then for now, then in zip(after, before, strict=True))
    assert left == pytest.approx(degrees, abs=0.17)
    assert left == pytest.approx(right, abs=0.05)


def test_dual_wheels_stand_on_one_tire_of_twice_the_rate() -> None:
    whole = vehicle(NAME)
    assert whole.of_end("tire_vertical_N_per_mm", "rear") == 2.0 * whole.of_end("tire_vertical_N_per_mm", "front")
    tire = next(e for e in held(NAME, "wheels").mechanism.elements if e.name == "rear-tire-left")
    assert tire.stiffness[2] == 1500.0  # type: ignore[union-attr]


def shown_by(check: str, support: str, joint: str, worn_mm: float) -> float:
    """Free travel [mm] at a right joint worn across by so much, in a check of the catalogue."""
    state = held(NAME, support)
    prepared = prepare_held(vehicle(NAME), state, Setup(check, support, "right", "held", "off", 0.0))
    clearances = specimen(NAME).clearances(vehicle(NAME), {(joint, "radial"): worn_mm})
    answers = [answer_stroke(stroke, clearances).movements for stroke in prepared.strokes]
    return next(float(movements[joint].free) for movements in answers if joint in movements)


def test_a_pair_of_wheels_is_lifted_with_more_than_its_weight_so_that_the_bearing_shows() -> None:
    """Two wheels of one side weigh more than the bar lifts on a car; common practice, no source."""
    (lifted,) = (stroke for stroke in check_on(vehicle(NAME), "rear-shake", "right").strokes if stroke.id == "lift")
    weight = GRAVITY * next(body.mass for body in vehicle(NAME).layout.bodies if body.id == "rear-hub")
    assert 900.0 < weight < lifted.force < 1.5 * weight
    (light,) = (s for s in check_on(vehicle("yard-pickup"), "rear-shake", "right").strokes if s.id == "lift")
    assert light.force == 900.0
    assert shown_by("rear-shake", "axle", "rear-wheel-bearing-right", 0.6) == pytest.approx(0.6, rel=0.1)


@pytest.mark.parametrize("part", ["front-leaf-shackle-lower-bushing", "front-leaf-front-eye-bushing"])
def test_a_leafs_bushing_shows_its_play_with_the_weight_off_and_hides_it_under_it(part: str) -> None:
    """Pried with the axle hanging the eye is loose, on the spring's load it gives only; common practice, no source."""
    hanging, loaded = (shown_by("leaf-pry", support, f"{part}-right", 3.0) for support in ("frame", "axle"))
    assert hanging > 0.9 * 3.0
    assert loaded < 0.1 * 3.0
