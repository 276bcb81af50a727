"""What every kind of evidence must do: densities integrate, chances sum, more travel reads higher, draws agree."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chisquare

from looseends.catalogue import load_catalogue
from looseends.diagnosis.likelihood import GaugeReading, Grade, grade_chances
from looseends.mechanics.bodies import Array
from tests.diagnosis.enumeration import normal_below
from tests.diagnosis.made_tables import beliefs

OBSERVERS = ("hand", "eye")
DRAWS = 40_000
AGREES, BROKEN = 1e-3, 1e-6
"""Chances of so large a chi-square: above the first the draws agree, below the second a broken drawing is caught."""

movements = st.floats(0.0, 30.0)
spreads = st.floats(0.001, 3.0)


def density(reading: float, movement: float, spread: float, resolution: float = 0.02) -> float:
    """Density [1/mm] of one gauge reading."""
    evidence = GaugeReading(reading, resolution, beliefs())
    return float(np.exp(evidence.log_likelihood(np.array([movement, 0.0]), np.array([spread, 0.0]))))


@pytest.mark.parametrize(("movement", "spread"), [(1.0, 0.1), (6.0, 0.5), (9.0, 0.3)])
def test_exact_gauge_density_integrates_to_one_over_its_reach(movement: float, spread: float) -> None:
    """Wrong readings lie in 0 to reach; the bell is inside it here, so all of the mass is."""
    inside, _ = quad(density, 0.0, beliefs().wrong_reach_mm, args=(movement, spread), points=[movement], limit=200)
    assert inside == pytest.approx(1.0, abs=1e-6)


def test_exact_gauge_density_far_from_the_prediction_is_that_of_a_wrong_reading() -> None:
    assert density(11.0, 1.0, 0.1) == pytest.approx(beliefs().wrong_chance / beliefs().wrong_reach_mm, rel=1e-9)


@pytest.mark.parametrize("observer", OBSERVERS)
@given(free=movements, spread=spreads)
def test_invariant_grade_chances_sum_to_one(observer: str, free: float, spread: float) -> None:
    record = load_catalogue().observers[observer]
    chances = grade_chances(record, np.array([free, free]), np.array([spread, spread]))
    assert chances.sum() == pytest.approx(1.0, abs=1e-12)
    assert chances.min() >= record.lapse / 4.0


@pytest.mark.parametrize("observer", OBSERVERS)
@given(less=movements, more=movements, spring=movements, spread=spreads)
def test_invariant_more_free_travel_never_makes_a_higher_grade_less_likely(
    observer: str, less: float, more: float, spring: float, spread: float
) -> None:
    record = load_catalogue().observers[observer]
    free = np.array(sorted([less, more]))
    chances = grade_chances(record, np.column_stack([free + spring, free]), np.full((2, 2), spread))
    at_least = np.cumsum(chances[:, ::-1], axis=1)[:, ::-1]
    assert np.all(at_least[1] >= at_least[0] - 1e-12)


@pytest.mark.parametrize("observer", OBSERVERS)
def test_exact_half_of_the_calls_go_up_at_a_threshold(observer: str) -> None:
    """With no lapse half; each lapse adds its even share."""
    record = load_catalogue().observers[observer]
    for number, threshold in enumerate(record.thresholds, 1):
        chances = grade_chances(record, np.array([threshold, threshold]), np.array([0.0, 0.0]))
        even = record.lapse * (4 - number) / 4.0
        assert chances[number:].sum() == pytest.approx((1.0 - record.lapse) * 0.5 + even)


def gauge_fit(drawn: Array, movement: float, spread: float) -> float:
    """Chance of so large a chi-square between drawn readings and the integrated density."""
    # Between the gauge's steps of 0.02 mm, so that rounding moves no reading over an edge.
    edges = [0.0, 2.01, 2.71, 2.91, 3.11, 3.31, 4.01, 8.01, beliefs().wrong_reach_mm]
    bounds = itertools.pairwise(edges)
    shares = [quad(density, a, b, args=(movement, spread), points=[movement], limit=200)[0] for a, b in bounds]
    counts, _ = np.histogram(drawn, edges)
    return float(chisquare(counts, np.array(shares) / sum(shares) * counts.sum()).pvalue)


def test_independent_gauge_draws_agree_with_their_density() -> None:
    rng = np.random.default_rng(4)
    evidence = GaugeReading(0.0, 0.02, beliefs())
    movement, spread = np.tile([3.03, 0.0], (DRAWS, 1)), np.full((DRAWS, 2), 0.25)
    assert gauge_fit(evidence.sample(movement, spread, rng), 3.03, 0.25) > AGREES
    # The same comparison catches a drawing that is a tenth too wide.
    assert gauge_fit(evidence.sample(movement, 1.1 * spread, rng), 3.03, 0.25) < BROKEN


def test_exact_drawn_readings_lie_on_the_gauges_steps() -> None:
    drawn = GaugeReading(0.0, 0.1, beliefs()).sample(
        np.full((100, 2), 0.33), np.full((100, 2), 0.1), np.random.default_rng(1)
    )
    np.testing.assert_allclose(drawn / 0.1, np.round(drawn / 0.1), atol=1e-9)
    assert len(set(drawn)) > 3


def test_exact_a_coarse_gauge_draws_no_wider_than_its_density() -> None:
    """Rounding to a step of 0.2 mm adds its variance once: 0.05² + 0.2²/12."""
    drawn = GaugeReading(0.0, 0.2, beliefs()).sample(
        np.full((DRAWS, 2), 3.04), np.full((DRAWS, 2), 0.05), np.random.default_rng(2)
    )
    step = np.array([2.8, 3.0, 3.2])
    share = [normal_below((s + 0.1 - 3.04) / 0.05) - normal_below((s - 0.1 - 3.04) / 0.05) for s in step]
    got = [float(np.mean(np.abs(drawn - s) < 1e-6)) / (1.0 - beliefs().wrong_chance) for s in step]
    np.testing.assert_allclose(got, share, atol=0.01)


def test_exact_an_observer_takes_their_share_of_springy_movement_for_play() -> None:
    for record in load_catalogue().observers.values():
        springy = grade_chances(record, np.array([2.0, 0.0]), np.zeros(2))
        loose = grade_chances(record, np.full(2, 2.0 * record.elastic_share), np.zeros(2))
        np.testing.assert_allclose(springy, loose, rtol=1e-12)


def grade_fit(drawn: Array, chances: Callable[[int], float]) -> float:
    """Chance of so large a chi-square between drawn grades and their chances."""
    counts = np.bincount(drawn.astype(int), minlength=4)
    return float(chisquare(counts, np.array([chances(grade) for grade in range(4)]) * counts.sum()).pvalue)


@pytest.mark.parametrize("observer", OBSERVERS)
def test_independent_grade_draws_agree_with_their_chances(observer: str) -> None:
    rng = np.random.default_rng(5)
    record = load_catalogue().observers[observer]
    movement, spread = np.array([2.0, 0.7]), np.array([0.5, 0.2])

    def chance(grade: int) -> float:
        return float(np.exp(Grade(grade, record).log_likelihood(movement, spread)))

    def draw(free: float) -> Array:
        return Grade(0, record).sample(np.tile([2.0, free], (DRAWS, 1)), np.tile(spread, (DRAWS, 1)), rng)

    assert grade_fit(draw(0.7), chance) > AGREES
    assert grade_fit(draw(0.75), chance) < BROKEN
