"""What is worked out for all parts and kept with tables, against the same for one part and by a table never asked."""

from __future__ import annotations

import gc
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.detect import _by_tables, answers_of, best_by_hand, chance_seen
from looseends.diagnosis.observed.evidence import Clue, clues_of
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any, chances_seen_by_any
from looseends.diagnosis.tables.states import plain_odds
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.proving import best_setup
from looseends.diagnosis.verdicts.remarks import _reads_more, explained, leading_weights, unresolved
from looseends.inspection.types import CheckDone, Hidden, Reading
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
    WATCHES,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_table,
    states_of,
    yard_pickup,
)

PARTS = (CARRIER, FOLLOWER, BEARING, JAM_NUT)
STATES = states_of(*PARTS)
SETUPS = (ON_ARM, ON_FRAME)
VEHICLES = np.linspace(0.2, 1.4, 5)[:, None] * np.ones(len(WATCHES))


def tables() -> tuple[ResponseTable, ResponseTable]:
    """Two setups new to memory; the bearing shows in the second only, and one part as far as the vehicle has it."""
    shown = {part: growing(s, {n: 1.0, 3: 0.3}) for n, (part, s) in enumerate(zip(PARTS, STATES, strict=True))}
    less = {part: 0.6 * change for part, change in shown.items() if part != FOLLOWER}
    del shown[BEARING]
    return tuple(
        made_table(singles, setup=setup, shares={CARRIER: VEHICLES})
        for singles, setup in zip((shown, less), SETUPS, strict=True)
    )  # type: ignore[return-value]


readings = st.one_of(
    st.builds(gauge, st.sampled_from(WATCHES), st.floats(0.0, 2.0)),
    st.builds(gauge, st.sampled_from(WATCHES), st.floats(0.5, 2.0), st.floats(0.0, 0.5)),
    st.builds(by_hand, st.sampled_from(WATCHES), st.sampled_from(["none", "slight", "clear"])),
)
hiders = st.builds(Hidden, st.sampled_from(PARTS), st.sampled_from(sorted(load_circumstances().hidden)))
checks = st.lists(
    st.tuples(st.sampled_from((0, 1)), st.lists(readings, min_size=1, max_size=4), st.lists(hiders, max_size=1)),
    max_size=4,
)


def clues_from(drawn: Sequence[tuple[int, list[Reading], list[Hidden]]], of: Sequence[ResponseTable]) -> list[Clue]:
    """The clues of such checks."""
    done: list[CheckDone] = [
        replace(check_done(*read, setup=SETUPS[table], number=n), hidden=tuple(hidden))
        for n, (table, read, hidden) in enumerate(drawn)
    ]
    return list(clues_of(done, {n: of[table] for n, (table, _, _) in enumerate(drawn)}, STATES, beliefs()))


@settings(max_examples=40)
@given(drawn=checks)
def test_reference_all_parts_at_once_are_seen_as_each_by_itself(
    drawn: list[tuple[int, list[Reading], list[Hidden]]],
) -> None:
    clues = clues_from(drawn, tables())
    found = chances_seen_by_any(clues, STATES, beliefs())
    assert set(found) == set(PARTS) - {hidden.part for clue in clues for hidden in clue.check.hidden}
    for states in STATES:
        if states.part.id in found:
            alone = chance_seen_by_any(clues, states, states.axes[0], beliefs())
            assert found[states.part.id] == pytest.approx(alone, abs=1e-12)


def test_reference_what_a_table_was_asked_before_is_answered_as_by_one_never_asked() -> None:
    """Every way to read a watch in its turn, of one table and each of a new one."""
    ways = [
        gauge(CARRIER, 0.6),
        gauge(CARRIER, 0.6, 0.1),
        by_hand(CARRIER, "none"),
        Reading(CARRIER, "eye", None, "none", ""),
    ]
    drawn = [[(0, [way], hidden)] for way in ways for hidden in ([], [Hidden(CARRIER, "grease")])]
    asked, answers = tables(), set()
    for check in drawn:
        (again,), (plain,) = clues_from(check, asked), clues_from(check, tables())
        for states in STATES:
            for axis in states.axes:
                assert chance_seen(again, states, axis, beliefs()) == chance_seen(plain, states, axis, beliefs())
        answers.add(chance_seen(again, STATES[0], "axial", beliefs()))
    assert len(answers) == len(drawn)


def test_exact_a_dead_zone_read_by_other_beliefs_is_asked_anew() -> None:
    table, _ = tables()
    (clue,) = clues_of([check_done(gauge(CARRIER, 0.6, 0.1))], {1: table}, STATES, beliefs())
    duller = replace(beliefs(), dead_zone_error_mm=5.0 * beliefs().dead_zone_error_mm)
    (other,) = clues_of([check_done(gauge(CARRIER, 0.6, 0.1))], {1: table}, STATES, duller)
    first, second = (chance_seen(c, STATES[0], "axial", beliefs()) for c in (clue, other))
    assert second < first - 0.01


def test_exact_what_tables_answered_together_goes_with_the_first_that_goes() -> None:
    first, second = tables()
    answers_of(first, second)["asked"] = 1
    assert answers_of(first, second) == {"asked": 1}
    assert answers_of(second) == {}
    kept = len(_by_tables)
    del first
    gc.collect()
    assert len(_by_tables) < kept
    assert answers_of(second) == {}


def test_exact_the_best_setup_is_the_one_that_shows_it_best_whatever_was_asked_before() -> None:
    both, part = dict(zip(SETUPS, tables(), strict=True)), yard_pickup().parts[FOLLOWER]
    assert best_setup(part, STATES[1], both, beliefs()) == ON_ARM
    assert best_setup(part, STATES[1], {ON_FRAME: both[ON_FRAME]}, beliefs()) == ON_FRAME
    assert best_setup(part, STATES[1], both, beliefs()) == ON_ARM
    assert best_by_hand(both[ON_FRAME], STATES[1], STATES[1].axes[0], beliefs())[0] == 0.0


def plainly_unresolved(clues: Sequence[Clue], found: Posterior, held: Beliefs) -> list[Clue]:
    """Every reading asked first whether it is explained, and all of a watch counted."""
    leading = leading_weights(found)
    fits = [explained(clue, leading, held) for clue in clues]
    kept = []
    for clue, fit in zip(clues, fits, strict=True):
        same = [c.check.setup == clue.check.setup and c.reading.watch == clue.reading.watch for c in clues]
        agreeing = sum(there and fits[k] for k, there in enumerate(same))
        if not fit and _reads_more(clue, leading) and agreeing < 2:
            kept.append(clue)
    return kept


@settings(max_examples=25)
@given(drawn=checks)
def test_reference_what_nothing_explains_is_the_same_asked_in_any_order(
    drawn: list[tuple[int, list[Reading], list[Hidden]]],
) -> None:
    clues = clues_from(drawn, tables())
    found = posterior(STATES, plain_odds(STATES, beliefs()), clues, beliefs())
    expected = plainly_unresolved(clues, found, beliefs())
    assert unresolved(clues, found, beliefs()) == expected
    for watch in WATCHES:
        own = [clue for clue in clues if clue.reading.watch == watch]
        assert unresolved(own, found, beliefs()) == [clue for clue in expected if clue.reading.watch == watch]
