"""What readings share: the integral against closed form and drawn errors, and what it must do to a diagnosis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.integral import Loadings, Rows, log_integral
from looseends.diagnosis.inference.leading_states import ChosenStates
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.shared import (
    _log_ratios,
    leading_factors,
    with_shared_errors,
)
from looseends.diagnosis.observed.evidence import Clue, clues_of
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import FREE, Evidence, GaugeReading
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import Reading
from looseends.mechanics.bodies import Array
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    JAM_NUT,
    TREAD,
    WATCHES,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_clues,
    made_table,
    states_of,
)

FINE = 0.0005
"""A gauge's resolution [mm] that does not count."""


def never_wrong() -> Beliefs:
    """Beliefs in which no reading is simply wrong."""
    return replace(beliefs(), wrong_chance=1e-12)


def rows(evidence: list[Evidence], movement: list[float], own: float) -> Rows:
    """Readings in one state, all movement free."""
    return Rows(evidence, np.array(movement)[None, :, None] * np.ones(2), np.full((1, len(movement), 2), own))


def alike(loadings: Array) -> Loadings:
    """Loadings (k, f) of one state: the first as common to all states, the others as its own."""
    return Loadings(loadings[:, :1], loadings[None, :, 1:])


def test_exact_gauges_that_are_right_have_a_normal_density_in_all() -> None:
    rng = np.random.default_rng(3)
    loadings, predicted = rng.normal(0.0, 0.4, (6, 3)), rng.uniform(3.0, 5.0, 6)
    read = predicted + loadings @ rng.standard_normal(3) + rng.normal(0.0, 0.1, 6)
    evidence: list[Evidence] = [GaugeReading(mm, FINE, never_wrong()) for mm in read]
    expected = multivariate_normal(predicted, loadings @ loadings.T + 0.1**2 * np.eye(6)).logpdf(read)
    got = log_integral(rows(evidence, list(predicted), 0.1), alike(loadings))
    assert float(got[0]) == pytest.approx(float(expected), abs=1e-3)


def test_exact_without_shared_errors_readings_are_independent() -> None:
    evidence: list[Evidence] = [GaugeReading(1.2, 0.02, beliefs()), Grade(1, load_catalogue().observers["hand"])]
    each = sum(float(one.log_likelihood(np.array([1.0, 1.0]), np.array([0.2, 0.2]))) for one in evidence)
    assert float(log_integral(rows(evidence, [1.0, 1.0], 0.2), alike(np.zeros((2, 3))))[0]) == pytest.approx(
        each, abs=1e-9
    )


MIXED: dict[str, tuple[list[Evidence], list[float]]] = {
    "one gauge far off": (
        [GaugeReading(mm, 0.02, beliefs()) for mm in (1.5, 1.6, 7.0, 1.4)],
        [1.0, 1.0, 1.2, 1.0],
    ),
    "dead zones": ([GaugeReading(mm, 0.1, beliefs(), FREE) for mm in (0.9, 1.1, 1.0)], [0.5, 0.6, 0.8]),
    "hand": ([Grade(g, load_catalogue().observers["hand"]) for g in (2, 2, 1, 2)], [0.3, 0.3, 0.3, 0.4]),
    "hand and gauge": (
        [
            Grade(2, load_catalogue().observers["hand"]),
            GaugeReading(0.9, 0.02, beliefs()),
            GaugeReading(0.8, 0.1, beliefs()),
        ],
        [0.4, 0.4, 0.5],
    ),
}


@pytest.mark.parametrize(("evidence", "movement"), MIXED.values(), ids=MIXED)
def test_independent_integral_as_by_drawn_errors(evidence: list[Evidence], movement: list[float]) -> None:
    """Laplace's rule is no identity: right to a fifth in odds, where shared errors change them far more than that."""
    rng = np.random.default_rng(7)
    loadings = np.column_stack([np.full(len(movement), 0.3), rng.normal(0.0, 0.1, len(movement))])
    z = rng.standard_normal((400_000, 2))
    shifted = np.maximum(np.array(movement) + z @ loadings.T, 0.0)
    logs = sum(one.log_likelihood(shifted[:, k, None] * np.ones(2), np.full(2, 0.1)) for k, one in enumerate(evidence))
    drawn = float(np.log(np.mean(np.exp(logs))))
    got = float(log_integral(rows(evidence, movement, 0.1), alike(loadings))[0])
    assert got == pytest.approx(drawn, abs=0.2)
    apart = sum(
        float(one.log_likelihood(np.full(2, mm), np.full(2, np.hypot(0.1, np.linalg.norm(row)))))
        for one, mm, row in zip(evidence, movement, loadings, strict=True)
    )
    assert abs(apart - drawn) > 0.3


