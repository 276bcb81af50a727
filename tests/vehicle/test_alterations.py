"""Alterations and what they change in a check: stops that close sooner, heights, the steer of a drag link.

Figures: proportions from memory, computed from the points beforehand; effects of the trade: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from looseends.errors import InputError, MechanicsError
from looseends.mechanics.rows import turn_length
from looseends.mechanics.settle import settle
from looseends.vehicle.alteration import Altered
from looseends.vehicle.altered import altered, load_effects
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, hold, preload_of, prepare_check
from looseends.vehicle.shake import shake as shake_vehicle
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.other_vehicles import vehicle_text, without_rubber_torsion
from tests.vehicle.test_layouts_van import steer

STRUTS = [("harbour-runabout", "front", ""), ("mail-hatchback", "rear", "rear-")]
CRANKED = Altered("wound-up-torsion-bar", 40.0)
FREE = Setup("", "wheels", None, "held", "off", 0.0)


def changed(name: str, *alterations: Altered) -> Vehicle:
    """A vehicle that ships, altered."""
    return altered(load_vehicles()[name], alterations, "x")


@cache
def held(vehicle: str, support: str, *alterations: Altered, inboard_mm: float = 0.0) -> Held:
    """The altered vehicle settled in a support."""
    whole = changed(vehicle, *alterations)
    specimen = nominal_specimen(whole)
    setup = replace(FREE, support=support, stand_inboard_mm=inboard_mm)
    return hold(whole, specimen, setup, carrying_preload(whole, specimen))


def rise(whole: Vehicle, prefix: str) -> float:
    """How far [mm] the frame stands higher over the wheels than at design height, the rubber free to turn."""
    free = without_rubber_torsion(whole)
    specimen = nominal_specimen(free)
    poses = settle(build_mechanism(free, specimen, FREE, carrying_preload(free, specimen))).poses
    center = free.point(f"{prefix}wheel-center-left")
    return float(poses["frame"].point(center)[2] - poses[f"{prefix}hub-left"].point(center)[2])


def push_of_the_bar(*alterations: Altered) -> float:
    """Force [N] with which the left torsion bar presses its arm's end down, the wheels hanging."""
    whole = without_rubber_torsion(changed("yard-pickup", *alterations))
    specimen = nominal_specimen(whole)
    state = hold(whole, specimen, replace(FREE, support="frame"), carrying_preload(whole, specimen))
    rows = next(e for e in state.mechanism.elements if e.name == "torsion-bar-left").rows(state.poses)
    torque = abs(float(rows.stiffness[0] * rows.offset[0])) * turn_length()
    return torque / (750.0 - 375.0)


def test_cranked_bars_press_the_hanging_arm_harder_onto_its_stop() -> None:
    """3.6 and 4.8 kN by the bar's linear rate: 5984 N less 80 mm, or 40 mm, of 30 N/mm."""
    assert push_of_the_bar() == pytest.approx(3600.0, abs=250.0)
    assert push_of_the_bar(CRANKED) == pytest.approx(4800.0, abs=250.0)
    gaps = [held("yard-pickup", "frame", *some).stop_gaps["rebound-stop-left"] for some in ((), (CRANKED,))]
    assert gaps[1] < gaps[0] < 0.0


STANDS = [(0.0, True, True), (35.0, True, True), (50.0, True, False), (120.0, True, False)]


@pytest.mark.parametrize(("inboard", "open_made", "open_cranked"), STANDS)
def test_cranked_bars_close_the_stop_with_the_stand_a_hands_breadth_nearer(
    inboard: float, open_made: bool, open_cranked: bool
) -> None:
    """41.7 mm instead of 127.5 mm inboard of the ball joint, by the moments in test_carrier_play.py."""
    made, cranked = (
        held("yard-pickup", "arm", *some, inboard_mm=inboard).stop_gaps["rebound-stop-left"]
        for some in ((), (CRANKED,))
    )
    assert (made > 0.1, cranked > 0.1) == (open_made, open_cranked)


