"""49 CFR 570.7(b) applied to readings: 1/4 inch of free play at the tread, held at the frame, steering held.

Published: 49 CFR 570.7(b), text current to October 2024. The rule speaks of play, so the elastic part of a reading is
taken off first; where the vehicle is held in a way that the rule does not speak of, nothing is judged.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from looseends.diagnosis.verdicts.limits import free_travel, system_findings
from looseends.inspection.types import Reading, SystemFinding
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import beliefs, gauge, made_clues, made_table
from tests.vehicle.front_end import yard_pickup

QUARTER_INCH_MM = 25.4 / 4.0
ELASTIC_MM = 4.5
AT_FRAME = Setup("wheel39", "frame", "left", "held", "off", 0.0)


def judged(reading: Reading, setup: Setup = AT_FRAME, jurisdiction: str = "us-federal") -> SystemFinding:
    """The rule's finding for one reading at the tread; a sound vehicle shows 5 mm, 0.5 mm of it free."""
    table = made_table({}, setup=setup, watches=("tread",), sound=[[5.0, 5.0 - ELASTIC_MM]])
    found = system_findings(yard_pickup(), jurisdiction, made_clues(table, (), reading), beliefs())
    (finding,) = [f for f in found if f.limit_id.endswith("linkage")]
    return finding


def doubt() -> float:
    """Doubt [mm] about the elastic part in these tables."""
    table = made_table({}, setup=AT_FRAME, watches=("tread",), sound=[[5.0, 5.0 - ELASTIC_MM]])
    return free_travel(made_clues(table, (), gauge("tread", 9.0))[0], beliefs())[1]


@pytest.mark.parametrize(
    ("free_mm", "exceeded"),
    [(QUARTER_INCH_MM + 0.5, True), (QUARTER_INCH_MM - 0.5, False), (QUARTER_INCH_MM, None), (0.5, False)],
)
def test_published_a_quarter_inch_of_free_travel_is_the_limit(free_mm: float, exceeded: bool | None) -> None:
    assert doubt() < 0.5
    assert judged(gauge("tread", ELASTIC_MM + free_mm)).exceeded is exceeded


@pytest.mark.parametrize("doubts", [-0.9, 0.9])
def test_exact_nothing_is_called_within_the_doubt_about_the_elastic_part(doubts: float) -> None:
    assert judged(gauge("tread", ELASTIC_MM + QUARTER_INCH_MM + doubts * doubt())).exceeded is None
    assert judged(gauge("tread", ELASTIC_MM + QUARTER_INCH_MM + 1.3 * doubts * doubt())).exceeded is (doubts > 0.0)


def test_published_a_reading_over_a_quarter_inch_that_is_mostly_elastic_keeps_the_rule() -> None:
    finding = judged(gauge("tread", 8.0))
    assert finding.exceeded is False
    assert "3.5" in finding.words and "6.35 mm" in finding.words


def test_exact_free_travel_is_the_reading_less_the_elastic_part_and_never_negative() -> None:
    table = made_table({}, setup=AT_FRAME, watches=("tread",), sound=[[5.0, 0.5]])
    for reading, free in ((9.0, 4.5), (4.5, 0.0), (1.0, 0.0)):
        assert free_travel(made_clues(table, (), gauge("tread", reading))[0], beliefs())[0] == pytest.approx(free)


def test_published_a_dead_zone_that_was_read_is_the_free_travel_whatever_springs_beyond() -> None:
    assert judged(gauge("tread", 20.0, 3.0)).exceeded is False
    assert judged(gauge("tread", 9.0, 8.0)).exceeded is True
    assert "Free travel about 8.0 ±" in judged(gauge("tread", 9.0, 8.0)).words


def test_exact_the_doubt_about_a_dead_zone_is_that_of_saying_where_it_ends() -> None:
    """0.05 mm and a tenth of 6 mm."""
    table = made_table({}, setup=AT_FRAME, watches=("tread",), sound=[[5.0, 0.5]])
    found = free_travel(made_clues(table, (), gauge("tread", 9.0, 6.0))[0], beliefs())
    assert found == pytest.approx((6.0, (0.05**2 + 0.6**2) ** 0.5))


@pytest.mark.parametrize("support", ["arm", "ride"])
def test_published_a_support_that_the_rule_does_not_speak_of_is_not_judged(support: str) -> None:
    finding = judged(gauge("tread", 20.0), replace(AT_FRAME, support=support))
    assert finding.exceeded is None and finding.words.startswith("Not judged")


def test_exact_a_free_steering_wheel_is_not_judged() -> None:
    finding = judged(gauge("tread", 20.0), replace(AT_FRAME, steer="free"))
    assert finding.exceeded is None and finding.words.startswith("Not judged")


@pytest.mark.parametrize("by", ["hand", "eye"])
def test_exact_a_grade_is_no_reading_in_millimeters(by: Literal["hand", "eye"]) -> None:
    finding = judged(Reading("tread", by, None, "gross", ""))
    assert finding.exceeded is None and "needs a reading in mm" in finding.words


def test_published_the_finding_names_the_rule_and_its_status() -> None:
    rule = judged(gauge("tread", 12.0)).grounds[-1]
    assert rule.words.startswith("49 CFR 570.7(b)") and "1/4 inch" in rule.words
    assert (rule.status, rule.kind) == ("law", "limit")


def test_exact_only_the_jurisdiction_that_holds_is_judged() -> None:
    assert judged(gauge("tread", 12.0), jurisdiction="us-wa").limit_id == "us-wa-linkage"
    table = made_table({}, setup=AT_FRAME, watches=("tread",), sound=[[5.0, 0.5]])
    assert system_findings(yard_pickup(), "us-md", made_clues(table, (), gauge("tread", 12.0)), beliefs()) == ()


def test_where_the_vehicles_weight_is_not_known_the_rule_is_shown_with_what_it_applies_to() -> None:
    pickup = yard_pickup()
    numbers = {name: value for name, value in pickup.numbers.items() if name != "gvwr_kg"}
    table = made_table({}, setup=AT_FRAME, watches=("tread",), sound=[[5.0, 5.0 - ELASTIC_MM]])
    clues = made_clues(table, (), gauge("tread", 20.0))
    found = system_findings(replace(pickup, numbers=numbers), "us-federal", clues, beliefs())
    (light,) = [finding for finding in found if finding.limit_id == "us-570-7b-linkage"]
    assert light.exceeded is None
    assert light.words.startswith("Not judged: ")
    assert "applies if its gross vehicle weight rating is up to 4\u00a0536 kg" in light.words