def soft(table: ResponseTable, loading: Array) -> ResponseTable:
    """The table with an ensemble of 400 vehicles that differ in one thing, shown at watches by a loading (k,) [mm]."""
    z = np.random.default_rng(5).standard_normal(400)
    z = (z - z.mean()) / z.std(ddof=1)
    members = table.sound + z[:, None, None] * loading[None, :, None]
    return replace(table, members=members, spread=members.std(axis=0, ddof=1))


def weighed(table: ResponseTable, *readings: Reading) -> tuple[Posterior, Posterior]:
    """The posterior of one part without and with what readings share."""
    (states,) = states_of(JAM_NUT)
    clues = made_clues(table, [states], *readings)
    before = posterior([states], {JAM_NUT: -2.0}, clues, beliefs())
    return before, with_shared_errors(before, ReadingSet.of(clues, beliefs()))


PLAYED = made_table({JAM_NUT: growing(states_of(JAM_NUT)[0], {0: 1.0, 2: 1.0, 3: 1.0})})


def test_exact_the_factors_hold_the_ensemble_s_shared_variance() -> None:
    (states,) = states_of(JAM_NUT)
    clues = made_clues(soft(PLAYED, np.array([0.5, 0.1, 0.3, 0.8])), [states], *(gauge(w, 1.0) for w in WATCHES))
    loadings, left = leading_factors(clues, beliefs())
    shown = beliefs().shared_softness * np.array([0.5, 0.1, 0.3, 0.8])
    np.testing.assert_allclose(loadings @ loadings.T, beliefs().shared_part * np.outer(shown, shown), atol=1e-9)
    np.testing.assert_allclose(left, 0.0, atol=1e-9)


def test_invariant_a_soft_vehicle_that_shows_more_at_every_watch_is_no_worn_part() -> None:
    """Three readings a little high are one surprise, not three, where vehicles differ in all three alike."""
    readings = [gauge(watch, 0.75) for watch in (CARRIER, BEARING, TREAD)]
    before, after = weighed(soft(PLAYED, np.array([0.3, 0.3, 0.3, 0.3])), *readings)
    assert before.marginal(JAM_NUT) > after.marginal(JAM_NUT) + 0.05


def test_invariant_play_at_one_of_two_watches_that_go_together_stands_out_more() -> None:
    """The other watch says how soft this vehicle is; what the first shows beyond that is play."""
    only_first = made_table({JAM_NUT: growing(states_of(JAM_NUT)[0], {0: 1.0})})
    table = soft(only_first, np.array([0.5, 0.0, 0.0, 0.5]))
    before, after = weighed(table, gauge(CARRIER, 0.8), gauge(TREAD, 0.2))
    assert after.marginal(JAM_NUT) > before.marginal(JAM_NUT)


def test_invariant_one_person_who_calls_early_is_no_second_witness() -> None:
    """Two hands that feel a little are worth more than one person who feels it twice."""
    (states,) = states_of(JAM_NUT)
    table = soft(made_table({JAM_NUT: growing(states, {0: 1.0, 2: 1.0})}, sound=[[0.13, 0.13]] * 4), np.full(4, 0.01))
    first, second = check_done(by_hand(CARRIER, "slight")), check_done(by_hand(BEARING, "slight"), number=2)
    marginals = []
    for observer in (second.observer, "Tomas Reyne"):
        checks = [first, replace(second, observer=observer)]
        clues = clues_of(checks, {1: table, 2: table}, [states], beliefs())
        found = posterior([states], {JAM_NUT: -1.0}, clues, beliefs())
        marginals.append(with_shared_errors(found, ReadingSet.of(clues, beliefs())).marginal(JAM_NUT))
    assert marginals[0] < marginals[1] - 0.005


