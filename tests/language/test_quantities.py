"""Quantities in metric and in US units, against the factors of NIST SP 811 and back again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.language import (
    ENGLISH,
    Angle,
    Distance,
    Force,
    Length,
    Mass,
    Minutes,
    Moment,
    Percent,
    Pressure,
    SideSlip,
    Speech,
)
from looseends.language.quantity import Quantity

US = Speech("en", "us")
# NIST SP 811 (2008), Appendix B.8: what one US unit is in the metric unit, as printed there (seven digits or exact).
SP_811: list[tuple[type[Quantity], str, float]] = [
    (Length, "in", 25.4),
    (Force, "lbf", 4.448222),
    (Moment, "lb·ft", 1.355818),
    (Distance, "mi", 1.609344),
    (Pressure, "psi", 6.894757),
    (Mass, "lb", 0.45359237),
]
SCALES = [*(kind for kind, _, _ in SP_811), SideSlip]


@pytest.mark.parametrize(("kind", "unit", "metric"), SP_811)
def test_factors_are_those_of_sp_811(kind: type[Quantity], unit: str, metric: float) -> None:
    assert kind.metric_per_us == pytest.approx(metric, rel=5e-7)
    assert kind.us_unit == unit


def test_a_foot_to_the_mile_is_a_5280th() -> None:
    assert SideSlip.metric_per_us == pytest.approx(1000 / 5280, rel=1e-12)


@pytest.mark.parametrize("kind", SCALES)
@given(value=st.floats(0.0, 1e4))
def test_the_us_words_give_the_metric_value_back(kind: type[Quantity], value: float) -> None:
    quantity = kind(round(value, 1), 1)
    number, unit = quantity.said(US).split(" ")
    last_place = 10.0 ** -quantity.us_decimals()
    assert unit == kind.us_unit
    assert float(number) * kind.metric_per_us == pytest.approx(
        quantity.value, abs=0.51 * last_place * kind.metric_per_us
    )


@pytest.mark.parametrize(
    ("quantity", "metric", "us"),
    [
        (Length(1.5), "1.5 mm", "0.059 in"),
        (Length(1.42, 1), "1.4 mm", "0.056 in"),
        (Length(508), "508 mm", "20 in"),
        (Length(560), "560 mm", "22.0 in"),
        (Length(1.4, 1, 0.26), "1.4 ± 0.3 mm", "0.055 ± 0.010 in"),
        (Length.read(0.127, 0.01), "0.13 mm", "0.005 in"),
        (Force(150), "150 N", "34 lbf"),
        (Moment(90), "90 N·m", "66 lb·ft"),
        (Distance(148210, 0, grouped=True), "148\u00a0210 km", "92,093 mi"),
        (SideSlip(5.0, 1), "5.0 m/km", "26.4 ft/mile"),
        (Angle(2.5), "2.5°", "2.5°"),
        (Minutes(15), "15 min", "15 min"),
    ],
)
def test_numbers_have_the_decimals_that_a_shop_reads(quantity: Quantity, metric: str, us: str) -> None:
    assert quantity.said(ENGLISH) == metric
    assert quantity.said(US) == us


@pytest.mark.parametrize(
    ("percent", "words"),
    [
        (Percent(0.0), "below 1 %"),
        (Percent(1.0), "above 99 %"),
        (Percent(0.897), "90 %"),
        (Percent(0.897, True), "89 %"),
    ],
)
def test_a_percentage_never_claims_certainty(percent: Percent, words: str) -> None:
    assert percent.said(ENGLISH) == words
    assert Percent(1.0).said(Speech("es")) == "más del 99 %"


@pytest.mark.parametrize(
    ("value", "resolution", "words"),
    [
        (1.4, 0.1, "1.4 mm"),
        (1.4, 0.01, "1.40 mm"),
        (4.0, 0.5, "4.0 mm"),
        (3.0, 1.0, "3 mm"),
        (0.127, None, "0.13 mm"),
        (1.0, None, "1 mm"),
    ],
)
def test_a_reading_has_the_precision_of_the_gauge(value: float, resolution: float | None, words: str) -> None:
    assert Length.read(value, resolution).said(ENGLISH) == words