@pytest.mark.parametrize(("alterations", "shows"), [((), True), ((CRANKED,), False)])
def test_on_an_arm_stand_80_mm_inboard_cranked_bars_hide_the_carriers_play(
    alterations: tuple[Altered, ...], shows: bool
) -> None:
    """The stop closes at 41.7 mm; some 30 mm on, the arm hangs all of its wheel on it: 510 N of 6520 N at 375 mm."""
    whole = changed("yard-pickup", *alterations)
    specimen = nominal_specimen(whole)
    setup = Setup("bj-axial", "arm", "left", "held", "off", 80.0)
    check = prepare_check(whole, specimen, setup, carrying_preload(whole, specimen))
    shaken = shake_vehicle(whole, specimen, check, {("lower-ball-joint-left", "axial"): 2.0})
    seen = next(entry.total for entry in shaken.movements if entry.watch == "lower-ball-joint-left")
    assert (seen > 1.7, seen < 0.3) == (shows, not shows)


def test_four_turns_of_the_adjuster_raise_the_pickup_by_about_26_millimetres() -> None:
    """2 mm lead over a key of 130 mm, four times, at an arm of 375 mm: 23 mm rigidly, 26 mm with the arms' arcs."""
    whole = changed("yard-pickup", Altered("wound-up-torsion-bar", 4.0, "turns"))
    assert rise(whole, "") == pytest.approx(25.0, abs=2.5)


@pytest.mark.parametrize(
    ("name", "alteration", "prefix", "by"),
    [
        # the coil bears at 0.489 of the wheel's travel
        ("pilots-sedan", Altered("coil-spacer", 15.0, end="front"), "", 15.0 / 0.489),
        # the strut moves 0.951 of the wheel's travel; its lean takes a tenth of the coil's 21.0 N/mm at the wheel more
        ("harbour-runabout", Altered("strut-spacer", 5.0), "", 5.0 * 23.2 * 0.951 / 23.4),
        ("yard-pickup", Altered("lift-block", 75.0), "rear-", 75.0),
        # the eye that hangs lower is 700 of 1450 mm from the other one's weight
        ("yard-pickup", Altered("long-shackle", 50.0), "rear-", 50.0 * 0.483),
    ],
)
def test_what_is_put_in_raises_the_frame_by_what_the_levers_say(
    name: str, alteration: Altered, prefix: str, by: float
) -> None:
    whole = load_vehicles()[name]
    assert rise(whole, prefix) == pytest.approx(0.0, abs=0.1)
    assert rise(altered(whole, [alteration], "x"), prefix) == pytest.approx(by, rel=0.06)


@pytest.mark.parametrize(("name", "end", "prefix"), STRUTS)
def test_standing_a_puck_over_the_strut_does_what_a_spacer_in_its_coil_does(name: str, end: str, prefix: str) -> None:
    """Both make the distance from tower to knuckle longer at the same force."""
    puck, spacer = (
        rise(changed(name, Altered(kind, 20.0, end=end)), prefix) for kind in ("strut-spacer", "coil-spacer")
    )
    assert puck == pytest.approx(spacer, rel=0.03)
    assert 15.0 < puck < 21.0


def test_a_spacer_over_the_strut_lets_its_wheel_hang_lower() -> None:
    center = load_vehicles()["harbour-runabout"].point("wheel-center-left")
    made, spaced = (
        held("harbour-runabout", "frame", *some).poses["hub-left"].point(center)[2]
        for some in ((), (Altered("strut-spacer", 25.0),))
    )
    assert made - spaced == pytest.approx(25.0, abs=4.0)


def test_a_spacer_under_the_coil_leaves_the_droop_and_loads_the_stop() -> None:
    gaps = [
        held("pilots-sedan", "frame", *some).stop_gaps["rebound-stop-left"]
        for some in ((), (Altered("coil-spacer", 15.0, end="front"),))
    ]
    # 96 N/mm on 15 mm at the motion ratio of 0.489, through a stop at a little less than half of the upper arm
    assert (gaps[1] - gaps[0]) * -6000.0 > 96.0 * 15.0 * 0.489


