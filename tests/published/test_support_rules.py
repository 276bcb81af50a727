"""Where to lift, so that a ball joint is loaded or unloaded: three published rules, on the model.

US Navy training manual 14050 (Construction Mechanic), chapter 12: to measure the play of the load-carrying joint of a
vehicle with its spring on the lower arm, jack under the lower arm; its axial play is worked with a bar under the tire,
its radial play by pushing the top and pulling the bottom of the wheel.
Quebec, C-24.2, r. 32, s. 112: lift so that the joint under test is free of its load.
Missouri, 11 CSR 50-2.200(2), text current to September 2024: to load the ball joints of a vehicle with a spring or a
torsion bar on the lower arm, lift at the frame.
Left out: vehicles with the spring on the upper arm, and joints with a wear indicator, which this layout has not.
"""

from __future__ import annotations

import pytest

from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Worn
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.front_end import force_at_rest, movement, prepared, shaken, yard_pickup

WORN_MM = 1.5
NOTHING_MM = 0.15


def corner_weight() -> float:
    """Weight that one front wheel carries on the road [N]."""
    return yard_pickup().numbers["front_corner_kg"] * GRAVITY


def hanging_weight() -> float:
    """Weight of what the unloaded joint still carries, the wheel with its knuckle and hub [N]."""
    mass = {body.id: body.mass or 0.0 for body in yard_pickup().layout.bodies}
    return (mass["knuckle"] + mass["hub"]) * GRAVITY


def carrier_force(support: str, side: Side) -> float:
    """Force in the lower ball joint before the bar lifts [N]."""
    return force_at_rest(prepared("bj-axial", support, side), f"lower-ball-joint-{side}")


@pytest.mark.parametrize("side", SIDES)
def test_navy_14050_a_jack_under_the_lower_arm_unloads_the_carrier(side: Side) -> None:
    assert carrier_force("arm", side) == pytest.approx(hanging_weight(), rel=0.1)
    assert carrier_force("arm", side) < 0.1 * corner_weight()


@pytest.mark.parametrize("side", SIDES)
def test_navy_14050_a_bar_under_the_tire_then_shows_the_play_along_the_stud(side: Side) -> None:
    part = f"lower-ball-joint-{side}"
    shown = movement(shaken(prepared("bj-axial", "arm", side), {(part, "axial"): WORN_MM}), part)
    assert shown.free == pytest.approx(WORN_MM, rel=0.1)


@pytest.mark.parametrize("side", SIDES)
def test_navy_14050_top_and_bottom_of_the_wheel_then_show_the_play_across_the_stud(side: Side) -> None:
    part = f"lower-ball-joint-{side}"
    shown = movement(shaken(prepared("wheel126", "arm", side), {(part, "radial"): WORN_MM}), part)
    assert shown.free == pytest.approx(WORN_MM, rel=0.1)


@pytest.mark.parametrize("side", SIDES)
def test_quebec_112_only_supports_that_free_the_carrier_show_its_play(side: Side) -> None:
    """Freed: what is left in the joint is no more than the hanging wheel; shown exactly there."""
    part = f"lower-ball-joint-{side}"
    for support in ("frame", "arm", "ride", "wheels"):
        freed = carrier_force(support, side) < 1.2 * hanging_weight()
        shown = movement(shaken(prepared("bj-axial", support, side), {(part, "axial"): WORN_MM}), part).total
        assert (shown > 0.85 * WORN_MM) == freed
        assert (shown < NOTHING_MM) == (not freed)


@pytest.mark.parametrize("side", SIDES)
def test_missouri_50_2_200_lifting_at_the_frame_loads_both_ball_joints(side: Side) -> None:
    check = prepared("bj-axial", "frame", side)
    for joint in ("lower", "upper"):
        assert force_at_rest(check, f"{joint}-ball-joint-{side}") > 0.5 * corner_weight()


@pytest.mark.parametrize("side", SIDES)
def test_missouri_50_2_200_loaded_ball_joints_add_no_play_to_the_linkage_reading(side: Side) -> None:
    check = prepared("wheel39", "frame", side)
    worn: Worn = {(f"lower-ball-joint-{side}", "radial"): WORN_MM, (f"lower-ball-joint-{side}", "axial"): WORN_MM}
    assert movement(shaken(check, worn), "tread").free == pytest.approx(movement(shaken(check), "tread").free, abs=0.3)
