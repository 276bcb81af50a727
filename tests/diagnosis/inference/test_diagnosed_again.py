"""A visit diagnosed again after each reading: what was worked out before changes nothing (exact)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.inference.diagnose import Diagnosing, diagnose
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.in_common import InCommon
from looseends.diagnosis.inference.known import Known
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import StateRows
from looseends.diagnosis.inference.together import JointStates, KnownSums, all_gains
from looseends.diagnosis.inference.views import AllViews, PartViews, grid
from looseends.diagnosis.judge import judgement_of, standing_of
from looseends.diagnosis.tables.states import PartStates
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import NotChecked, Reading, Replaced
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.inference.test_independent_posterior import case_table
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
    TREAD,
    beliefs,
    by_hand,
    check_done,
    gauge,
    made_clues,
    seen,
    states_of,
    visit,
    yard_pickup,
)
from tests.diagnosis.plain_gains import gain_together

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
TABLE = case_table(1, shared=True)
READINGS = (
    gauge(CARRIER, 1.6),
    gauge(CARRIER, 1.2),
    gauge(TREAD, 0.9),
    gauge(TREAD, 4.0, 0.5),
    gauge(BEARING, 0.3, 0.1),
    by_hand(CARRIER, "clear"),
    by_hand(BEARING, "slight"),
    by_hand(BEARING, "none"),
    by_hand(FOLLOWER, "none"),
)

LEFT_OUT = NotChecked(1, JAM_NUT, "no time")

visits = st.lists(
    st.tuples(st.lists(st.sampled_from(READINGS), max_size=6), st.sampled_from([-4.0, -1.0, 1.0]), st.booleans()),
    min_size=2,
    max_size=5,
)


def weighed(states: Sequence[PartStates], evenly: bool) -> tuple[PartStates, ...]:
    """The states as they are, or as if every one of a part's were as likely."""
    if not evenly:
        return tuple(states)
    return tuple(replace(s, weight=np.full(len(s.weight), 1.0 / len(s.weight))) for s in states)


def of(readings: Sequence[Reading], odds: float, evenly: bool, known: Known | None = None) -> Posterior:
    """The posterior of three parts, two of which interact."""
    states = weighed(states_of(*PARTS), evenly)
    clues = made_clues(TABLE, states, *readings)
    return posterior(states, dict.fromkeys(PARTS, odds), clues, beliefs(), known)


def assert_same(found: Posterior, fresh: Posterior) -> None:
    """Every chance and every state's weight alike, but for rounding."""
    assert [e.parts for e in found.explanations] == [e.parts for e in fresh.explanations]
    assert found.probabilities == pytest.approx(fresh.probabilities, abs=1e-10)
    for part in fresh.states:
        assert found.marginal(part) == pytest.approx(fresh.marginal(part), abs=1e-10)
        assert found.state_weights(part) == pytest.approx(fresh.state_weights(part), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(visits)
def test_exact_readings_added_repeated_withdrawn_and_weighed_otherwise(
    asked: list[tuple[list[Reading], float, bool]],
) -> None:
    known = Known()
    for readings, odds, evenly in asked:
        assert_same(of(readings, odds, evenly, known), of(readings, odds, evenly))


def test_invariant_only_what_the_last_posterior_asked_is_kept() -> None:
    known = Known()
    of(READINGS[:6], -1.0, False, known)
    of(READINGS[:2], -1.0, False, known)
    once = Known()
    of(READINGS[:2], -1.0, False, once)
    assert known.columns.keys() == once.columns.keys()
    assert [sums.each.keys.size for sums in known.pairs] == [sums.each.keys.size for sums in once.pairs]


@pytest.mark.parametrize("parts", [PARTS[:2], PARTS[1:], PARTS], ids=len)
def test_exact_gains_of_many_joint_states_as_reading_by_reading(parts: tuple[str, ...]) -> None:
    states = states_of(*PARTS)
    readings = ReadingSet.of(made_clues(TABLE, states, *READINGS), beliefs())
    views = AllViews.of(StateRows.of(states), readings)
    numbers = np.array([[PARTS.index(part) for part in parts]])
    places = grid(*(np.arange(0, len(states[n].weight), 3) for n in numbers[0]))
    columns = views.moves[numbers].sum(axis=1) >= 2
    joint = JointStates(numbers, places + views.rows.first[numbers[0]], np.array([0, len(places)]), columns)
    one_by_one = gain_together(parts, places, PartViews(views), readings).sum(axis=1)
    assert np.ptp(one_by_one) > 1.0
    assert all_gains(joint, views, readings, KnownSums()) == pytest.approx(one_by_one, abs=1e-10)


def test_exact_a_visit_goes_on_as_if_it_were_diagnosed_anew(preparation: Preparation) -> None:
    first = check_done(gauge(CARRIER, 1.4), by_hand(BEARING, "none"), setup=ON_ARM)
    more = replace(first, readings=(*first.readings, gauge(TREAD, 1.1)))
    second = replace(check_done(gauge(CARRIER, 0.1), gauge(TREAD, 0.3), setup=ON_FRAME), number=2)
    replaced = replace(visit(more, second), replaced=(Replaced(1, CARRIER, 1, "Ines Calder", ""),))
    diagnosing = Diagnosing(yard_pickup(), preparation.store)
    for asked in (
        visit(first),
        visit(more),
        visit(more, second),
        visit(more, second, conditions=(seen(CARRIER, "torn-boot"),)),
        replaced,
        visit(first, second),
    ):
        found = diagnosing.diagnosed(asked, usual=False)
        fresh = Diagnosing(yard_pickup(), preparation.store).diagnosed(asked, usual=False)
        assert_same(found.posterior, fresh.posterior)


def test_exact_visits_with_all_in_common_are_diagnosed_as_if_each_were_alone(preparation: Preparation) -> None:
    common = InCommon(yard_pickup(), preparation.store)
    first = check_done(gauge(CARRIER, 1.4), by_hand(BEARING, "none"), setup=ON_ARM)
    second = check_done(gauge(CARRIER, 0.1), gauge(TREAD, 0.3), setup=ON_FRAME)
    one, other = (Diagnosing(yard_pickup(), preparation.store, common=common) for _ in range(2))
    for diagnosing, asked in ((one, first), (other, second), (one, first), (other, first), (one, second)):
        found = diagnosing.diagnosed(visit(asked), usual=False)
        assert_same(
            found.posterior, diagnose(visit(asked), yard_pickup(), store=preparation.store, usual=False).posterior
        )
    assert one.diagnosed(visit(first), usual=False).clues[0].table is common.tables_of([ON_ARM])[ON_ARM]


def test_exact_the_standing_is_the_judgement_but_for_what_moved_the_suspects(preparation: Preparation) -> None:
    asked = visit(check_done(gauge(CARRIER, 1.4), by_hand(BEARING, "none"), setup=ON_FRAME))
    asked = replace(asked, not_checked=(LEFT_OUT,))
    found = Diagnosing(yard_pickup(), preparation.store).diagnosed(asked, usual=False)
    found = replace(found, tables=InCommon(yard_pickup(), preparation.store).tables_of([ON_ARM, ON_FRAME]))
    standing, whole = standing_of(found, load_policy()), judgement_of(found, load_policy())
    assert standing.findings == whole.findings
    assert standing.unproven == whole.unproven
    assert standing.suspects == tuple(replace(suspect, moved_by=()) for suspect in whole.suspects)
    assert any(suspect.moved_by for suspect in whole.suspects)
