"""What each reading did to each part, against posteriors that never saw it; and chances of sets that are not listed."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.inference.explanation import Posterior, normalized
from looseends.diagnosis.inference.many_sets import SetStates, log_lost, mean_gains
from looseends.diagnosis.inference.moved import moved_by
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.inspection.types import Grade, Reading
from tests.diagnosis.inference.test_independent_posterior import case_table
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    TREAD,
    beliefs,
    by_hand,
    gauge,
    made_clues,
    states_of,
)
from tests.diagnosis.plain_gains import gain_together

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
READINGS = (gauge(CARRIER, 1.6), gauge(TREAD, 0.9), by_hand(BEARING, "slight"), by_hand(FOLLOWER, "none"))


def diagnosed(*readings: Reading) -> Posterior:
    """The posterior of three parts."""
    states = states_of(*PARTS)
    clues = made_clues(case_table(1), states, *readings)
    return posterior(states, dict.fromkeys(PARTS, -1.0), clues, beliefs())


def log_odds(chance: float) -> float:
    """Log odds of a chance."""
    return log(chance / (1.0 - chance))


@pytest.mark.parametrize("part", PARTS)
def test_independent_a_reading_moved_a_part_as_a_posterior_without_it_says(part: str) -> None:
    found = diagnosed(*READINGS)
    clues = made_clues(case_table(1), states_of(*PARTS), *READINGS)
    movers = moved_by(found, ReadingSet.of(clues, beliefs()), PARTS)[part]
    assert len(movers) == len(READINGS)
    for moved in movers:
        never = diagnosed(*(reading for reading in READINGS if reading != moved.clue.reading))
        expected = log_odds(found.marginal(part)) - log_odds(never.marginal(part))
        # Told from each set's leading joint states, which were chosen with the reading.
        assert moved.log_odds == pytest.approx(expected, abs=0.25)


def test_invariant_the_strongest_comes_first_and_what_moves_nothing_moved_nothing() -> None:
    clues = made_clues(case_table(1), states_of(*PARTS), *READINGS)
    movers = moved_by(diagnosed(*READINGS), ReadingSet.of(clues, beliefs()), PARTS)[JAM_NUT]
    assert [abs(m.log_odds) for m in movers] == sorted((abs(m.log_odds) for m in movers), reverse=True)
    silent = next(m for m in movers if m.clue.reading.watch == FOLLOWER)
    assert silent.log_odds == pytest.approx(0.0, abs=1e-9)


def test_exact_a_listed_set_has_its_own_chance_and_another_what_its_parts_count() -> None:
    found = diagnosed(*READINGS)
    for explanation, chance in found.leading(4):
        assert exp(found.log_chance(explanation.parts)) == pytest.approx(chance)
    singles = [e for e in found.explanations if len(e.parts) < 2]
    few = normalized(singles, found.states, found.views, found.prior)
    weights = {e.parts: e.log_weight for e in singles}
    total = log(sum(exp(w) for w in weights.values()))
    expected = weights[CARRIER,] + weights[JAM_NUT,] - 2 * weights[()] + weights[()] - total
    assert few.log_chance((CARRIER, JAM_NUT)) == pytest.approx(expected)


@given(
    graded=st.lists(st.sampled_from(["none", "slight", "clear"]), min_size=4, max_size=4),
    read=st.lists(st.floats(0.0, 2.0), max_size=3),
)
@settings(max_examples=20)
def test_reference_sets_gain_and_lose_together_what_each_does_by_itself(graded: list[Grade], read: list[float]) -> None:
    """Pairs of the table interact, and some sets have one part, some two or three."""
    readings = [by_hand(watch, grade) for watch, grade in zip((CARRIER, FOLLOWER, BEARING, TREAD), graded, strict=True)]
    readings += [gauge(watch, mm) for watch, mm in zip((CARRIER, TREAD, BEARING), read, strict=False)]
    found, clues = diagnosed(*readings), made_clues(case_table(1), states_of(*PARTS), *readings)
    laid = ReadingSet.of(clues, beliefs())
    sets = [explanation for explanation, _ in found.leading(len(found.explanations))]
    leading = [SetStates.leading(each, 150) for each in sets]
    lost, mean = log_lost(leading, found.views, laid), mean_gains(leading, found.views, laid)
    assert len({len(each.parts) for each in sets}) > 2
    for each, got, gained in zip(sets, lost, mean, strict=True):
        rows = each.leading_places(150)
        gain = gain_together(each.parts, each.places[rows], found.views, laid)
        weights = each.weights[rows] / each.weights[rows].sum()
        assert got == pytest.approx(np.log(weights @ np.exp(-gain)), abs=1e-9)
        assert gained == pytest.approx(weights @ gain, abs=1e-9)
