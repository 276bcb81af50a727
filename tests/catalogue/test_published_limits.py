"""Limits as published.

Sources: 49 CFR 570.7(b) and RCW 46.37.375, linkage play 1/4 inch; COMAR 11.22.03.04 B, 1/8 inch at the sidewall;
US Army TM 9-2320-280-20-2, paragraph 8-10, 9 mm and 13 mm as printed; lash tables of 570.7, 570.60, 393.209, Utah and
single values of states, each cited at its test. Left out: the conversion table of 570.7(d), which was not seen.
Tolerance: none, an inch is 25.4 mm exactly.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from looseends.catalogue import load_catalogue

INCH_MM = Fraction(254, 10)
LASH_BY_RIM = {16: "2", 18: "2 1/4", 20: "2 1/2", 22: "2 3/4"}


def inches(printed: str) -> Fraction:
    """A printed number of inches, as 2 1/4."""
    return sum((Fraction(part) for part in printed.split()), Fraction(0))


@pytest.mark.parametrize(
    ("limit", "printed", "check", "watch"),
    [
        ("us-570-7b-linkage", Fraction(1, 4), "wheel39", "tread"),
        ("us-wa-linkage", Fraction(1, 4), "wheel39", "tread"),
        ("us-md-bearing-large-passenger", Fraction(1, 8), "wheel126", "tread-top"),
    ],
)
def test_published_inches(limit: str, printed: Fraction, check: str, watch: str) -> None:
    found = load_catalogue().limits[limit]
    assert found.value_mm == float(printed * INCH_MM)
    assert found.printed == f"{printed} inch"
    assert (found.status, found.check, found.watch, found.compares) == ("law", check, watch, "free travel")


@pytest.mark.parametrize(
    ("limit", "printed_mm", "watch"),
    [
        ("us-army-utility-upper-ball-joint", 9.0, "tread-top"),
        ("us-army-utility-lower-ball-joint", 13.0, "tread-bottom"),
    ],
)
def test_published_army_values_hold_on_the_arm_stand_only(limit: str, printed_mm: float, watch: str) -> None:
    found = load_catalogue().limits[limit]
    assert (found.value_mm, found.watch, found.supports) == (printed_mm, watch, ("arm",))
    assert found.applies_to.startswith("only ")


def test_linkage_limit_asks_for_loaded_ball_joints() -> None:
    # 570.7(b) has the front raised with the ball joints loaded: at the frame where the spring is on the lower arm
    assert load_catalogue().limits["us-570-7b-linkage"].supports == ("frame",)


def test_idler_bushing_reject_is_6_mm_at_the_end_of_the_arm() -> None:
    """Exact: arm 150 mm, bushings 60 mm apart: the end moves 150/60 x 2 = 5 radial clearances and one axial one."""
    figure = load_catalogue().joint_figures["idler-bushing-threaded"]
    assert figure.radial.reject is not None
    assert figure.axial.reject is not None
    end = 150 / 60 * 2 * figure.radial.reject + figure.axial.reject
    assert end == pytest.approx(load_catalogue().limits["idler-end-total"].value_mm)


SIXTEENTH_MM = INCH_MM / 16


@pytest.mark.parametrize(("rim", "lash"), [(16, "2"), (18, "2 1/4"), (20, "2 1/2"), (22, "2 3/4")])
@pytest.mark.parametrize(("stem", "citation"), [("us-570-7a-lash", "49 CFR 570.7(a)"), ("us-wa-lash", "RCW 46.37.375")])
def test_lash_by_rim_diameter_up_to_10000_lb(stem: str, citation: str, rim: int, lash: str) -> None:
    found = load_catalogue().limits[f"{stem}-{rim}"]
    assert found.value_mm == float(inches(lash) * INCH_MM)
    assert (found.printed, found.citation, found.status) == (f"{lash} inches", citation, "law")
    assert (found.rim_over_mm or 0.0) < rim * INCH_MM <= (found.rim_up_to_mm or 1000.0)


@pytest.mark.parametrize(
    ("rim", "manual_mm", "power_mm"),
    [(16, 51, 108), (18, 57, 121), (19, 60, 127), (20, 64, 133), (21, 67, 140), (22, 70, 146)],
)
def test_lash_by_rim_diameter_of_commercial_vehicles(rim: int, manual_mm: float, power_mm: float) -> None:
    for assist, value in (("manual", manual_mm), ("power", power_mm)):
        found = load_catalogue().limits[f"us-393-209b-lash-{assist}-{rim}"]
        assert (found.value_mm, found.assist, found.jurisdiction) == (value, assist, "us-fmcsa")
        assert (found.rim_over_mm or 0.0) < rim * INCH_MM <= (found.rim_up_to_mm or 1000.0)


@pytest.mark.parametrize("jurisdiction", ["us-federal", "us-wa", "us-fmcsa"])
def test_no_rim_is_judged_by_two_rows_of_one_table(jurisdiction: str) -> None:
    rows = [
        limit
        for limit in load_catalogue().limits.values()
        if (limit.watch, limit.jurisdiction, limit.gvwr_over_kg) == ("rim", jurisdiction, None)
        and limit.assist in (None, "power")
    ]
    for sixteenths in range(14 * 16, 24 * 16):
        rim = float(sixteenths * SIXTEENTH_MM)
        fits = [row for row in rows if (row.rim_over_mm or 0.0) < rim <= (row.rim_up_to_mm or 1000.0)]
        assert len(fits) == 1


@pytest.mark.parametrize(("assist", "degrees"), [("manual", 14), ("power", 30)])
def test_exact_rims_between_the_printed_ones_are_judged_by_an_angle(assist: str, degrees: float) -> None:
    """49 CFR 393.209(b): 14 or 30 degrees of rim travel at diameters that the table does not print."""
    found = load_catalogue().limits[f"us-393-209b-lash-{assist}-17"]
    assert found.per_rim_mm == float(17 * INCH_MM)
    assert found.value_mm == pytest.approx(math.radians(degrees) * 17 * 25.4 / 2, abs=0.005)
    assert (found.status, found.watch) == ("derived", "rim")
    assert found.arithmetic is not None
    assert f"{found.value_mm:g}" in found.arithmetic


@pytest.mark.parametrize(("stem", "cells"), [("us-570-60a-lash", LASH_BY_RIM), ("us-ma-lash", LASH_BY_RIM)])
def test_heavier_vehicles_and_massachusetts_have_the_same_table(stem: str, cells: dict[int, str]) -> None:
    for rim, lash in cells.items():
        found = load_catalogue().limits[f"{stem}-{rim}"]
        assert (found.value_mm, found.printed, found.status) == (float(inches(lash) * INCH_MM), f"{lash} inches", "law")


@pytest.mark.parametrize(
    ("rim", "manual", "power"),
    [
        (16, "2", "4 1/2"),
        (18, "2 1/4", "4 3/4"),
        (19, "2 3/8", "5"),
        (20, "2 1/2", "5 1/4"),
        (21, "2 5/8", "5 1/2"),
        (22, "2 3/4", "5 3/4"),
    ],
)
def test_utah_heavy_vehicles(rim: int, manual: str, power: str) -> None:
    """Utah Admin. Code R714-162-9(1)(a)."""
    for assist, lash in (("manual", manual), ("power", power)):
        found = load_catalogue().limits[f"us-ut-lash-{assist}-{rim}"]
        assert (found.value_mm, found.assist) == (float(inches(lash) * INCH_MM), assist)


@pytest.mark.parametrize("stem", ["us-570-60b-linkage", "us-states-kingpin"])
def test_play_at_the_tread_by_wheel_rim(stem: str) -> None:
    """49 CFR 570.60(b), Table 3: 1/4 inch up to 16, 3/8 to 18, 1/2 above; the king pin table has the same sizes."""
    for name, play, over, up_to in (("16", "1/4", None, 16), ("18", "3/8", 16, 18), ("over-18", "1/2", 18, None)):
        found = load_catalogue().limits[f"{stem}-{name}"]
        assert found.value_mm == float(inches(play) * INCH_MM)
        rims = (found.wheel_rim_over_mm, found.wheel_rim_up_to_mm)
        assert rims == (over and float(over * INCH_MM), up_to and float(up_to * INCH_MM))
    assert load_catalogue().limits[f"{stem}-16"].status == ("law" if stem.startswith("us-570") else "to be confirmed")


@pytest.mark.parametrize(
    ("limit", "printed_inches"),
    [
        ("us-mo-lash-18", "2"),
        ("us-mo-lash-over-18", "3"),
        ("us-nc-lash-18", "3"),
        ("us-nc-lash-over-18", "4"),
        ("us-oh-lash-power", "2"),
        ("us-oh-lash-manual", "3"),
        ("us-md-lash-under-21", "3"),
        ("us-md-lash-from-21", "3 1/2"),
        ("us-md-coil-sag", "2"),
        ("us-md-torsion-front", "1/8"),
        ("us-md-tire-clearance", "1"),
        ("us-md-trailer-u-bolt-thread", "1/4"),
    ],
)
def test_single_values_of_states(limit: str, printed_inches: str) -> None:
    found = load_catalogue().limits[limit]
    assert (found.value_mm, found.status) == (float(inches(printed_inches) * INCH_MM), "law")


@pytest.mark.parametrize(("rim", "side_slip"), [(13, 13.1), (14, 12.5), (15, 11.6), (16, 9.3)])
def test_exact_side_slip_of_a_sixteenth_of_toe(rim: int, side_slip: float) -> None:
    """Toe over tire diameter is the angle's tangent; a mile has 5,280 feet. Tire diameters from memory."""
    found = load_catalogue().limits[f"us-570-7d-side-slip-{rim}"]
    assert (found.value, found.status) == (side_slip, "derived")
    assert found.arithmetic is not None
    diameter = float(found.arithmetic.split("/ ")[1].split()[0])
    assert 0.0625 / diameter * 5280 == pytest.approx(side_slip, abs=0.05)


@pytest.mark.parametrize(
    ("limit", "printed_mm"), [("uk-lash-rack", 13), ("uk-lash-rack-jointed", 48), ("uk-lash-box", 75)]
)
def test_united_kingdom_goes_by_the_gear_and_by_a_wheel_of_380_mm(limit: str, printed_mm: float) -> None:
    """MOT inspection manual, 2012 edition, section 2.2 A."""
    found = load_catalogue().limits[limit]
    assert (found.value_mm, found.per_rim_mm) == (printed_mm, 380)
    assert found.body == ("steering-box" if limit == "uk-lash-box" else "rack")


def test_nothing_from_memory_is_law() -> None:
    memory = load_catalogue().sources["memory"].citation
    recalled = [limit for limit in load_catalogue().limits.values() if limit.source == memory]
    assert len(recalled) > 40
    assert {limit.status for limit in recalled} == {"to be confirmed", "derived"}
