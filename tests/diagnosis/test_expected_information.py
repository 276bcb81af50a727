"""How much a check would tell, against every outcome counted out."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from looseends.diagnosis.explanation import Posterior
from looseends.diagnosis.next_check import expected_information, next_checks
from looseends.diagnosis.posterior import posterior
from looseends.diagnosis.table import ResponseTable
from tests.diagnosis.enumeration import Case, grade_chance
from tests.diagnosis.made_tables import (
    IDLER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
    beliefs,
    growing,
    made_table,
    states_of,
    yard_pickup,
)

WATCHES = ("first", "second")
DRAWS = 400
"""As many as next_check draws."""


def small(share: float, log_odds: float = 0.0) -> tuple[Posterior, ResponseTable, Case]:
    """Two sets (nothing worn, the jam nut worn) and two watches that show a share of its clearance."""
    states = states_of(JAM_NUT)
    change = growing(states[0], {0: share, 1: 0.6 * share}, watches=2)
    table = made_table({JAM_NUT: change}, watches=WATCHES, sound=[[0.1, 0.05], [0.3, 0.1]])
    odds = {JAM_NUT: log_odds}
    return posterior(states, odds, (), beliefs()), table, Case({JAM_NUT: states[0]}, odds, table, (), {}, beliefs())


def by_counting(case: Case, worn_chance: float) -> tuple[float, float]:
    """Information [bits] over all 16 outcomes, and the standard deviation of one draw of it."""
    states = case.states[JAM_NUT]
    chances = {}
    for worn in (False, True):
        sets = [((JAM_NUT, s),) for s in range(len(states.weight))] if worn else [()]
        weights = states.weight if worn else np.ones(1)
        for watch in range(2):
            for grade in range(4):
                chances[worn, watch, grade] = sum(
                    float(w) * _chance(case, s, watch, grade) for w, s in zip(weights, sets, strict=True)
                )
    prior = {True: worn_chance, False: 1.0 - worn_chance}
    first, second = 0.0, 0.0
    for worn, (a, b) in product((False, True), product(range(4), repeat=2)):
        own = chances[worn, 0, a] * chances[worn, 1, b]
        mixed = sum(prior[w] * chances[w, 0, a] * chances[w, 1, b] for w in (False, True))
        bits = np.log2(own / mixed)
        first += prior[worn] * own * bits
        second += prior[worn] * own * bits**2
    return first, float(np.sqrt(second - first**2))


def _chance(case: Case, worn: tuple[tuple[str, int], ...], watch: int, grade: int) -> float:
    """Chance of a grade; cells of severity play no part in planning."""
    change = case.table.singles[worn[0][0]][worn[0][1], watch] if worn else np.zeros(2)
    b = case.beliefs
    deviation = np.sqrt(case.table.spread[watch] ** 2 + b.floor_mm**2 + (b.share_of_change * change) ** 2)
    total, free = zip((case.table.sound[watch] + change).tolist(), deviation.tolist(), strict=True)
    return grade_chance(grade, "hand", total, free)


@pytest.mark.parametrize("share", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("log_odds", [0.0, -2.0])
def test_independent_information_as_by_counting_every_outcome(share: float, log_odds: float) -> None:
    found, table, case = small(share, log_odds)
    counted, deviation = by_counting(case, found.marginal(JAM_NUT))
    assert counted > 0.02
    assert expected_information(found, table, beliefs()) == pytest.approx(counted, abs=4.0 * deviation / np.sqrt(DRAWS))


def test_exact_no_information_where_all_sets_look_alike() -> None:
    found, table, _ = small(0.0)
    assert expected_information(found, table, beliefs()) == 0.0


def test_exact_never_more_information_than_there_is_doubt() -> None:
    """Two sets as likely as each other leave one bit; a watch that tells them apart tells nearly all of it."""
    found, table, _ = small(50.0)
    assert 0.8 < expected_information(found, table, beliefs()) <= 1.0 + 1e-9


def test_invariant_what_was_done_in_this_setup_is_not_advised_again() -> None:
    states = states_of(JAM_NUT)
    change = growing(states[0], {0: 20.0}, watches=2)
    tables = {
        setup: made_table({JAM_NUT: share * change}, setup=setup, watches=WATCHES)
        for setup, share in ((ON_ARM, 1.0), (ON_FRAME, 1.0), (IDLER, 0.0))
    }
    found = posterior(states, {JAM_NUT: 0.0}, (), beliefs())
    advised = next_checks(yard_pickup(), found, tables, [ON_ARM], [], beliefs())
    assert [advice.setup for advice in advised] == [ON_FRAME]


def test_exact_a_change_of_support_costs_its_minutes() -> None:
    states = states_of(JAM_NUT)
    change = growing(states[0], {0: 20.0}, watches=2)
    tables = {s: made_table({JAM_NUT: change}, setup=s, watches=WATCHES) for s in (ON_ARM, ON_FRAME)}
    found = posterior(states, {JAM_NUT: 0.0}, (), beliefs())
    before = next_checks(yard_pickup(), found, tables, [IDLER], [], beliefs())
    minutes = {advice.setup: advice.minutes for advice in before}
    assert before[0].setup == ON_FRAME
    assert minutes[ON_ARM] - minutes[ON_FRAME] == beliefs().support_change_minutes
