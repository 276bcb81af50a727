"""Lash at the steering wheel's rim, from what is lost anywhere between tires and rim, worked by hand.

The rim of radius r turns the input of a gear of ratio i, and that an arm of length a. What is lost at the arm's tip, c
as total travel, is c / a at the sector, i times as much at the input, and r times that along the rim:

    lash = c i r / a

With 16, 197 mm and 150 mm that is 21 mm at the rim per millimetre at the tip. Limits: 49 CFR 570.7(a), 2 inches for
rims of 16 inches or less; 49 CFR 393.209(b), 51 mm by hand and 108 mm with assistance for the same rims.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.limits import speaks_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import PreparedCheck, nominal_preload, prepare_check
from tests.vehicle.front_end import movement, no_clearance_anywhere, nominal, prepared, shaken, yard_pickup

RATIO, ARM_MM, RIM_RADIUS_MM, COUPLING_AT_MM = 16.0, 150.0, 197.0, 20.0
PER_MM = RATIO * RIM_RADIUS_MM / ARM_MM
BY_HAND = 0.01
Worn = Mapping[tuple[str, Axis], float]


HARD_N = 30.0
"""Push of each hand that opens rod ends which the weight on the wheels presses shut."""


def lash(worn: Worn, force: float | None = None) -> float:
    """Free travel [mm] along the rim, wheels on the floor, every joint without clearance but these."""
    check = prepared("lash", "wheels", None, force=force)
    return movement(shaken(check, no_clearance_anywhere() | dict(worn)), "rim").free


def test_the_lever_is_21_millimetres_at_the_rim_per_millimetre_at_the_arm() -> None:
    numbers = yard_pickup().numbers
    assert (numbers["gear_ratio"], numbers["pitman_arm_mm"]) == (RATIO, ARM_MM)
    assert numbers["rim_diameter_mm"] == 2.0 * RIM_RADIUS_MM
    assert pytest.approx(21.0, abs=0.05) == PER_MM


def test_a_steering_without_clearance_has_no_lash_though_the_rim_springs() -> None:
    rim = movement(shaken(prepared("lash", "wheels", None), no_clearance_anywhere()), "rim")
    assert rim.total > 5.0
    assert rim.free == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("lost_mm", [0.5, 1.0, 2.4])
def test_lash_of_the_gear_shows_at_the_rim_by_ratio_and_levers(lost_mm: float) -> None:
    assert lash({("steering-gear", "radial"): lost_mm}) == pytest.approx(lost_mm * PER_MM, rel=BY_HAND)


@pytest.mark.parametrize("lost_mm", [1.0, 2.4])
def test_a_loose_pitman_ball_shows_at_the_rim_like_the_gear(lost_mm: float) -> None:
    """Its play across the stud lies along the arm's swing; the link's own weight presses it down a little."""
    assert lash({("pitman-ball", "radial"): lost_mm}) == pytest.approx(lost_mm * PER_MM, rel=0.03)


@pytest.mark.parametrize("lost_mm", [0.4, 1.0])
def test_lash_of_the_coupling_shows_at_the_rim_by_its_radius(lost_mm: float) -> None:
    by_hand = lost_mm * RIM_RADIUS_MM / COUPLING_AT_MM
    assert lash({("steering-coupling", "radial"): lost_mm}) == pytest.approx(by_hand, rel=BY_HAND)


@pytest.mark.parametrize("part", ["outer-tie-rod-end", "inner-tie-rod-end"])
def test_the_same_lost_at_both_wheels_counts_whole_and_at_one_wheel_half(part: str) -> None:
    """Both tires hold alike. With one rod end loose by c, T = k θ + k (θ - c/2): half of c is left between the ends."""
    lost_mm = 2.0
    both = lash({(f"{part}-{side}", "radial"): lost_mm for side in ("left", "right")}, HARD_N)
    one = lash({(f"{part}-left", "radial"): lost_mm}, HARD_N)
    assert both == pytest.approx(lost_mm * PER_MM, rel=0.03)
    assert one == pytest.approx(0.5 * both, rel=0.05)


def weight_on_a_rod() -> float:
    """Force [N] with which a front tire's load presses its tie rod, by hand.

    The load stands upright at the middle of the tire's contact, beside the steering axis; its moment about that axis is
    held by the rod at the steering arm's lever.
    """
    vehicle = yard_pickup()
    lower, upper, rod = (
        vehicle.point(f"{name}-left") for name in ("lower-ball-joint", "upper-ball-joint", "tie-rod-outer")
    )
    axis = (upper - lower) / np.linalg.norm(upper - lower)
    load = np.array([0.0, 0.0, vehicle.numbers["front_corner_kg"] * GRAVITY])
    along = vehicle.point("tie-rod-inner-left") - rod
    moment = np.cross(vehicle.point("tire-contact-left") - lower, load) @ axis
    return float(abs(moment / (np.cross(rod - lower, along / np.linalg.norm(along)) @ axis)))


def test_the_weight_on_the_wheels_shuts_loose_rod_ends_until_the_rim_is_turned_harder() -> None:
    """Two hands of F newtons each turn the input by F d, i times as much the sector; each rod feels half of it.

    The ends open once that is more than the weight presses them with.
    """
    opens = 2.0 * weight_on_a_rod() * ARM_MM / (RATIO * 2.0 * RIM_RADIUS_MM)
    both: Worn = {(f"outer-tie-rod-end-{side}", "radial"): 2.0 for side in ("left", "right")}
    assert 8.0 < opens < 15.0
    assert lash(both, 0.5 * opens) == pytest.approx(0.0, abs=0.05)
    assert lash(both, 1.5 * opens) == pytest.approx(2.0 * PER_MM, rel=0.03)


def test_what_is_lost_in_line_adds_up() -> None:
    worn: Worn = {("steering-gear", "radial"): 1.0, ("steering-coupling", "radial"): 1.0}
    assert lash(worn) == pytest.approx(PER_MM + RIM_RADIUS_MM / COUPLING_AT_MM, rel=BY_HAND)


@pytest.mark.parametrize(
    ("limit_id", "value_mm"), [("us-570-7a-lash-16", 50.8), ("us-wa-lash-16", 50.8), ("us-393-209b-lash-manual-16", 51)]
)
def test_two_inches_at_the_rim_are_two_and_four_tenths_millimetres_lost_at_the_arm(
    limit_id: str, value_mm: float
) -> None:
    limit = load_catalogue().limits[limit_id]
    assert (limit.value_mm, limit.compares, limit.watch, limit.supports) == (
        value_mm,
        "free travel",
        "rim",
        ("wheels",),
    )
    assert lash({("steering-gear", "radial"): 2.4}) < value_mm < lash({("steering-gear", "radial"): 2.5})


def test_with_assistance_the_commercial_limit_is_five_millimetres_at_the_arm() -> None:
    limit = load_catalogue().limits["us-393-209b-lash-power-16"]
    assert limit.value_mm == 108.0
    assert lash({("steering-gear", "radial"): 5.1}) < limit.value_mm < lash({("steering-gear", "radial"): 5.2})


def test_the_pickup_is_judged_by_its_own_rim_and_its_own_assistance() -> None:
    judged = ("us-federal", "us-wa", "us-fmcsa")
    limits = [
        limit.id for limit in load_catalogue().limits.values() if limit.watch == "rim" and limit.jurisdiction in judged
    ]
    mine = [name for name in limits if speaks_of(load_catalogue().limits[name], yard_pickup())]
    assert sorted(mine) == ["us-393-209b-lash-power-16", "us-570-7a-lash-16", "us-wa-lash-16"]


def held_input() -> PreparedCheck:
    """The box input turned by hand below the coupling, nobody at the steering wheel."""
    setup = Setup("gear-lash", "wheels", None, "free", "off", 0.0)
    return prepare_check(yard_pickup(), nominal(), setup, nominal_preload("yard-pickup"))


def test_at_the_input_gear_lash_shows_and_coupling_lash_does_not() -> None:
    """The input moves i / a of what the gear has lost, at 20 mm from its line; the coupling is above the hand."""
    check = held_input()
    free = {
        part: movement(shaken(check, no_clearance_anywhere() | {(part, "radial"): 1.0}), "input").free
        for part in ("steering-gear", "steering-coupling")
    }
    assert free["steering-gear"] == pytest.approx(RATIO / ARM_MM * COUPLING_AT_MM, rel=BY_HAND)
    assert free["steering-coupling"] == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("part", ["steering-gear", "steering-coupling"])
def test_each_shows_where_it_is(part: str) -> None:
    other = {"steering-gear": "steering-coupling", "steering-coupling": "steering-gear"}[part]
    shown = shaken(prepared("dry-park", "wheels", None), no_clearance_anywhere() | {(part, "radial"): 1.0})
    assert movement(shown, part).free == pytest.approx(1.0, rel=0.02)
    assert movement(shown, other).free == pytest.approx(0.0, abs=0.02)


def test_the_gear_is_tight_over_its_high_point_only() -> None:
    sound = nominal().clearances(yard_pickup(), {})["gear-mesh"].radial
    lashes = [
        nominal().clearances(yard_pickup(), {}, steered_rad=np.radians(angle))["gear-mesh"].radial
        for angle in (-540, -30, 30, 120, 540)
    ]
    assert lashes == pytest.approx([sound + 0.9, sound, sound, sound + 0.2, sound + 0.9])


def test_on_turn_plates_the_rim_meets_hardly_any_load() -> None:
    """Why a dry floor is asked for: common practice, no source. Plates leave a hundredth of the floor's hold."""
    floor, plates = (
        movement(shaken(prepared("dry-park", support, None), no_clearance_anywhere()), "rim").total
        for support in ("wheels", "plates")
    )
    assert plates > 20.0 * floor


def test_a_worn_column_bearing_shows_when_the_rim_is_lifted_and_adds_no_lash() -> None:
    worn = no_clearance_anywhere() | {("column-bearing", "radial"): 1.0}
    shown = shaken(prepared("lash", "wheels", None), worn)
    assert movement(shown, "column-bearing").free == pytest.approx(1.0, rel=0.1)
    assert movement(shown, "rim").free < 1.0


def test_a_box_that_is_loose_on_its_rail_is_felt_there_and_not_taken_for_the_gear() -> None:
    worn = no_clearance_anywhere() | {("steering-box-mount", "axial"): 1.0}
    shown = shaken(prepared("dry-park", "wheels", None), worn)
    assert movement(shown, "steering-box-mount.axial").free > 0.5
    assert movement(shown, "steering-gear").free < 0.05
    assert movement(shown, "rim").free > 5.0
