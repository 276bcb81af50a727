"""Wheels on the road against statics worked by hand."""

from __future__ import annotations

from math import degrees, radians, tan

import numpy as np
import pytest

from looseends.diagnosis.consequences.road import prepare_road, road_effects
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.consequences.rolling import road_forces, rolling_mechanism, wheel_turns
from looseends.diagnosis.consequences.wear import Case, Cases, known
from looseends.mechanics.bodies import GROUND
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.shake import nominal_preload
from tests.diagnosis.consequences.pickup_wear import (
    CARRIER,
    FOLLOWER,
    GEAR,
    ROD,
    WHEEL_RADIUS_MM,
    effects,
    lost,
    radial,
    road,
    sound_clearance,
    steering_arm_mm,
    wheel,
)
from tests.vehicle.front_end import nominal, yard_pickup

CASES = tuple(load_road_cases())
KNUCKLE_MM = 265.0
"""Between the ball joints of the drawing, along the knuckle: (8, 750, 268) to (-8.5, 704, 530)."""


def test_exact_the_steering_arm_is_154_7_millimetres() -> None:
    assert steering_arm_mm() == pytest.approx(154.7, abs=0.05)


@pytest.mark.parametrize("worn_mm", [1.0, 2.0])
def test_exact_braking_swings_the_axle_by_a_rod_ends_clearance_over_the_steering_arm(worn_mm: float) -> None:
    """The weight on the wheel holds the rod end at one side of its clearance, braking turns it over to the other,
    toward toe-out. Counted as total toe, for both rods are loaded alike and the center link floats between them."""
    front = next(axle for axle in effects("braking", outer_tie_rod_end_left=worn_mm).axles if axle.end == "front")
    assert front.total_toe.added == pytest.approx(-lost(ROD, worn_mm) / steering_arm_mm(), rel=0.03)


@pytest.mark.parametrize("worn_mm", [1.0, 2.0])
def test_exact_braking_swings_the_wheel_so_far_but_for_what_the_gear_lets_the_link_float(worn_mm: float) -> None:
    floats = sum(sound_clearance(part) for part in (GEAR, "pitman-ball", "sector-shaft-bushing"))
    added = wheel(effects("braking", outer_tie_rod_end_left=worn_mm)).toe.added
    assert added == pytest.approx(-lost(ROD, worn_mm) / steering_arm_mm(), abs=1.2 * floats / steering_arm_mm())


@pytest.mark.parametrize("worn_mm", [1.0, 2.0])
def test_exact_a_curve_either_way_swings_the_wheel_by_the_whole_clearance(worn_mm: float) -> None:
    added = wheel(effects("cornering", outer_tie_rod_end_left=worn_mm)).toe.added
    assert added == pytest.approx(lost(ROD, worn_mm) / steering_arm_mm(), rel=0.03)


@pytest.mark.parametrize("case", ["straight", "rough"])
def test_exact_a_load_too_small_to_turn_it_over_leaves_the_wheel_at_one_side_of_the_clearance(case: str) -> None:
    """Half of the clearance over the arm further toe-in, and no swing added."""
    toe = wheel(effects(case, outer_tie_rod_end_left=2.0)).toe
    assert toe.shift == pytest.approx(0.5 * lost(ROD, 2.0) / steering_arm_mm(), rel=0.06)
    assert degrees(toe.added) == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize(("part", "name"), [(CARRIER, "lower_ball_joint_left"), (FOLLOWER, "upper_ball_joint_left")])
def test_exact_play_in_either_ball_joint_tips_the_wheel_in_by_half_of_it_over_the_knuckle(part: str, name: str) -> None:
    """On its wheels the arms push the knuckle's top out of its clearance and pull its bottom in: 0.22 degrees a mm."""
    camber = wheel(effects("rough", **{name: 2.5})).camber
    assert camber.shift == pytest.approx(-0.5 * lost(part, 2.5) / KNUCKLE_MM, rel=0.2)


def test_exact_other_wheels_hardly_swing() -> None:
    right = wheel(effects("braking", outer_tie_rod_end_left=2.0), "right").toe
    assert degrees(right.added) == pytest.approx(0.0, abs=0.05)
    rear = wheel(effects("braking", outer_tie_rod_end_left=2.0), "left", "rear").toe
    assert degrees(rear.added) == pytest.approx(0.0, abs=0.001)


def test_exact_total_toe_is_both_wheels_and_its_slip_the_tangent() -> None:
    found = effects("braking", outer_tie_rod_end_left=2.0)
    front = next(axle for axle in found.axles if axle.end == "front")
    both = [wheel(found, "left").toe, wheel(found, "right").toe]
    assert front.total_toe.worn == pytest.approx(sum(toe.worn for toe in both))
    assert front.total_toe.shift == pytest.approx(sum(toe.shift for toe in both))
    assert front.slip_m_per_km(front.total_toe.worn) == pytest.approx(1000.0 * tan(front.total_toe.worn))
    assert front.slip_ft_per_mile(radians(1.0)) == pytest.approx(92.163, abs=5e-4)


