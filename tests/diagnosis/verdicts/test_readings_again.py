"""Which readings to take again: leave-one-out against a posterior without the reading, and what must be named."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import logsumexp

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.verdicts.again import doubtful_readings
from looseends.inspection.types import Judgement, Reading
from studies.truth import TrueVehicle, Way, taken_again
from tests.diagnosis.inference.test_independent_posterior import case_table
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
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
from tests.diagnosis.plain_gains import gain_together

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
READINGS = (gauge(CARRIER, 1.6), gauge(TREAD, 0.9), by_hand(BEARING, "slight"), by_hand(FOLLOWER, "none"))


def diagnosed(*readings: Reading) -> Posterior:
    """The posterior of three parts, two of which interact."""
    states = states_of(*PARTS)
    clues = made_clues(case_table(1, shared=True), states, *readings)
    return posterior(states, dict.fromkeys(PARTS, -1.0), clues, beliefs())


@pytest.mark.parametrize("left_out", range(len(READINGS)))
def test_independent_sets_without_a_reading_as_by_a_posterior_that_never_saw_it(left_out: int) -> None:
    states, found = states_of(*PARTS), diagnosed(*READINGS)
    clues = made_clues(case_table(1, shared=True), states, *READINGS)
    readings, weights = ReadingSet.of(clues, beliefs()), {}
    for explanation, p in zip(found.explanations, found.probabilities, strict=True):
        gain = gain_together(explanation.parts, explanation.places, found.views, readings)[:, left_out]
        lost = logsumexp(np.log(explanation.weights) - gain)
        weights[frozenset(explanation.parts)] = np.log(p) + lost
    never = diagnosed(*(reading for n, reading in enumerate(READINGS) if n != left_out))
    expected = {frozenset(e.parts): p for e, p in zip(never.explanations, never.probabilities, strict=True)}
    assert weights.keys() == expected.keys()
    # Up to two worn parts only states far behind are left out. A set of three is summed over the states that lead with
    # all readings, and without one of them others would: that moves its weight by up to a twentieth.
    for most, within in ((2, 5e-5), (3, 5e-3)):
        counted = [parts for parts in expected if len(parts) <= most]
        total, all_expected = logsumexp([weights[parts] for parts in counted]), sum(expected[p] for p in counted)
        for parts in counted:
            assert np.exp(weights[parts] - total) == pytest.approx(expected[parts] / all_expected, abs=within)


MORE = (*READINGS, gauge(TREAD, 0.1), gauge(CARRIER, 0.2, 0.1), by_hand(BEARING, "clear"))


@settings(deadline=None, max_examples=25)
@given(read=st.lists(st.sampled_from(MORE), min_size=1, max_size=5, unique_by=lambda reading: reading.watch))
def test_independent_all_readings_at_once_as_one_left_out_after_the_other(read: list[Reading]) -> None:
    """Which set leads without each reading, and how much hangs on it."""
    found = diagnosed(*read)
    clues = made_clues(case_table(1, shared=True), states_of(*PARTS), *read)
    readings, leading = ReadingSet.of(clues, beliefs()), found.leading(20)
    plain = {}
    for k, clue in enumerate(clues):
        without = []
        for explanation, p in leading:
            gain = gain_together(explanation.parts, explanation.places, found.views, readings)[:, k]
            without.append(np.log(p) + logsumexp(np.log(explanation.weights) - gain))
        best = int(np.argmax(without))
        weight = np.log(leading[0][1] / leading[best][1]) - (without[0] - without[best])
        if best and weight > beliefs().decides_from:
            plain[clue.reading.watch] = leading[best][0].parts, weight
    told = doubtful_readings(clues, found, beliefs())
    decided = {d.clue.reading.watch: (d.instead, d.weight) for d in told if d.instead is not None}
    assert decided.keys() == plain.keys()
    for watch, (instead, weight) in plain.items():
        assert decided[watch][0] == instead
        assert decided[watch][1] == pytest.approx(weight, rel=1e-9)


def asked(*readings: Reading) -> list[tuple[str, tuple[str, ...] | None]]:
    """Watches to read again of one part that shows all its play at two, with the set that would lead instead."""
    (states,) = states_of(JAM_NUT)
    table = made_table({JAM_NUT: growing(states, {0: 1.0, 3: 1.0})})
    clues = clues_of([check_done(*readings)], {1: table}, [states], beliefs())
    found = posterior([states], {JAM_NUT: -1.5}, clues, beliefs())
    return [(d.clue.reading.watch, d.instead) for d in doubtful_readings(clues, found, beliefs())]


def test_exact_a_reading_on_which_the_leading_set_rests_is_to_be_taken_again() -> None:
    assert asked(gauge(CARRIER, 0.9)) == [(CARRIER, ())]


def test_exact_two_watches_that_agree_need_no_third() -> None:
    assert asked(gauge(CARRIER, 0.9), gauge(TREAD, 0.9)) == []


def test_exact_a_reading_that_nothing_explains_is_to_be_taken_again() -> None:
    assert asked(gauge(CARRIER, 0.2), gauge(TREAD, 0.2), gauge(BEARING, 4.0)) == [(BEARING, None)]
    assert asked(gauge(CARRIER, 0.2), gauge(TREAD, 0.2), by_hand(BEARING, "gross")) == [(BEARING, None)]


def test_exact_what_was_read_three_times_is_left_alone() -> None:
    assert asked(*[gauge(BEARING, 4.0)] * 2) == [(BEARING, None)]
    assert asked(*[gauge(BEARING, 4.0)] * 3) == []


def test_exact_sound_readings_are_not_asked_for_again() -> None:
    assert asked(*(gauge(watch, 0.2) for watch in WATCHES)) == []


def test_exact_the_visit_says_what_decides_and_what_would_lead_without_it(judged: Callable[..., Judgement]) -> None:
    words = [remark.words for remark in judged(check_done(gauge(CARRIER, 1.6))).remarks]
    (decides,) = [said for said in words if "decides" in said]
    assert "read 1.6 mm in check 1" in decides and "no worn part would. Do it again." in decides
    assert "lower ball joint" in decides
    sound = judged(check_done(gauge(CARRIER, 0.15))).remarks
    assert not any("Do it again" in remark.words for remark in sound)


def test_exact_in_the_study_only_what_was_asked_is_read_again() -> None:
    shown = np.full((len(WATCHES), 2), 1.5)
    true = TrueVehicle({}, {ON_ARM: shown, ON_FRAME: shown}, {ON_ARM: WATCHES, ON_FRAME: WATCHES})
    wanted = [(ON_ARM, CARRIER), (ON_FRAME, TREAD), (ON_ARM, TREAD)]
    way = Way("total", 1.0, 1.0, 0.05)
    again = taken_again(true, wanted, way, 7, np.random.default_rng(1))
    assert [(done.number, done.setup) for done in again] == [(8, ON_ARM), (9, ON_FRAME)]
    assert {(done.setup, reading.watch) for done in again for reading in done.readings} == set(wanted)
    assert sum(len(done.readings) for done in again) == 3
