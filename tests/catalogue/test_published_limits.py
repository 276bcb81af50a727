"""Limits as published.

Sources: 49 CFR 570.7(b) and RCW 46.37.375, linkage play 1/4 inch; COMAR 11.22.03.04 B, 1/8 inch at the sidewall;
US Army TM 9-2320-280-20-2, paragraph 8-10, 9 mm and 13 mm as printed. Left out: lash tables, toe, 570.60 Table 3.
Tolerance: none, an inch is 25.4 mm exactly.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from looseends.catalogue import load_catalogue

INCH_MM = Fraction(254, 10)


@pytest.mark.parametrize(
    ("limit", "inches", "check", "watch"),
    [
        ("us-570-7b-linkage", Fraction(1, 4), "wheel39", "tread"),
        ("us-wa-linkage", Fraction(1, 4), "wheel39", "tread"),
        ("us-md-bearing-large-passenger", Fraction(1, 8), "wheel126", "tread-top"),
    ],
)
def test_published_inches(limit: str, inches: Fraction, check: str, watch: str) -> None:
    found = load_catalogue().limits[limit]
    assert found.value_mm == float(inches * INCH_MM)
    assert found.printed == f"{inches} inch"
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
    inches = sum((Fraction(part) for part in lash.split()), Fraction(0))
    assert found.value_mm == float(inches * INCH_MM)
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
        if limit.check == "lash" and limit.jurisdiction == jurisdiction and limit.assist in (None, "power")
    ]
    for sixteenths in range(14 * 16, 24 * 16):
        rim = float(sixteenths * SIXTEENTH_MM)
        fits = [row for row in rows if (row.rim_over_mm or 0.0) < rim <= (row.rim_up_to_mm or 1000.0)]
        assert len(fits) <= 1
        assert fits or jurisdiction == "us-fmcsa"