def test_exact_toe_as_a_distance_is_told_across_the_tread_where_no_rim_is_known() -> None:
    left = wheel(effects("braking"))
    assert (left.diameter_mm, left.at_rim) == (2.0 * WHEEL_RADIUS_MM, False)
    assert left.toe_swing_mm(radians(1.0)) == pytest.approx(804.0 * np.sin(radians(1.0)))


@pytest.mark.parametrize("case", CASES)
def test_invariant_nothing_worn_adds_nothing(case: str) -> None:
    for found in effects(case).wheels:
        for swing in (found.toe, found.camber):
            assert (swing.added, swing.shift) == pytest.approx((0.0, 0.0), abs=1e-9)
            assert swing.worn_free == pytest.approx(swing.sound_free)


@pytest.mark.parametrize("case", ["straight", "cornering", "rough"])
def test_invariant_a_sound_vehicles_wheels_are_mirror_images(case: str) -> None:
    """A load that comes from either side does to the right wheel what it does to the left one at its other end."""
    found = effects(case)
    for end in ("front", "rear"):
        left, right = wheel(found, "left", end), wheel(found, "right", end)
        assert degrees(left.camber.sound + right.camber.sound) == pytest.approx(0.0, abs=0.01)
        assert degrees(left.toe.sound + right.toe.sound) == pytest.approx(0.0, abs=0.03)


@pytest.mark.parametrize("case", [name for name in CASES if load_road_cases()[name].body == "rides"])
def test_exact_forces_at_the_wheels_and_inertia_leave_only_what_leans_and_dives(case: str) -> None:
    """Each wheel's force stands against the body's inertia at the height h: sums vanish, the moment is F h."""
    vehicle, load_case = yard_pickup(), load_road_cases()[case]
    forces = road_forces(vehicle, load_case)
    assert np.sum([force.vector for force in forces], axis=0) == pytest.approx(np.zeros(3))
    weight = 2.0 * GRAVITY * (665.0 + 485.0)
    level = weight * np.array([load_case.along_of_load, load_case.across_of_load, 0.0])
    moment = np.sum([np.cross(force.point, force.vector) for force in forces], axis=0)
    height = vehicle.numbers["frame_center_height_mm"]
    assert moment[:2] == pytest.approx(np.cross([0.0, 0.0, -height], level)[:2])
    trail = 30.0 * level[1]
    assert abs(moment[2] + trail) <= 1e-6 * max(1.0, abs(trail))
    assert all(force.reacts_on == GROUND for force in forces)


def test_exact_a_curve_leans_the_body_as_its_springs_let_it() -> None:
    """The moment F h about the road, from F = 0.3 of the weight each way, leans it; the wheels lean with it some."""
    camber = degrees(wheel(effects("cornering")).camber.sound)
    assert -4.0 < camber < -1.0


def test_exact_rolling_tires_keep_the_upright_rate_and_a_hundredth_of_the_rest() -> None:
    vehicle, case = yard_pickup(), load_road_cases()["straight"]
    mechanism = rolling_mechanism(vehicle, nominal(), nominal_preload(vehicle.id), case)
    tire = next(element for element in mechanism.elements if element.name == "tire-left")
    assert tire.stiffness == pytest.approx([2.0, 1.6, 230.0])
    assert tire.rotational_stiffness == pytest.approx([0.0, 0.0, 6.0e4])


def test_exact_toe_in_is_positive_on_both_sides_and_so_is_a_top_that_leans_out() -> None:
    """x forward, y left, z up: a left wheel toes in by turning to the right, about -z; its top leans out about -x."""
    turns = wheel_turns(yard_pickup())
    signs = {name: ratio.terms[0].lever for name, (ratio,) in turns.items()}
    assert (signs["toe front left"], signs["toe front right"]) == (-1.0, 1.0)
    assert (signs["camber front left"], signs["camber front right"]) == (-1.0, 1.0)


def test_exact_an_average_over_cases_is_the_mean_of_their_effects() -> None:
    one, two = radial(outer_tie_rod_end_left=2.0), radial(outer_tie_rod_end_left=1.0)
    cases = Cases((Case(one, 0.25), Case(two, 0.75)), 0.8, {frozenset([ROD]): 1.0}, {ROD: 1.0}, 0.0)
    mean = wheel(road_effects(road("braking"), cases)).toe
    each = [wheel(road_effects(road("braking"), known(worn))).toe for worn in (one, two)]
    assert mean.worn == pytest.approx(0.25 * each[0].worn + 0.75 * each[1].worn)
    assert mean.shift == pytest.approx(0.25 * each[0].shift + 0.75 * each[1].shift)


@pytest.mark.slow
@pytest.mark.parametrize("vehicle_id", ["school-bus", "harbour-runabout", "guest-estate", "beach-patrol"])
def test_invariant_other_layouts_roll_too(vehicle_id: str) -> None:
    """A solid axle, a strut with a rack, a multi-link, a Haltenberger linkage: sound wheels mirror each other."""
    vehicle = load_vehicles()[vehicle_id]
    found = road_effects(prepare_road(vehicle, load_road_cases()["straight"]), known({}))
    left, right = wheel(found, "left"), wheel(found, "right")
    assert degrees(left.camber.sound + right.camber.sound) == pytest.approx(0.0, abs=0.05)
    assert abs(degrees(left.toe.sound)) < 1.0
