"""What each reading did to each part, against posteriors that never saw it; and chances of sets that are not listed."""

from __future__ import annotations

from math import exp, log

import pytest

from looseends.diagnosis.explanation import Posterior, normalized
from looseends.diagnosis.moved import moved_by
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.readings import ReadingSet
from looseends.inspection.types import Reading
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
from tests.diagnosis.test_independent_posterior import case_table

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
