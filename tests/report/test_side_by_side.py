"""The same check twice: what is paired, and when a difference is more than the errors of reading."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

import pytest

from looseends.diagnosis.beliefs import load_beliefs
from looseends.inspection.types import By, CheckDone, Grade, Reading
from looseends.report.side_by_side import both_sides, same_checks
from looseends.vehicle.setup import Setup, Side

STEP = {"tread": 0.1, "outer-tie-rod-end-left": 0.02, "outer-tie-rod-end-right": 0.02}


def shaken(number: int, *readings: Reading, side: Side = "left") -> CheckDone:
    setup = Setup("wheel39", "frame", side, "held", "off", 0.0)
    return CheckDone(number, setup, None, "Ines Marlow", readings, (), "")


def gauge(mm: float, free_mm: float | None = None, watch: str = "tread") -> Reading:
    return Reading(watch, "gauge", mm, None, "", free_mm)


def grade(word: Grade, by: By = "hand", watch: str = "outer-tie-rod-end-left") -> Reading:
    return Reading(watch, by, None, word, "")


def own_error(mm: float) -> float:
    """From the beliefs: one setting-up against the next, and the step of the gauge, as a rectangle."""
    beliefs = load_beliefs()
    return hypot(beliefs.again_error_mm, beliefs.again_error_share * mm, 0.1 / sqrt(12))


@pytest.mark.parametrize(("beyond", "change"), [(0.98, "as before"), (1.02, "less")])
def test_a_gauge_reading_has_changed_beyond_95_percent_of_both_errors(beyond: float, change: str) -> None:
    before, after = 4.0, 4.0
    for _ in range(20):  # the later reading's error hangs on itself
        after = before - beyond * 1.96 * hypot(own_error(before), own_error(after))
    [pair] = same_checks([shaken(1, gauge(before))], [shaken(2, gauge(after))], STEP)
    assert pair.change == change
    assert pair.margin_mm == pytest.approx((before - after) / beyond, rel=1e-6)


def test_where_both_give_the_dead_zone_it_is_that_which_is_compared() -> None:
    [pair] = same_checks([shaken(1, gauge(10.0, 1.0))], [shaken(2, gauge(7.0, 1.1))], STEP)
    assert pair.change == "as before"
    [total] = same_checks([shaken(1, gauge(10.0, 1.0))], [shaken(2, gauge(7.0))], STEP)
    assert total.change == "less"


@pytest.mark.parametrize(
    ("before", "after", "change"),
    [
        (grade("clear"), grade("slight"), "as before"),
        (grade("clear"), grade("none"), "less"),
        (grade("none"), grade("gross"), "more"),
        (grade("silent", "ear"), grade("knock", "ear"), "more"),
        (grade("clear"), grade("none", "eye"), "not comparable"),
        (grade("clear"), gauge(0.1, watch="outer-tie-rod-end-left"), "not comparable"),
    ],
)
def test_grades_have_changed_where_they_are_two_apart(before: Reading, after: Reading, change: str) -> None:
    [pair] = same_checks([shaken(1, before)], [shaken(2, after)], STEP)
    assert (pair.change, pair.margin_mm) == (change, None)


def test_only_the_same_setup_is_paired_and_the_last_reading_counts() -> None:
    first = [shaken(1, gauge(9.0)), shaken(2, gauge(8.0))]
    other = replace(shaken(3, gauge(3.0)), setup=replace(first[0].setup, support="arm"))
    assert same_checks(first, [other], STEP) == ()
    [pair] = same_checks(first, [shaken(4, gauge(3.0))], STEP)
    assert (pair.before.done.number, pair.before.reading.gauge_mm) == (2, 8.0)


def test_the_left_is_laid_beside_the_right() -> None:
    right = grade("none", watch="outer-tie-rod-end-right")
    pairs = both_sides([shaken(1, gauge(9.0), grade("clear")), shaken(2, right, side="right")], STEP)
    assert [(p.before.reading.watch, p.after.reading.watch, p.change) for p in pairs] == [
        ("outer-tie-rod-end-left", "outer-tie-rod-end-right", "less")
    ]
