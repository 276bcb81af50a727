"""Where the weight comes to the knuckle, and what its joints carry in each support, on every vehicle.

What carries, which support takes the load off it and what the wrong one does: common practice, no source; that hanging
at the frame loads the joints where the spring is on the lower arm, and a stand under that arm does not, is also what
11 CSR 50-2.200 says. The figures were worked by hand from each vehicle's geometry.
"""

from __future__ import annotations

import pytest

from looseends.vehicle.load_path import JointLoad, carrier, follower, joint_load
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.stored_spring import danger, dangers, spring_kind, stored_force
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.other_vehicles import held, vehicle

CARRIERS = {
    "yard-pickup": "lower-ball-joint",
    "pilots-sedan": "lower-ball-joint",
    "harbour-runabout": "strut-mount-bearing",
    "crew-van": "king-pin-thrust-bearing",
}
FOLLOWERS = {
    "yard-pickup": "upper-ball-joint",
    "pilots-sedan": "upper-ball-joint",
    "harbour-runabout": "lower-follower-ball-joint",
}
UNLOADED = "HU"


def load(name: str, support: str, part: str, side: str = "left") -> JointLoad:
    return joint_load(vehicle(name), held(name, support), vehicle(name).parts[f"{part}-{side}"])


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize(("name", "part"), CARRIERS.items())
def test_the_load_path_leads_to_the_carrier(name: str, part: str, side: str) -> None:
    assert carrier(vehicle(name), held(name, "wheels"), side).id == f"{part}-{side}"


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize(("name", "part"), FOLLOWERS.items())
def test_the_other_ball_joint_follows(name: str, part: str, side: str) -> None:
    assert follower(vehicle(name), held(name, "wheels"), side).id == f"{part}-{side}"


@pytest.mark.parametrize(
    ("name", "part", "support", "state"),
    [
        ("yard-pickup", "lower-ball-joint", "wheels", "L"),
        ("yard-pickup", "lower-ball-joint", "frame", "R"),
        ("yard-pickup", "lower-ball-joint", "arm", "H"),
        ("yard-pickup", "upper-ball-joint", "wheels", "L"),
        ("yard-pickup", "upper-ball-joint", "frame", "R"),
        ("yard-pickup", "upper-ball-joint", "arm", "U"),
        ("pilots-sedan", "lower-ball-joint", "wheels", "L"),
        ("pilots-sedan", "lower-ball-joint", "frame", "R"),
        ("pilots-sedan", "lower-ball-joint", "arm", "H"),
        ("pilots-sedan", "upper-ball-joint", "wheels", "L"),
        ("pilots-sedan", "upper-ball-joint", "frame", "R"),
        ("pilots-sedan", "upper-ball-joint", "arm", "U"),
        ("harbour-runabout", "strut-mount-bearing", "wheels", "L"),
        ("harbour-runabout", "lower-follower-ball-joint", "wheels", "L"),
        ("harbour-runabout", "lower-follower-ball-joint", "frame", "U"),
        ("harbour-runabout", "lower-follower-ball-joint", "arm", "L"),
        ("crew-van", "king-pin-thrust-bearing", "wheels", "L"),
        ("crew-van", "king-pin-thrust-bearing", "frame", "H"),
        ("crew-van", "king-pin-thrust-bearing", "axle", "H"),
    ],
)
def test_each_support_loads_or_unloads_the_joint(name: str, part: str, support: str, state: str) -> None:
    assert load(name, support, part).state == state


@pytest.mark.parametrize(
    ("name", "part", "support"),
    [
        ("yard-pickup", "lower-ball-joint", "arm"),
        ("pilots-sedan", "lower-ball-joint", "arm"),
        ("harbour-runabout", "lower-follower-ball-joint", "frame"),
        ("crew-van", "king-pin-thrust-bearing", "axle"),
    ],
)
def test_of_floor_frame_and_stand_only_the_trades_choice_takes_the_load_off(name: str, part: str, support: str) -> None:
    """But for the van, whose axle hangs its knuckles at the frame as well; there it swings."""
    possible = {"wheels", "frame", "arm", "axle"} & {
        found for found, how in vehicle(name).layout.supports.items() if found != "axle" or how.stands
    }
    unloading = {found for found in possible if load(name, found, part).state in UNLOADED}
    assert unloading == ({"axle", "frame"} if name == "crew-van" else {support})


