"""Struts, a rack and a twist beam: what carries, what hides, what turns.

Effects of the trade: common practice, no source. Figures: proportions from memory, computed from the points.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.mechanics.bodies import rotation_vector
from looseends.mechanics.model import Force, Poses
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.other_vehicles import (
    UP,
    held,
    joint_force,
    preload,
    seen,
    shake_126,
    specimen,
    spring_force,
    vehicle,
)

NAME = "harbour-runabout"


@pytest.mark.parametrize("side", SIDES)
def test_standing_the_mount_carries_the_coil_and_the_ball_joint_only_guides(side: Side) -> None:
    state = held(NAME, "wheels")
    coil, mount, ball = (
        spring_force(state, f"coil-{side}"),
        joint_force(state, f"strut-mount-{side}"),
        joint_force(state, f"lower-follower-ball-joint-{side}"),
    )
    # The strut pushes the mount up against the frame.
    assert -mount[2] == pytest.approx(coil, rel=0.02)
    assert abs(ball[2]) < 0.1 * coil
    assert float(np.linalg.norm(ball[:2])) < 0.3 * coil


@pytest.mark.parametrize("side", SIDES)
def test_standing_the_struts_lean_presses_the_mount_sideways(side: Side) -> None:
    """About 1.04 kN at the strut's top across the vehicle. The mount's axes lie along the strut: turn them upright."""
    state = held(NAME, "wheels")
    mount = next(e for e in state.mechanism.elements if e.name == f"strut-mount-{side}")
    axes = mount.axes  # type: ignore[union-attr]
    across = float(abs((axes @ joint_force(state, f"strut-mount-{side}"))[1]))
    assert across == pytest.approx(1040.0, rel=0.12)


@pytest.mark.parametrize("side", SIDES)
def test_hanging_the_strut_is_drawn_out_and_holds_its_coil_in_itself(side: Side) -> None:
    """The coil keeps 3753 - 23.2 · 0.951 · 85 = 1.9 kN, none of it on the mount, which holds the wheel's weight."""
    state = held(NAME, "frame")
    assert state.stop_gaps[f"rebound-stop-{side}"] < 0.0
    assert spring_force(state, f"coil-{side}") == pytest.approx(1900.0, rel=0.12)
    assert 150.0 < joint_force(state, f"strut-mount-{side}")[2] < 400.0


@pytest.mark.parametrize("side", SIDES)
def test_the_ball_joints_play_shows_hanging_and_hides_on_an_arm_stand(side: Side) -> None:
    joint = f"lower-follower-ball-joint-{side}"
    hanging, under = (
        seen(NAME, held(NAME, support), shake_126(side), {(joint, "radial"): 1.5}, joint=(joint, "radial"))
        for support in ("frame", "arm")
    )
    assert hanging.total == pytest.approx(1.5, rel=0.1)
    # The rubber of arm and mount takes some of the dead zone away.
    assert 1.0 < hanging.free < 1.55
    assert under.free < 0.1
    # There the strut presses the knuckle onto the joint with more than the corner's spring force.
    assert joint_force(held(NAME, "arm"), joint)[2] > 3753.0


def test_a_worn_rod_guide_lets_the_top_of_the_wheel_wander_while_the_ball_joint_is_still() -> None:
    worn, state = {("strut-rod-guide-left", "radial"): 1.5}, held(NAME, "frame")
    top = seen(NAME, state, shake_126("left"), worn, point=("hub-left", "tread-top-left"))
    sound = seen(NAME, state, shake_126("left"), {}, point=("hub-left", "tread-top-left"))
    guide = seen(NAME, state, shake_126("left"), worn, joint=("strut-gland-left", "radial"))
    ball = seen(NAME, state, shake_126("left"), worn, joint=("lower-follower-ball-joint-left", "radial"))
    assert guide.free == pytest.approx(1.5, rel=0.07)
    assert top.free > sound.free + 1.5
    assert ball.free < 0.2


def turned(poses: Poses, body: str) -> float:
    """How far [deg] a body has turned about the left strut's line."""
    along = vehicle(NAME).point("strut-top-left") - vehicle(NAME).point("strut-lower-left")
    return float(np.degrees(rotation_vector(poses[body].rotation) @ along / np.linalg.norm(along)))