def test_exact_states_that_move_all_readings_alike_have_the_ratio_of_each_by_itself() -> None:
    """The states of both axes that show alike, and the sound vehicle twice."""
    (states,) = states_of(JAM_NUT)
    table = soft(PLAYED, np.array([0.3, 0.1, 0.2, 0.5]))
    clues = made_clues(table, [states], gauge(CARRIER, 0.9), by_hand(TREAD, "clear"), gauge(BEARING, 0.2, 0.1))
    found, readings = posterior([states], {JAM_NUT: -2.0}, clues, beliefs()), ReadingSet.of(clues, beliefs())
    worn = found.sets.number[frozenset({JAM_NUT})]
    chosen = [(worn, row) for row in range(len(found.explanation(worn).weights))] + [(0, 0), (0, 0)]
    movement, _ = ChosenStates(found, readings, chosen).moved()
    assert 2 < len(np.unique(movement.reshape(len(chosen), -1), axis=0)) < len(chosen)
    by_itself = [_log_ratios(found, readings, [one])[0] for one in chosen]
    np.testing.assert_allclose(_log_ratios(found, readings, chosen), by_itself, atol=1e-9)


def test_exact_without_an_ensemble_nothing_changes() -> None:
    before, after = weighed(PLAYED, gauge(CARRIER, 0.6))
    assert after is before


def test_invariant_probabilities_and_state_weights_stay_so() -> None:
    _, after = weighed(soft(PLAYED, np.array([0.3, 0.1, 0.2, 0.5])), gauge(CARRIER, 0.9), by_hand(TREAD, "clear"))
    assert after.probabilities.sum() == pytest.approx(1.0)
    assert after.state_weights(JAM_NUT).sum() == pytest.approx(after.marginal(JAM_NUT))
    assert with_shared_errors(after, ReadingSet.of((), beliefs())) is after


def test_independent_what_a_shut_joint_explains_is_not_explained_once_more() -> None:
    """Nothing felt at two watches where half of all vehicles keep the joint shut, and clear play at a third.

    Against readings drawn over both: shut or not at each watch by itself, and thresholds of the same person.
    """
    (states,) = states_of(JAM_NUT)
    watches, grades = (CARRIER, BEARING, TREAD), ("none", "none", "clear")
    shares = np.ones((2, 4, 2))
    shares[1, [WATCHES.index(CARRIER), WATCHES.index(BEARING)]] = 0.0
    shown = {WATCHES.index(watch): 1.5 for watch in watches}
    table = soft(made_table({JAM_NUT: growing(states, shown)}, shares={JAM_NUT: shares}), np.full(4, 1e-3))
    clues = made_clues(table, [states], *(by_hand(w, g) for w, g in zip(watches, grades, strict=True)))  # type: ignore[arg-type]
    before = posterior([states], {JAM_NUT: -2.0}, clues, beliefs())
    after = with_shared_errors(before, ReadingSet.of(clues, beliefs()))
    rng = np.random.default_rng(11)
    z = rng.standard_normal((2, 60_000))
    drawn = {}
    for parts in ((), (JAM_NUT,)):
        log_states = []
        for state, weight in enumerate(states.weight if parts else [1.0]):
            logs = np.zeros(z.shape[1])
            for clue in clues:
                change = clue.change[JAM_NUT][state] if parts else np.zeros(2)
                each = [_by_person(clue, share * change, z) for share in clue.shares(JAM_NUT)]
                masked = clue.masked_chance(JAM_NUT) if parts else 0.0
                logs += np.log(
                    (1.0 - masked) * np.mean(np.exp(each), axis=0) + masked * np.exp(_by_person(clue, np.zeros(2), z))
                )
            log_states.append(np.log(weight) + np.log(np.mean(np.exp(logs))))
        drawn[parts] = float(np.logaddexp.reduce(log_states))
    expected = drawn[JAM_NUT,] - drawn[()] - 2.0
    chance = after.marginal(JAM_NUT)
    assert np.log(chance / (1.0 - chance)) == pytest.approx(expected, abs=0.3)


def _by_person(clue: Clue, change: Array, z: Array) -> Array:
    """Log likelihood (n,) of one reading by people whose sense of springiness and thresholds differ by z (2, n)."""
    movement = np.maximum(clue.sound + change, 0.0)
    own = np.sqrt(clue.spread**2 + (beliefs().share_of_change * change) ** 2)
    springy, early = clue.evidence.personal(movement)
    shifted = np.maximum(movement + (springy * z[0] + early * z[1])[:, None], 0.0)
    return np.asarray(clue.evidence.impersonal().log_likelihood(shifted, np.broadcast_to(own, shifted.shape)))
