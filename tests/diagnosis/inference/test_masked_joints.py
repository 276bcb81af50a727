"""Joints that are hidden in a whole visit: against every case counted, and that silence proves only so much."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from looseends.diagnosis.inference.masking import with_masked_joints
from looseends.diagnosis.inference.posterior import posterior
from looseends.inspection.types import Reading
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
    growing,
    made_clues,
    made_table,
    states_of,
)

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
    weights = {}
    for worn in likelihood:
        choices = [shown for size in range(len(worn) + 1) for shown in combinations(sorted(worn), size)]
        by_choice = [
            (1 - hidden) ** len(shown) * hidden ** (len(worn) - len(shown)) * likelihood[frozenset(shown)]
            for shown in choices
        ]
        weights[worn] = math.exp(sum(ODDS[part] for part in worn)) * sum(by_choice)
    masked = with_masked_joints(found, beliefs())
    total = sum(weights.values())
    for explanation, p in zip(masked.explanations, masked.probabilities, strict=True):
        assert p == pytest.approx(weights[frozenset(explanation.parts)] / total, rel=1e-9)
        assert explanation.weights.sum() == pytest.approx(1.0)
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
        masked = with_masked_joints(found, beliefs())
        assert found.marginal(JAM_NUT) < 0.001
        assert masked.marginal(JAM_NUT) == pytest.approx(beliefs().masked_chance, rel=0.06)


def test_invariant_a_hidden_part_keeps_the_sizes_of_its_prior() -> None:
    (states,) = states_of(JAM_NUT)
    readings = [gauge(watch, 0.15) for watch in (CARRIER, TREAD, BEARING)]
    table = case_table(1)
    found = posterior([states], {JAM_NUT: 0.0}, made_clues(table, [states], *readings), beliefs())
    masked = with_masked_joints(found, beliefs())
    before, after = (p.state_weights(JAM_NUT) / p.marginal(JAM_NUT) for p in (found, masked))
    assert np.abs(after - states.weight).max() < np.abs(before - states.weight).max()
