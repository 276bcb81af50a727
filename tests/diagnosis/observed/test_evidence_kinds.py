"""What every kind of evidence must do: densities integrate, chances sum, more travel reads higher, draws agree."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chisquare

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.before import LookEvidence, StateEvidence
from looseends.diagnosis.observed.circumstances import ConditionFigures
from looseends.diagnosis.observed.grade import Grade, grade_chances
from looseends.diagnosis.observed.likelihood import FREE, GaugeReading
from looseends.diagnosis.observed.looked import load_looks
from looseends.diagnosis.observed.symptoms import Symptom, Witnesses
from looseends.mechanics.bodies import Array
from tests.diagnosis.enumeration import dead_zone, gauge_density, grade_chance, normal_below
from tests.diagnosis.made_tables import CARRIER, beliefs, states_of

OBSERVERS = tuple(load_catalogue().observers)
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


@given(reading=movements, free=movements, spring=st.floats(0.0, 8.0), total_spread=spreads, free_spread=spreads)
def test_independent_dead_zone_density(
    reading: float, free: float, spring: float, total_spread: float, free_spread: float
) -> None:
    """A dead zone is read as the free travel with a little of what springs, less sharply than the gauge reads."""
    evidence = GaugeReading(reading, 0.1, beliefs(), FREE)
    movement, spread = np.array([free + spring, free]), np.array([total_spread, free_spread])
    read = dead_zone((free + spring, total_spread), (free, free_spread), beliefs())
    expected = gauge_density(reading, *read, 0.1, beliefs())
    assert float(np.exp(evidence.log_likelihood(movement, spread))) == pytest.approx(expected, rel=1e-9)


def test_independent_dead_zone_draws_agree_with_their_mean_and_scatter() -> None:
    drawn = GaugeReading(0.0, 0.02, beliefs(), FREE).sample(
        np.tile([7.0, 3.0], (DRAWS, 1)), np.tile([0.4, 0.2], (DRAWS, 1)), np.random.default_rng(7)
    )
    mean, deviation = dead_zone((7.0, 0.4), (3.0, 0.2), beliefs())
    edges = np.array([0.0, 2.21, 2.61, 2.81, 3.01, 3.21, 3.41, 3.61, 4.21, beliefs().wrong_reach_mm])
    wrong = beliefs().wrong_chance * np.diff(edges) / beliefs().wrong_reach_mm
    bell = np.diff([normal_below((edge - mean) / np.hypot(deviation, 0.02 / np.sqrt(12.0))) for edge in edges])
    counts, _ = np.histogram(drawn, edges)
    shares = wrong + (1.0 - beliefs().wrong_chance) * bell
    assert chisquare(counts, shares / shares.sum() * counts.sum()).pvalue > AGREES


def test_exact_a_dead_zone_tells_springy_movement_from_play() -> None:
    """3 mm of 8 mm that goes tight after 0.4 mm is rubber: free travel of 3 mm is all but ruled out."""
    spread = np.array([0.5, 0.1])
    evidence = GaugeReading(0.4, 0.1, beliefs(), FREE)
    rubber, play = (float(evidence.log_likelihood(np.array([8.0, free]), spread)) for free in (0.1, 3.0))
    assert rubber - play > 3.0


@pytest.mark.parametrize("observer", OBSERVERS)
@given(free=movements, spread=spreads)
def test_invariant_grade_chances_sum_to_one(observer: str, free: float, spread: float) -> None:
    record = load_catalogue().observers[observer]
    chances = grade_chances(record, np.array([free, free]), np.array([spread, spread]))
    assert chances.sum() == pytest.approx(1.0, abs=1e-12)
    assert chances.min() >= record.lapse / len(record.grades) - 1e-15


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
        even = record.lapse * (len(record.grades) - number) / len(record.grades)
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
    """Springy movement feels as free travel of their share of it would, of which six tenths either way are in doubt."""
    for record in load_catalogue().observers.values():
        springy = grade_chances(record, np.array([2.0, 0.0]), np.zeros(2))
        felt = 2.0 * record.elastic_share
        loose = grade_chances(record, np.full(2, felt), np.array([0.0, 0.6 * felt]))
        np.testing.assert_allclose(springy, loose, rtol=1e-12)


@pytest.mark.parametrize("observer", OBSERVERS)
def test_exact_half_of_the_calls_go_up_where_the_share_of_springy_movement_is_at_the_threshold(observer: str) -> None:
    """The doubt about the share widens the call; it does not move it."""
    record = load_catalogue().observers[observer]
    for number, threshold in enumerate(record.thresholds, 1):
        even = record.lapse * (len(record.grades) - number) / len(record.grades)
        if record.elastic_share == 0.0:  # who takes nothing of it for play never calls it, but by a slip
            assert grade_chances(record, np.array([30.0, 0.0]), np.zeros(2))[number:].sum() == pytest.approx(even)
            continue
        chances = grade_chances(record, np.array([threshold / record.elastic_share, 0.0]), np.zeros(2))
        assert chances[number:].sum() == pytest.approx((1.0 - record.lapse) * 0.5 + even)


@pytest.mark.parametrize("observer", OBSERVERS)
@given(free=movements, spring=movements, total_spread=spreads, free_spread=spreads)
def test_independent_grade_chances(
    observer: str, free: float, spring: float, total_spread: float, free_spread: float
) -> None:
    record = load_catalogue().observers[observer]
    chances = grade_chances(record, np.array([free + spring, free]), np.array([total_spread, free_spread]))
    total, loose = (free + spring, total_spread), (free, free_spread)
    np.testing.assert_allclose(
        chances, [grade_chance(k, observer, total, loose) for k in range(len(record.grades))], atol=1e-9
    )


def fit(drawn: Array, chances: Array) -> float:
    """Chance of so large a chi-square between drawn outcomes, numbered from 0, and their chances."""
    counts = np.bincount(drawn.astype(int), minlength=len(chances))
    return float(chisquare(counts, chances * counts.sum()).pvalue)


@pytest.mark.parametrize("observer", OBSERVERS)
def test_independent_grade_draws_agree_with_their_chances(observer: str) -> None:
    rng = np.random.default_rng(5)
    record = load_catalogue().observers[observer]
    movement, spread = np.array([1.6, 0.4]), np.array([0.5, 0.1])
    each = range(len(record.grades))
    chances = np.array([float(np.exp(Grade(grade, record).log_likelihood(movement, spread))) for grade in each])
    assert chances.sum() == pytest.approx(1.0, abs=1e-12)

    def draw(free: float) -> Array:
        return Grade(0, record).sample(np.tile([1.6, free], (DRAWS, 1)), np.tile(spread, (DRAWS, 1)), rng)

    assert fit(draw(0.4), chances) > AGREES
    # The same comparison catches a drawing with a tenth more free travel.
    assert fit(draw(0.44), chances) < BROKEN


CAUSES = {"idler-arm": 0.5, "pitman-ball": 0.25}


@pytest.mark.parametrize(
    ("worn", "absent"),
    [((), 0.9), (("idler-arm",), 0.45), (("idler-arm", "pitman-ball"), 0.3375), (("sway-bar-link-left",), 0.9)],
)
def test_exact_a_symptom_is_absent_when_every_cause_leaves_it_out(worn: tuple[str, ...], absent: float) -> None:
    """Noisy-or by hand: 0.9, 0.9 x 0.5, 0.9 x 0.5 x 0.75; a part that is no cause changes nothing."""
    there, not_there = (Symptom("wanders", present, CAUSES, 0.1) for present in (True, False))
    assert np.exp(not_there.log_likelihood(worn)) == pytest.approx(absent)
    assert np.exp(there.log_likelihood(worn)) + np.exp(not_there.log_likelihood(worn)) == pytest.approx(1.0)
    rng = np.random.default_rng(6)
    assert fit(there.sample(worn, rng, DRAWS), np.array([absent, 1.0 - absent])) > AGREES
    assert fit(there.sample(worn, rng, DRAWS), np.array([absent - 0.03, 1.0 - absent + 0.03])) < BROKEN


TOLD, NOTICED = (Symptom("wanders", True, {"idler-arm": cause}, other) for cause, other in ((0.5, 0.12), (0.6, 0.05)))


def both(worn: tuple[str, ...], told: bool, noticed: bool, alike: float = 0.7) -> float:
    """Chance of what two witnesses of one symptom say."""
    pair = Witnesses((replace(TOLD, present=told), replace(NOTICED, present=noticed)), alike)
    return float(np.exp(pair.log_likelihood(worn)))


@pytest.mark.parametrize(("worn", "told", "noticed"), [((), 0.12, 0.05), (("idler-arm",), 0.56, 0.62)])
def test_exact_two_witnesses_of_one_symptom_by_hand_and_each_by_itself_as_ever(
    worn: tuple[str, ...], told: float, noticed: float
) -> None:
    """Seven times in ten one event for both: the smaller chance of the two. Else a product."""
    assert both(worn, True, True) == pytest.approx(0.7 * min(told, noticed) + 0.3 * told * noticed)
    assert both(worn, True, False) == pytest.approx(0.7 * max(0.0, told - noticed) + 0.3 * told * (1.0 - noticed))
    assert both(worn, True, True) + both(worn, True, False) == pytest.approx(told)
    assert both(worn, True, True) + both(worn, False, True) == pytest.approx(noticed)
    assert both(worn, False, False) + both(worn, True, False) == pytest.approx(1.0 - noticed)


def test_exact_a_second_witness_adds_little_where_both_speak_of_one_event() -> None:
    """It never outweighs two that are independent, nor weakens the surer of the two."""
    ratio = {alike: both(("idler-arm",), True, True, alike) / both((), True, True, alike) for alike in (0.0, 0.7)}
    alone = np.exp(NOTICED.gain(("idler-arm",)))
    assert alone < ratio[0.7] < 1.3 * alone < ratio[0.0]


def test_independent_witnesses_are_drawn_as_often_as_their_likelihood_says() -> None:
    drawn = Witnesses((TOLD, NOTICED), 0.7).sample(("idler-arm",), np.random.default_rng(9), DRAWS)
    chances = np.array([both(("idler-arm",), told, noticed) for told in (False, True) for noticed in (False, True)])
    assert fit(2.0 * drawn[:, 0] + drawn[:, 1], chances) > AGREES
    apart = Witnesses((TOLD, NOTICED), 0.6).sample(("idler-arm",), np.random.default_rng(9), DRAWS)
    assert fit(2.0 * apart[:, 0] + apart[:, 1], chances) < BROKEN


FLUSH = ConditionFigures(None, "axial", 0.9, 0.03)
TORN = ConditionFigures(5.0, None, 0.0, 0.0)


@pytest.mark.parametrize("state", [None, "within", "beyond"])
@pytest.mark.parametrize("figures", [FLUSH, TORN], ids=["goes with axial play", "goes with wear"])
def test_independent_a_condition_is_drawn_as_often_as_its_likelihood_says(
    figures: ConditionFigures, state: str | None
) -> None:
    (states,) = states_of(CARRIER)
    axial = states.clearance(states.axes.index("axial")) / states.reject[states.axes.index("axial")]
    at = None if state is None else int(np.flatnonzero(axial > 1.5 if state == "beyond" else axial < 0.95)[0])
    chances = []
    for present in (False, True):
        worn, sound = StateEvidence(figures, present).log_likelihood(states)
        chances.append(float(np.exp(sound if at is None else worn[at])))
    assert sum(chances) == pytest.approx(1.0)
    rng = np.random.default_rng(8)
    drawn = np.array([StateEvidence(figures, True).sample(states, at, rng) for _ in range(DRAWS)])
    assert fit(drawn, np.array(chances)) > AGREES
    assert fit(drawn[: DRAWS // 2], np.array([chances[0] + 0.03, chances[1] - 0.03]).clip(1e-9)) < BROKEN


@pytest.mark.parametrize("state", [None, 0])
def test_independent_draws_of_a_look_follow_its_chances(state: int | None) -> None:
    (states,) = states_of(CARRIER)
    look, chances = load_looks()[0], []
    for present in (False, True):
        worn, sound = LookEvidence(look, present).log_likelihood(states)
        chances.append(float(np.exp(sound if state is None else worn[state])))
    assert sum(chances) == pytest.approx(1.0)
    rng = np.random.default_rng(9)
    drawn = np.array([LookEvidence(look, True).sample(states, state, rng) for _ in range(DRAWS)])
    assert fit(drawn, np.array(chances)) > AGREES
    assert fit(drawn, np.array([chances[0] - 0.02, chances[1] + 0.02])) < BROKEN


def test_exact_an_indicator_speaks_of_play_beyond_the_reject_clearance_and_a_torn_boot_of_wear() -> None:
    (states,) = states_of(CARRIER)
    beyond = states.clearance(states.axes.index("axial")) >= states.reject[states.axes.index("axial")]
    worn, sound = StateEvidence(FLUSH, True).log_likelihood(states)
    np.testing.assert_allclose(np.exp(worn - sound), np.where(beyond, 30.0, 1.0))
    worn, sound = StateEvidence(TORN, True).log_likelihood(states)
    np.testing.assert_allclose(np.exp(worn - sound), 5.0)
