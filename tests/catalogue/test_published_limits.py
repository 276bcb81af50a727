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
