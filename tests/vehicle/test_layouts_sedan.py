"""Double arms with the coil on the lower arm: which support shows the carrier, and how far inboard a stand may sit.

Effects of the trade: common practice, no source. Figures: proportions from memory, computed from the points.
"""

from __future__ import annotations

import pytest

from looseends.catalogue.types import Axis
from looseends.mechanics.settle import contact_gaps, settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import Preload
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.other_vehicles import (
    held,
    joint_force,
    lift,
    seen,
    shake_126,
    specimen,
    spring_force,
    vehicle,
    wheel_drop,
    without_rubber_torsion,
)

NAME, MOTION_RATIO = "pilots-sedan", 0.489
FREE = without_rubber_torsion(vehicle(NAME))


def free_preload() -> Preload:
    """Preload of the vehicle whose rubber turns freely."""
    return carrying_preload(FREE, specimen(NAME))


def on_stand(inboard_mm: float) -> tuple[float, float]:
    """How far [mm] the left wheel stands below ride on a stand so far inboard, and the gap [mm] at the rebound stop."""
    setup = Setup("", "arm", None, "held", "off", inboard_mm)
    mechanism = build_mechanism(FREE, specimen(NAME), setup, free_preload())
    poses = settle(mechanism).poses
    center = FREE.point("wheel-center-left")
    below = poses["frame"].point(center)[2] - poses["hub-left"].point(center)[2]
    return float(below), contact_gaps(mechanism, poses)["rebound-stop-left"]


@pytest.mark.parametrize("side", SIDES)
def test_hanging_the_coil_still_pushes_the_wheel_with_2_4_kilonewtons_onto_the_stop(side: Side) -> None:
    state = held(NAME, "frame")
    assert spring_force(state, f"coil-{side}") * MOTION_RATIO == pytest.approx(2400.0, rel=0.05)
    # What the coil pushes reaches the stop of the upper arm through both ball joints.
    assert state.stop_gaps[f"rebound-stop-{side}"] < 0.0
    for joint in (f"lower-ball-joint-{side}", f"upper-ball-joint-{side}"):
        assert abs(joint_force(state, joint)[2]) > 2400.0


@pytest.mark.parametrize("axis", ["radial", "axial"])
@pytest.mark.parametrize("side", SIDES)
def test_the_carriers_play_shows_under_the_arm_and_hides_hanging(side: Side, axis: Axis) -> None:
    joint, push = f"lower-ball-joint-{side}", shake_126(side) if axis == "radial" else lift(side, 600.0)
    worn = {(joint, axis): 1.5}
    under = seen(NAME, held(NAME, "arm"), push, worn, joint=(joint, axis))
    hanging = seen(NAME, held(NAME, "frame"), push, worn, joint=(joint, axis))
    assert under.free == pytest.approx(1.5, rel=0.05)
    assert hanging.free < 0.05
    assert hanging.total < 0.3


def test_a_dial_at_the_tire_reads_more_than_the_ball_joint_has() -> None:
    """Rocking about the upper joint: the tread's lever over the knuckle's, (455 - (-15)) / (455 - 215) = 1.96."""
    worn = {("lower-ball-joint-left", "radial"): 1.5}
    state = held(NAME, "arm")
    tread, sound = (
        seen(NAME, state, shake_126("left"), w, point=("hub-left", "tread-bottom-left")) for w in (worn, {})
    )
    assert tread.total - sound.total == pytest.approx(1.5 * 1.96, rel=0.12)


@pytest.mark.parametrize(("inboard", "below"), [(0.0, 5.5), (60.0, 40.0)])
def test_a_stand_further_inboard_lets_the_arm_drop(inboard: float, below: float) -> None:
    """Balance of moments about the arm's pivots, with the spring alone. At the joint the knuckle's own weight shows."""
    drop, gap = on_stand(inboard)
    assert drop == pytest.approx(below, abs=2.0)
    assert gap > 5.0


def test_the_stop_is_reached_with_the_stand_about_138_millimetres_inboard() -> None:
    """From there on the joint is locked again. The stop's gap decides: here it touches some millimetres above droop."""
    assert on_stand(120.0)[1] > 0.0
    assert on_stand(145.0)[1] < 0.0


def test_without_its_damper_the_linkage_has_neither_its_part_nor_its_line() -> None:
    whole = vehicle(NAME)
    assert not [name for name in whole.parts if "damper" in name]
    assert "steering damper" not in {line.name for line in whole.layout.lines}
    assert wheel_drop(NAME, held(NAME, "wheels"), "left") == pytest.approx(0.0, abs=0.3)