LONG_SHOCKS = {"rebound_stop_gap_mm": 160.0}
"""The lifted van hangs on its blocks further down than shock absorbers as made would let it."""


@pytest.mark.parametrize(
    ("alteration", "at", "bump", "degrees"),
    [
        (Altered("drop-pitman-arm", 60.0), 0.0, -40.0, -1.07),
        (Altered("drop-pitman-arm", 60.0), 0.0, 40.0, 0.91),
        (Altered("front-lift-block", 75.0), -75.0, -40.0, 1.74),
        (Altered("front-lift-block", 75.0), -75.0, 40.0, -1.89),
    ],
)
def test_a_drop_arm_or_a_block_steers_the_van_with_its_bumps_and_leaves_its_toe(
    alteration: Altered, at: float, bump: float, degrees: float
) -> None:
    """Both wheels steer alike, for the tie rod is one piece; drag link and axle swing about other centers."""
    van = load_vehicles()["crew-van"]
    whole = altered(replace(van, numbers={**van.numbers, **LONG_SHOCKS}), [alteration], "x")
    before, after = steer(whole, at), steer(whole, at + bump)
    left, right = (now - then for now, then in zip(after, before, strict=True))
    assert left == pytest.approx(degrees, abs=0.2)
    assert left - right == pytest.approx(0.0, abs=0.05)


def test_wheels_further_out_stand_further_out_on_both_sides() -> None:
    made, wide = load_vehicles()["yard-pickup"], changed("yard-pickup", Altered("wheel-offset", 30.0, end="front"))
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        moved = wide.point(f"tire-contact-{side}") - made.point(f"tire-contact-{side}")
        assert np.array_equal(moved, [0.0, sign * 30.0, 0.0])
        assert wide.points[f"wheel-center-{side}"] == made.points[f"wheel-center-{side}"]
        assert wide.points[f"rear-tire-contact-{side}"] == made.points[f"rear-tire-contact-{side}"]


def test_a_vehicle_file_may_tell_its_alterations() -> None:
    text = vehicle_text("yard-pickup") + '\n[[alteration]]\nid = "lift-block"\nmm = 50\n'
    whole = parse_vehicle(text, "x.toml")
    assert whole.alterations == (Altered("lift-block", 50.0),)
    clamp = next(joint for joint in whole.layout.joints if joint.id == "u-bolt-clamp")
    assert whole.number(clamp.apart) == 50.0


COMPUTED = ", ".join(sorted({effect.alteration for effect in load_effects()}))


@pytest.mark.parametrize(
    ("name", "alteration", "sentence"),
    [
        (
            "yard-pickup",
            Altered("lift-blok", 9.0),
            'x: alteration "lift-blok" is not known; did you mean "lift-block"',
        ),
        (
            "yard-pickup",
            Altered("hard-bushing", 1.0),
            f'x: alteration "hard-bushing" changes nothing that is computed; accepted: {COMPUTED}',
        ),
        ("crew-van", CRANKED, 'x: crew-van has nothing that "wound-up-torsion-bar" in mm could change'),
        (
            "yard-pickup",
            Altered("lift-block", 50.0, end="front"),
            'x: yard-pickup has nothing that "lift-block" in mm at the front could change; accepted: mm at the rear',
        ),
        ("yard-pickup", Altered("lift-block", 0.05), 'x: "lift-block" must be from 5 to 200 mm, found 0.05'),
        ("pilots-sedan", Altered("coil-spacer", 20.0), 'x: "coil-spacer" needs its end, front or rear, found none'),
    ],
)
def test_an_alteration_that_cannot_be_is_refused(name: str, alteration: Altered, sentence: str) -> None:
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}"):
        changed(name, alteration)


def test_an_altered_vehicle_that_does_not_hold_together_is_refused_before_it_is_settled() -> None:
    cranked = changed("yard-pickup", CRANKED)
    uprights = tuple(joint for joint in cranked.layout.joints if "shackle" not in joint.id)
    loose = replace(cranked, layout=replace(cranked.layout, joints=uprights))
    with pytest.raises(MechanicsError, match=r"yard-pickup: .*shackle"):
        preload_of(loose)