@pytest.mark.parametrize(("name", "force"), [("yard-pickup", 3600.0), ("pilots-sedan", 2400.0)])
def test_hanging_the_spring_presses_the_carrier_down_onto_the_upper_arms_stop(name: str, force: float) -> None:
    """Spring force at full droop at the wheel: travel times wheel rate off the sprung corner, worked by hand."""
    found = load(name, "frame", "lower-ball-joint")
    assert found.down == pytest.approx(force, rel=0.05)
    assert load(name, "frame", "upper-ball-joint").down < -found.down


@pytest.mark.parametrize("name", ["yard-pickup", "pilots-sedan"])
def test_on_a_stand_under_the_arm_the_carrier_holds_up_wheel_and_knuckle(name: str) -> None:
    """Balance of weights: the knuckle hangs on the joint, which pulls it up with about what hangs there."""
    found = load(name, "arm", "lower-ball-joint")
    assert -found.down == pytest.approx(found.hanging, rel=0.08)


@pytest.mark.parametrize(
    ("name", "spring", "least"),
    [
        ("yard-pickup", "torsion-bar", 3000.0),
        ("pilots-sedan", "coil", 4000.0),
        ("harbour-runabout", "coil-on-strut", 2000.0),
    ],
)
def test_a_spring_that_still_pushes_at_the_frame_has_its_caution(name: str, spring: str, least: float) -> None:
    state = held(name, "frame")
    found = danger(vehicle(name), state, "left")
    assert found is not None and found.spring == spring == spring_kind(vehicle(name))
    assert stored_force(vehicle(name), state, "left") > least


def test_leaves_that_hang_are_spent_and_loaded_ones_are_not() -> None:
    whole = vehicle("crew-van")
    assert danger(whole, held("crew-van", "frame"), "left") is None
    loaded = danger(whole, held("crew-van", "axle"), "left")
    assert loaded is not None and loaded.spring == "leaf"


def test_every_kind_of_spring_has_a_caution_that_defers_to_the_maker() -> None:
    assert {spring_kind(whole) for whole in load_vehicles().values()} <= {each.spring for each in dangers()}
    assert all("maker's procedure" in each.text and each.source for each in dangers())


CARRYING = [(name, "lower-ball-joint") for name in ("yard-pickup", "pilots-sedan", "customs-wagon", "beach-patrol")]
CARRYING += [(name, "upper-carrier-ball-joint") for name in ("stores-van", "line-handler")]


@pytest.mark.parametrize(("name", "part"), CARRYING)
def test_the_stud_says_how_the_carrier_bears_its_load_and_its_figure_agrees(name: str, part: str) -> None:
    """Pulled out: a joint in tension, whose own figures count; all others are pressed in."""
    figure = vehicle(name).parts[f"{part}-left"].figure
    assert figure is not None
    wanted = "pulled out" if figure.id.endswith("-tension") else "pressed in"
    assert load(name, "wheels", part).seating == wanted


def test_hanging_wheels_keep_the_ball_where_it_was_against_a_stop_on_the_arm_and_not_where_the_shock_is_the_stop() -> (
    None
):
    """The difference between an X and a P of the trade's table."""
    for name, same in (("yard-pickup", True), ("pilots-sedan", True), ("beach-patrol", False)):
        on_wheels, hanging = (load(name, support, "lower-ball-joint").seating for support in ("wheels", "frame"))
        assert (on_wheels == hanging) == same


def test_a_ball_that_carries_nothing_is_held_nowhere() -> None:
    assert load("yard-pickup", "arm", "upper-ball-joint").state == "U"
    assert load("yard-pickup", "arm", "upper-ball-joint").seating is None


def test_a_stand_under_the_arm_presses_the_knuckle_of_a_strut_onto_its_ball() -> None:
    assert load("harbour-runabout", "arm", "lower-follower-ball-joint").seating == "pressed in"


def test_off_the_load_the_wheel_hangs_on_the_other_side_of_the_socket() -> None:
    """A stand under the arm takes the spring off: the wheel's weight then pulls the ball down again."""
    on, off = (load("pilots-sedan", support, "lower-ball-joint").seating for support in ("wheels", "arm"))
    assert {on, off} == {"pulled out", "pressed in"}