def test_the_coils_plate_turns_with_the_steering_and_the_rods_nut_does_not() -> None:
    setup = Setup("", "frame", None, "free", "off", 0.0)
    mechanism = build_mechanism(vehicle(NAME), specimen(NAME), setup, preload(NAME))
    straight = settle(mechanism).poses
    push = Force("rack", vehicle(NAME).point("rack-pinion"), np.array([0.0, 1500.0, 0.0]))
    steered = settle(mechanism, forces=(push,), tolerance=1e-4).poses
    knuckle, plate, rod = (
        turned(steered, f"{body}-left") - turned(straight, f"{body}-left")
        for body in ("knuckle", "strut-mount", "strut")
    )
    assert abs(knuckle) > 2.0
    assert plate == pytest.approx(knuckle, rel=0.1)
    assert abs(rod) < 0.15 * abs(knuckle)


def test_a_turn_of_the_pinion_moves_the_rack_by_its_lead() -> None:
    """48 mm a turn: what the rim's hold lets through of a push at the rack."""
    setup = Setup("", "frame", None, "free", "off", 0.0)
    mechanism = build_mechanism(vehicle(NAME), specimen(NAME), setup, preload(NAME))
    poses = [
        settle(mechanism, forces=(Force("rack", vehicle(NAME).point("rack-pinion"), np.array([0.0, f, 0.0])),)).poses
        for f in (-500.0, 500.0)
    ]
    shifts = [p["rack"].shift[1] - p["rack-housing"].shift[1] for p in poses]
    axis = vehicle(NAME).point("box-input") - vehicle(NAME).point("box-input-front")
    turns = [rotation_vector(p["steering-input"].rotation) @ axis / np.linalg.norm(axis) for p in poses]
    lead = (shifts[1] - shifts[0]) / (turns[1] - turns[0]) * 2.0 * np.pi
    # Turned to the right, which is against the axis toward the driver, the rack behind the axle goes to the left.
    assert -lead == pytest.approx(48.0, rel=0.03)


def rear_rate(sign: float) -> float:
    """Rate [N/mm] of a rear wheel with its tire on firm bushings, both wheels pushed alike (+1) or against each other.

    Held at ride height.
    """
    firm = {
        name: replace(values, radial_stiffness=2e5, axial_stiffness=2e5) if "twist-beam" in name else values
        for name, values in specimen(NAME).values.items()
    }
    setup = Setup("", "ride", None, "held", "off", 0.0)
    mechanism = build_mechanism(vehicle(NAME), Specimen(firm), setup, preload(NAME))
    rises = []
    for load in (-300.0, 300.0):
        pushes = tuple(
            Force(f"rear-hub-{side}", vehicle(NAME).point(f"rear-wheel-center-{side}"), factor * load * UP)
            for side, factor in zip(SIDES, (1.0, sign), strict=True)
        )
        rises.append(settle(mechanism, forces=pushes).poses["rear-hub-left"].shift[2])
    return float(600.0 / (rises[1] - rises[0]))


def lever(point: str) -> float:
    """Distance [mm] in plan of a point from the line through the left bushing and the middle of the member."""
    bushing, middle = (vehicle(NAME).point(name)[:2] for name in ("twist-beam-bushing-left", "twist-beam-middle"))
    (x, y), (a, b) = bushing - middle, vehicle(NAME).point(point)[:2] - middle
    return float(abs(x * b - y * a) / np.hypot(x, y))


def test_wheels_that_move_against_each_other_twist_the_beam_about_a_line_through_its_middle() -> None:
    """Each half turns about the line from its bushing to the member's middle, for the member does not bend.

    Moved alike, both turn about the line through the bushings. So the coil has another lever, and the member's torsion,
    G J / L of twice the turn about its own line, comes in.
    """
    whole = vehicle(NAME)
    torsion = whole.numbers["member_torsion_N_mm2"] / 1120.0
    bushing = whole.point("twist-beam-bushing-left") - whole.point("twist-beam-middle")
    along = bushing[1] / np.hypot(*bushing[:2])
    wheel, coil = lever("rear-wheel-center-left"), lever("rear-spring-lower-left")
    member = 2.0 * torsion * (along / wheel) ** 2
    coils = whole.numbers["rear_coil_N_per_mm"] * ((coil / wheel) ** 2 - (365.0 / 405.0) ** 2)
    assert rear_rate(-1.0) - rear_rate(1.0) == pytest.approx(member + coils, rel=0.15)
