"""Joints that are hidden in a whole visit: against every case counted, and that silence proves only so much."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from looseends.diagnosis.masking import with_masked_joints
from looseends.diagnosis.posterior import posterior
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
    growing,
    made_clues,
    made_table,
    states_of,
)
from tests.diagnosis.test_independent_posterior import case_table

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
ODDS = dict(zip(PARTS, (-1.0, -2.0, -1.5), strict=True))
VISITS = {"silent": (gauge(CARRIER, 0.15), gauge(TREAD, 0.2), by_hand(BEARING, "none")), "play": (gauge(CARRIER, 1.6),)}


@pytest.mark.parametrize("readings", VISITS.values(), ids=VISITS)
def test_independent_every_part_masked_or_not_counted_one_by_one(readings: tuple[Reading, ...]) -> None:
    states, hidden = states_of(*PARTS), beliefs().masked_chance
    found = posterior(states, ODDS, made_clues(case_table(1), states, *readings), beliefs())
    # Likelihood of a set, up to a constant: its probability over its prior odds.
    likelihood = {
        frozenset(e.parts): p / math.exp(sum(ODDS[part] for part in e.parts))
        for e, p in zip(found.explanations, found.probabilities, strict=True)
    }
    weights = {frozenset[str](): likelihood[frozenset()]}
    for one in PARTS:
        odds = math.exp(ODDS[one])
        weights[frozenset({one})] = odds * (
            (1 - hidden) * likelihood[frozenset({one})] + hidden * likelihood[frozenset()]
        )
    for a, b in combinations(PARTS, 2):
        both = (1 - hidden) ** 2 * likelihood[frozenset({a, b})]
        one = hidden * (1 - hidden) * (likelihood[frozenset({a})] + likelihood[frozenset({b})])
        weights[frozenset({a, b})] = math.exp(ODDS[a] + ODDS[b]) * (both + one + hidden**2 * likelihood[frozenset()])
    masked = with_masked_joints(found, ODDS, beliefs())
    total = sum(weights.values())
    for explanation, p in zip(masked.explanations, masked.probabilities, strict=True):
        assert p == pytest.approx(weights[frozenset(explanation.parts)] / total, rel=1e-9)
        assert explanation.states.sum() == pytest.approx(1.0)
    for part in PARTS:
        assert masked.state_weights(part).sum() == pytest.approx(masked.marginal(part))


def test_invariant_however_often_it_is_silent_a_joint_stays_masked_with_its_chance() -> None:
    """Many silent readings leave a part its prior odds times the masked share, and no less."""
    states = states_of(JAM_NUT)
    watches = (CARRIER, FOLLOWER, BEARING, TREAD)
    table = made_table({JAM_NUT: growing(states[0], dict.fromkeys(range(4), 9.0))})
    for often in (2, 4):
        clues = made_clues(table, states, *(gauge(watch, 0.2) for watch in watches[:often]))
        found = posterior(states, {JAM_NUT: 0.0}, clues, beliefs())
        masked = with_masked_joints(found, {JAM_NUT: 0.0}, beliefs())
        assert found.marginal(JAM_NUT) < 0.001
        assert masked.marginal(JAM_NUT) == pytest.approx(beliefs().masked_chance, rel=0.06)


def test_invariant_a_hidden_part_keeps_the_sizes_of_its_prior() -> None:
    (states,) = states_of(JAM_NUT)
    readings = [gauge(watch, 0.15) for watch in (CARRIER, TREAD, BEARING)]
    table = case_table(1)
    found = posterior([states], {JAM_NUT: 0.0}, made_clues(table, [states], *readings), beliefs())
    masked = with_masked_joints(found, {JAM_NUT: 0.0}, beliefs())
    before, after = (p.explanations[1].states for p in (found, masked))
    assert np.abs(after - states.weight).max() < np.abs(before - states.weight).max()
