"""Patterns of tire wear that are expected: only where the angle is computed and the catalogue names the part."""

from __future__ import annotations

from math import degrees

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.consequences.patterns import ExpectedPattern, expected_patterns, load_tire_signs
from looseends.diagnosis.consequences.road import road_effects
from looseends.diagnosis.consequences.road_cases import load_road_cases
from looseends.diagnosis.consequences.wear import known
from tests.diagnosis.consequences.pickup_wear import BEARING, FOLLOWER, IDLER, ROD, effects, radial, road, wheel


def expected(**worn_mm: float) -> dict[tuple[str, str], ExpectedPattern]:
    """Patterns by pattern and place for radial wear [mm], all load cases run."""
    roads = [road(case) for case in load_road_cases()]
    cases = known(radial(**worn_mm))
    found = expected_patterns(roads, [road_effects(each, cases) for each in roads], cases)
    return {(one.pattern.id, one.where): one for one in found}


def test_exact_a_rod_end_may_feather_its_own_tire_and_no_other() -> None:
    found = expected(outer_tie_rod_end_left=2.0)
    assert ("feathered", "left front tire") in found
    assert ("feathered", "right front tire") not in found
    assert found["feathered", "left front tire"].parts == (ROD,)
    assert found["feathered", "left front tire"].weight == "strong"


def test_exact_the_angle_told_is_the_largest_of_its_load_cases() -> None:
    one = expected(outer_tie_rod_end_left=2.0)["feathered", "left front tire"]
    angles = [abs(degrees(wheel(effects(case, outer_tie_rod_end_left=2.0)).toe.added)) for case in load_road_cases()]
    assert abs(one.angle_deg) == pytest.approx(max(angles))


def test_exact_toe_in_that_stands_speaks_for_outer_shoulders_and_not_inner_ones() -> None:
    found = {pattern for pattern, _ in expected(outer_tie_rod_end_left=2.0)}
    assert "outer-both-fronts" in found
    assert "inner-both-fronts" not in found


def test_exact_a_follower_that_lets_the_wheel_lean_may_wear_one_side() -> None:
    assert ("one-side-one-wheel", "left front tire") in expected(upper_ball_joint_left=2.5)


def test_exact_a_part_that_does_nothing_to_the_angle_is_not_named_though_the_catalogue_means_it() -> None:
    """The catalogue means the idler by feathered ribs; on this linkage it does not move the toe."""
    assert expected(idler_arm=2.0) == {}
    assert expected(idler_arm=2.0, outer_tie_rod_end_left=2.0)["feathered", "left front tire"].parts == (ROD,)


def test_exact_a_part_that_the_catalogue_does_not_mean_is_not_named_though_it_does_something() -> None:
    """The gear lets both wheels steer in a curve; no pattern names it."""
    assert abs(degrees(wheel(effects("cornering", steering_gear=2.0)).toe.added)) > 0.1
    assert expected(steering_gear=2.0) == {}


def test_exact_little_wear_is_not_spoken_of() -> None:
    assert expected(outer_tie_rod_end_left=0.2) == {}
    assert expected() == {}


def test_exact_every_sign_names_a_cause_that_the_model_has() -> None:
    """Signs whose pattern points to no joint at all could never be told."""
    kinds = {part.kind.id for part in road("straight").vehicle.wearable} | {"twist-beam-bushing"}
    groups = {part.kind.group for part in road("straight").vehicle.wearable}
    for sign in load_tire_signs().values():
        pattern = load_catalogue().wear_patterns[sign.pattern]
        assert any(set(cause.points_to) & (kinds | groups) for cause in pattern.causes), sign.id


def test_the_parts_of_these_tests_are_on_the_pickup() -> None:
    assert {BEARING, FOLLOWER, IDLER, ROD} <= set(road("straight").vehicle.parts)
