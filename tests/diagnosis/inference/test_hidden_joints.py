"""Joints that a check names as hidden: hidden in all its readings or in none, against every choice written out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.hidden import MOST, hidden_joints, with_hidden_joints
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.detect import chance_seen
from looseends.diagnosis.observed.evidence import Clue, clues_of
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any
from looseends.inspection.types import CheckDone, Hidden
from tests.diagnosis.enumeration import Case
from tests.diagnosis.inference.test_independent_posterior import RESOLUTIONS, case_table
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    ON_FRAME,
    TREAD,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_table,
    states_of,
)

BUSHING = "sway-bar-bushing-left"
PARTS = (JAM_NUT, BUSHING)
ODDS = {JAM_NUT: -0.5, BUSHING: -1.0}
SILENT = (gauge(CARRIER, 0.15), gauge(TREAD, 0.2), by_hand(BEARING, "none"))
GREASE, RUST = Hidden(JAM_NUT, "grease"), Hidden(BUSHING, "rust")
SETUPS = {1: case_table(1).setup, 2: ON_FRAME}
TABLES = {1: case_table(1), 2: replace(case_table(2), setup=ON_FRAME)}


def checks_with(first: tuple[Hidden, ...], second: tuple[Hidden, ...]) -> tuple[CheckDone, CheckDone]:
    """Two silent checks in two supports, each with what hides joints in it."""
    one = replace(check_done(*SILENT, setup=SETUPS[1]), hidden=first)
    return one, replace(check_done(gauge(TREAD, 0.2), setup=ON_FRAME, number=2), hidden=second)


def found_for(checks: Sequence[CheckDone]) -> Posterior:
    """The posterior of both parts."""
    states = states_of(*PARTS)

    def weighed(clues: Sequence[Clue]) -> Posterior:
        return posterior(states, ODDS, clues, beliefs())

    clues = clues_of(checks, TABLES, states, beliefs())
    return with_hidden_joints(weighed(clues), clues, weighed)


def enumerated(checks: Sequence[CheckDone]) -> dict[frozenset[str], float]:
    """Every set, its states and every choice of hidden joints, one by one."""
    states, chances = {s.part.id: s for s in states_of(*PARTS)}, load_circumstances().hidden
    joints = sorted({joint for done in checks for joint in done.hidden}, key=str)
    weights: dict[frozenset[str], float] = {}
    for choice in product((False, True), repeat=len(joints)):
        chosen = dict(zip(joints, choice, strict=True))
        chance = math.prod(chances[j.by] if is_hidden else 1.0 - chances[j.by] for j, is_hidden in chosen.items())
        cases = []
        for done in checks:
            gone = {joint.part for joint in done.hidden if chosen[joint]}
            table = TABLES[done.number]
            table = replace(
                table,
                singles={part: change for part, change in table.singles.items() if part not in gone},
                pairs={pair: found for pair, found in table.pairs.items() if not gone & set(pair)},
            )
            cases.append(Case(states, ODDS, table, done.readings, RESOLUTIONS, beliefs()))
        for worn in [worn for size in range(3) for worn in combinations(PARTS, size)]:
            prior = math.prod(math.exp(ODDS[part]) for part in worn)
            for numbers in product(*(range(len(states[part].weight)) for part in worn)):
                state = tuple(zip(worn, numbers, strict=True))
                own = math.prod(float(states[part].weight[number]) for part, number in state)
                likelihood = math.prod(case.likelihood(state) for case in cases)
                weights[frozenset(worn)] = weights.get(frozenset(worn), 0.0) + chance * prior * own * likelihood
    total = sum(weights.values())
    return {worn: weight / total for worn, weight in weights.items()}


@pytest.mark.parametrize(
    ("first", "second"),
    [((GREASE,), ()), ((GREASE,), (GREASE,)), ((GREASE, RUST), (RUST,)), ((GREASE,), (Hidden(JAM_NUT, "rust"),))],
    ids=["one check", "two checks alike", "two joints", "two hiders"],
)
def test_independent_sets_as_by_every_choice_written_out(first: tuple[Hidden, ...], second: tuple[Hidden, ...]) -> None:
    checks = checks_with(first, second)
    found, expected = found_for(checks), enumerated(checks)
    for explanation, p in zip(found.explanations, found.probabilities, strict=True):
        assert p == pytest.approx(expected[frozenset(explanation.parts)], abs=3e-6)
        assert explanation.weights.sum() == pytest.approx(1.0)


def silent_often(count: int) -> tuple[CheckDone, ...]:
    """One greasy check in which a jam nut would show at every watch, silent at so many of them."""
    watches = (CARRIER, FOLLOWER, BEARING, TREAD)
    return (replace(check_done(*(gauge(watch, 0.2) for watch in watches[:count])), hidden=(GREASE,)),)


def test_exact_many_silent_readings_of_one_greasy_joint_take_no_more_from_it_than_one() -> None:
    """Each of them leaves the odds of being hidden and worn: not a power of them."""
    (states,) = states_of(JAM_NUT)
    table = made_table({JAM_NUT: growing(states, dict.fromkeys(range(4), 9.0))})
    odds = math.exp(ODDS[JAM_NUT]) * load_circumstances().hidden["grease"]
    for count in (1, 4):
        clues = clues_of(silent_often(count), {1: table}, [states], beliefs())

        def weighed(known: Sequence[Clue]) -> Posterior:
            return posterior([states], {JAM_NUT: ODDS[JAM_NUT]}, known, beliefs())

        found = with_hidden_joints(weighed(clues), clues, weighed)
        assert found.marginal(JAM_NUT) == pytest.approx(odds / (1.0 + odds), abs=0.01)


def test_exact_the_chance_to_have_seen_it_counts_what_hides_it_once_and_cleaning_gives_it_back() -> None:
    (states,) = states_of(JAM_NUT)
    table = made_table({JAM_NUT: growing(states, dict.fromkeys(range(4), 9.0))})
    greasy = clues_of(silent_often(4), {1: table}, [states], beliefs())
    axis, hidden = states.axes[0], load_circumstances().hidden["grease"]
    assert chance_seen_by_any(greasy, states, axis, beliefs()) == pytest.approx(1.0 - hidden, abs=1e-3)
    cleaned = clues_of([replace(silent_often(1)[0], hidden=(), number=1)], {1: table}, [states], beliefs())
    both = chance_seen_by_any([*greasy, *cleaned], states, axis, beliefs())
    assert chance_seen(cleaned[0], states, axis, beliefs()) < both < 1.0 - beliefs().masked_chance


def test_exact_of_more_hidden_joints_those_with_most_readings_are_counted_so() -> None:
    (states,) = states_of(JAM_NUT)
    table = made_table({JAM_NUT: growing(states, {0: 1.0})})
    hiders = [Hidden(JAM_NUT, by) for by in load_circumstances().hidden]
    checks = [
        replace(check_done(*[gauge(w, 0.2) for w in (CARRIER, TREAD)[: 1 + (n == 3)]], number=n + 1), hidden=(joint,))
        for n, joint in enumerate(hiders)
    ]
    clues = clues_of(checks, dict.fromkeys(range(1, 6), table), [states], beliefs())
    assert hidden_joints(clues)[0] == hiders[3]
    assert len(hidden_joints(clues)) == min(MOST, len(hiders))


def test_exact_a_joint_that_moves_none_of_the_readings_is_not_asked_about() -> None:
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 1.0})})
    done = replace(check_done(gauge(CARRIER, 0.2)), hidden=(GREASE,))
    clues = clues_of([done], {1: table}, [states], beliefs())
    assert hidden_joints(clues) == ()
    assert np.all(clues[0].change[CARRIER] >= 0.0)
