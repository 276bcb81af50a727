"""The study of whole visits: its slips, its rules of thumb, its prior and its interval."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.symptoms import Symptom
from looseends.errors import InputError
from looseends.inspection.types import CheckDone, Reading
from looseends.vehicle.setup import Setup
from studies import visits
from studies.calibration import calibration
from studies.truth import draw_wear
from studies.visits import ROWS, WORN_COUNT_CHANCES, run
from studies.visits_score import checklist, interval, moved_most, prior_of_truth
from studies.visits_slips import at_least_slight, one_wild, sides_mixed_up
from studies.visits_taken import OBSERVERS, Paper
from tests.diagnosis.made_tables import yard_pickup

LEFT = Setup("wheel39", "frame", "left", "held", "off", 0.0)
RIGHT = Setup("wheel39", "frame", "right", "held", "off", 0.0)


def done(number: int, setup: Setup, *readings: Reading) -> CheckDone:
    """A check with some readings."""
    return CheckDone(number, setup, None, "drawn", readings, (), "")


def gauge(watch: str, total: float, free: float) -> Reading:
    """A gauge reading with its dead zone."""
    return Reading(watch, "gauge", total, None, "", free)


def hand(watch: str, grade: str) -> Reading:
    """A call by hand."""
    return Reading(watch, "hand", None, grade, "")  # type: ignore[arg-type]


VISIT = (
    done(1, LEFT, gauge("outer-tie-rod-end-left", 0.8, 0.7), gauge("pitman-ball", 0.1, 0.0)),
    done(2, RIGHT, gauge("outer-tie-rod-end-right", 0.1, 0.0), gauge("lower-ball-joint-right.axial", 0.2, 0.1)),
)


def test_exact_sides_are_mixed_up_in_both_records_of_one_check() -> None:
    first, second = sides_mixed_up(Paper(VISIT), np.random.default_rng(0)).checks
    assert (first.setup, second.setup) == (RIGHT, LEFT)
    assert [r.watch for r in first.readings] == ["outer-tie-rod-end-right", "pitman-ball"]
    assert [r.watch for r in second.readings] == ["outer-tie-rod-end-left", "lower-ball-joint-left.axial"]
    assert first.readings[0].gauge_mm == 0.8


def test_exact_one_reading_is_wild_and_the_others_stay() -> None:
    wild = one_wild(Paper(VISIT), np.random.default_rng(1)).checks
    pairs = [(a, b) for x, y in zip(VISIT, wild, strict=True) for a, b in zip(x.readings, y.readings, strict=True)]
    (changed,) = [after for before, after in pairs if before != after]
    assert changed.gauge_mm is not None and changed.free_mm is not None
    assert 3.0 <= changed.gauge_mm <= 8.0 and 0.49 * changed.gauge_mm <= changed.free_mm <= changed.gauge_mm


def test_exact_who_calls_everything_slight_still_calls_clear_clear() -> None:
    paper = Paper((done(1, LEFT, hand("a", "none"), hand("b", "clear")),))
    (seen,) = at_least_slight(paper, np.random.default_rng(0)).checks
    assert [reading.grade for reading in seen.readings] == ["slight", "clear"]


def test_exact_the_checklist_blames_by_the_first_look_and_the_most_moved_is_one() -> None:
    visit = (
        done(1, LEFT, hand("outer-tie-rod-end-left", "none"), hand("pitman-ball", "clear"), hand("idler-arm", "gross")),
        done(2, LEFT, hand("outer-tie-rod-end-left", "gross"), hand("pitman-ball", "none")),
    )
    assert checklist(yard_pickup(), visit) == {"pitman-ball", "idler-arm"}
    assert moved_most(yard_pickup(), visit[:1]) == {"idler-arm"}
    assert checklist(yard_pickup(), VISIT) == {"outer-tie-rod-end-left"}
    assert moved_most(yard_pickup(), (done(1, LEFT, gauge("pitman-ball", 0.2, 0.2)),)) == frozenset()


@pytest.mark.parametrize("present", [True, False])
def test_independent_prior_of_the_truth_as_by_every_set(present: bool) -> None:
    odds = {"a": -1.0, "b": -2.0, "c": 0.3, "d": -0.5}
    symptoms = (Symptom("s", present, {"a": 0.5, "c": 0.2}, 0.1), Symptom("t", True, {"b": 0.4, "c": 0.3}, 0.05))
    prior = Prior(odds, symptoms)
    sets = [set(chosen) for size in range(5) for chosen in combinations(odds, size)]
    weight = [np.exp(prior.log_weight(sorted(chosen))) for chosen in sets]
    met = sum(w for w, chosen in zip(weight, sets, strict=True) if {"a"} <= chosen <= {"a", "c"})
    assert prior_of_truth(prior, frozenset({"a"}), frozenset({"a", "c"})) == pytest.approx(met / sum(weight), rel=1e-9)


def test_published_interval_of_none_and_of_some() -> None:
    """None of 20: 1 - 0.025^(1/20) = 16.8 %, the closed form; 5 of 10: 18.7 to 81.3 %, in any table."""
    assert interval(0, 20) == pytest.approx((0.0, 1.0 - 0.025 ** (1 / 20)))
    assert interval(5, 10) == pytest.approx((0.187, 0.813), abs=5e-4)


def test_independent_error_of_the_slope_as_from_drawn_repetitions() -> None:
    rng, slopes, errors = np.random.default_rng(3), [], []
    for _ in range(150):
        x = rng.uniform(-3.0, 3.0, 200)
        worn = rng.random(200) < 1.0 / (1.0 + np.exp(-x))
        told = 1.0 / (1.0 + np.exp(-x))
        slope, error = calibration([(float(p), bool(w)) for p, w in zip(told, worn, strict=True)])
        slopes.append(slope)
        errors.append(error)
    assert np.mean(errors) == pytest.approx(np.std(slopes), rel=0.2)


def test_exact_up_to_four_parts_are_worn_as_often_as_said() -> None:
    rng, counts = np.random.default_rng(1), np.zeros(5)
    for _ in range(2000):
        counts[len({part for part, _ in draw_wear(yard_pickup(), rng, count_chances=WORN_COUNT_CHANCES)})] += 1
    np.testing.assert_allclose(counts / 2000, WORN_COUNT_CHANCES, atol=0.04)


@pytest.mark.parametrize("given", ["none", "0", "61", "4.5"])
def test_fewer_vehicles_are_asked_for_by_a_number(given: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VISITS_VEHICLES", given)
    with pytest.raises(InputError, match=f'VISITS_VEHICLES must be a whole number from 1 to 60, found "{given}"'):
        run(["yard-pickup"])


def test_every_goal_of_a_full_route_has_a_row_that_goes_on_and_one_that_does_not() -> None:
    for observer in OBSERVERS:
        rows = [row for row in ROWS.values() if (row.path, row.observer, row.slip) == ("full route", observer, None)]
        assert [row.asked for row in rows if row.said] == [True, False]


def test_rows_can_be_asked_for_by_name() -> None:
    assert [name for name in ROWS if "," in name] == []


def test_only_the_first_vehicles_are_taken_in_rows_beside_the_main_ones() -> None:
    first, later = (visits._names_of(number, list(visits.ROWS)) for number in (0, visits.COUNT_BESIDE))
    assert first == tuple(visits.ROWS)
    observers = ("by gauges", "by eye and hand", "by a novice")
    paths = ("full route", "complaint first", "wheel shake")
    others = {
        "full route by a novice of whom nobody says so",
        "complaint first within two fifths by gauges",
        "complaint first within two fifths by eye and hand",
    }
    assert set(later) == {f"{path} {observer}" for path in paths for observer in observers} | others
