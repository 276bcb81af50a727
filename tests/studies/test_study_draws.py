"""What studies draw and how they judge it: the calibration slope where the answer is known, wear and recordings."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from looseends.catalogue import load_catalogue
from looseends.diagnosis.tables.states import reject_clearance, worn_axes
from looseends.inspection.types import GRADES
from looseends.mechanics.bodies import Array
from studies.calibration import calibration_slope
from studies.truth import WORN_COUNT_CHANCES, TrueVehicle, Way, draw_wear, recorded
from tests.diagnosis.made_tables import ON_ARM, WATCHES, yard_pickup

DRAWS = 20_000


def marginals(factor: float, seed: int = 3) -> list[tuple[float, bool]]:
    """Parts that are worn just as often as a probability says, told with the log odds times a factor."""
    rng = np.random.default_rng(seed)
    x = rng.uniform(-3.0, 3.0, DRAWS)
    worn = rng.random(DRAWS) < 1.0 / (1.0 + np.exp(-x))
    told = 1.0 / (1.0 + np.exp(-factor * x))
    return [(float(p), bool(w)) for p, w in zip(told, worn, strict=True)]


@pytest.mark.parametrize(("factor", "slope"), [(1.0, 1.0), (2.0, 0.5), (0.5, 2.0)])
def test_exact_slope_undoes_what_the_log_odds_were_multiplied_by(factor: float, slope: float) -> None:
    assert calibration_slope(marginals(factor)) == pytest.approx(slope, abs=0.1 * slope)


def test_exact_slope_is_zero_where_the_probabilities_say_nothing() -> None:
    rng = np.random.default_rng(5)
    pairs = [(float(p), bool(w)) for p, w in zip(rng.uniform(0.05, 0.95, DRAWS), rng.random(DRAWS) < 0.5, strict=True)]
    assert calibration_slope(pairs) == pytest.approx(0.0, abs=0.1)


def test_independent_slope_as_by_a_general_minimizer() -> None:
    pairs = marginals(1.4, seed=8)[:500]
    x = np.array([np.log(p / (1.0 - p)) for p, _ in pairs])
    y = np.array([float(w) for _, w in pairs])

    def misfit(line: Array) -> float:
        return float(np.sum(np.logaddexp(0.0, line[0] + line[1] * x) - y * (line[0] + line[1] * x)))

    best = minimize(misfit, np.array([0.0, 0.5]), method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9})
    assert calibration_slope(pairs) == pytest.approx(best.x[1], abs=1e-4)


def test_exact_too_few_marginals_have_no_slope() -> None:
    assert calibration_slope([(0.5, True)] * 9) == 0.0


def test_exact_none_one_or_two_parts_are_worn_as_often_as_said() -> None:
    rng, counts = np.random.default_rng(1), np.zeros(3)
    for _ in range(2000):
        counts[len({part for part, _ in draw_wear(yard_pickup(), rng)})] += 1
    np.testing.assert_allclose(counts / 2000, WORN_COUNT_CHANCES, atol=0.04)


def test_invariant_drawn_wear_is_on_axes_that_wear_and_of_a_size_that_shops_meet() -> None:
    rng, vehicle = np.random.default_rng(2), yard_pickup()
    for _ in range(300):
        for (part, axis), mm in draw_wear(vehicle, rng).items():
            assert axis in worn_axes(vehicle.parts[part])
            assert 0.4 < mm / reject_clearance(vehicle.parts[part], axis) < 4.0


def true_vehicle(total: float, free: float) -> TrueVehicle:
    """A vehicle that shows the same everywhere."""
    return TrueVehicle({(WATCHES[0], "axial"): 1.3}, {ON_ARM: np.full((4, 2), [total, free])}, {ON_ARM: WATCHES})


def test_exact_parts_count_from_a_share_of_their_reject_clearance() -> None:
    true = true_vehicle(2.0, 1.5)
    assert true.parts(yard_pickup(), least_share=1.0) == {WATCHES[0]}
    assert true.parts(yard_pickup(), least_share=1.01) == frozenset()


def test_exact_recorded_gauges_lie_about_the_truth_and_on_their_steps() -> None:
    rng, read = np.random.default_rng(4), []
    for _ in range(1000):
        (done,) = recorded(true_vehicle(2.0, 1.5), (ON_ARM,), Way("total", 1.0, 1.0, 0.05), "lower-ball-joint", rng)
        read += [reading.gauge_mm for reading in done.readings if reading.gauge_mm is not None]
        assert [reading.free_mm for reading in done.readings] == [None]
    assert len(read) == 1000
    np.testing.assert_allclose(np.array(read) / 0.02, np.round(np.array(read) / 0.02), atol=1e-6)
    assert np.median(read) == pytest.approx(2.0, abs=0.021)


def test_exact_recorded_dead_zones_lie_about_the_free_travel_and_what_this_person_takes_of_the_springy() -> None:
    """1.5 mm free of 4 mm, and a tenth of the other 2.5 mm: 1.75 mm."""
    rng, read = np.random.default_rng(8), []
    for _ in range(600):
        (done,) = recorded(true_vehicle(4.0, 1.5), (ON_ARM,), Way("dead zone", 1.0, 1.0, 0.1), "lower-ball-joint", rng)
        for reading in done.readings:
            assert reading.gauge_mm is not None and reading.free_mm is not None
            assert 0.0 <= reading.free_mm <= reading.gauge_mm
            read.append(reading.free_mm)
    assert len(read) == 600
    assert np.median(read) == pytest.approx(1.75, abs=0.04)


def test_exact_a_dead_zone_is_never_recorded_larger_than_the_movement() -> None:
    rng = np.random.default_rng(9)
    for _ in range(200):
        (done,) = recorded(true_vehicle(1.0, 1.0), (ON_ARM,), Way("dead zone", 1.0, 1.0, 0.1), None, rng)
        assert all((reading.free_mm or 0.0) <= (reading.gauge_mm or 0.0) for reading in done.readings)


def test_invariant_more_free_travel_is_recorded_as_a_higher_grade() -> None:
    rng, means, by_hand = np.random.default_rng(6), [], Way("hand", 1.0, 1.0, 0.05)
    for free in (0.02, 0.3, 0.8, 3.0):
        (done,) = recorded(true_vehicle(free, free), (ON_ARM,), by_hand, None, rng)
        grades = [
            GRADES.index(reading.grade)
            for _ in range(100)
            for check in recorded(true_vehicle(free, free), (ON_ARM,), by_hand, None, rng)
            for reading in check.readings
            if reading.grade is not None
        ]
        assert {reading.by for reading in done.readings} <= set(load_catalogue().observers)
        means.append(float(np.mean(grades)))
    assert means == sorted(means) and means[0] < 0.3 and means[-1] > 2.3
