"""Sets that the mechanics solves again, and those with one part more that it does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from looseends.diagnosis.inference import exact
from looseends.diagnosis.inference.exact import with_leading_solved
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    beliefs,
    gauge,
    growing,
    made_clues,
    made_table,
    states_of,
    yard_pickup,
)


def test_a_set_that_is_not_solved_changes_as_the_largest_solved_one_within_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a leading set whose table is off falls behind every set with one part more."""
    states = states_of(CARRIER, FOLLOWER, BEARING)
    table = made_table({s.part.id: growing(s, {n: 1.0, 3: 1.0}) for n, s in enumerate(states)})
    clues = made_clues(table, states, gauge(CARRIER, 2.0), gauge(FOLLOWER, 0.2), gauge(BEARING, 0.2))
    first = posterior(states, dict.fromkeys((CARRIER, FOLLOWER, BEARING), -1.0), clues, beliefs())
    leading = first.leading(1)[0][0]
    assert leading.parts == (CARRIER,)
    monkeypatch.setattr(exact, "_log_ratio", lambda explanation, *_: -5.0)
    solved = with_leading_solved(first, yard_pickup(), ReadingSet.of(clues, replace(beliefs(), leading_sets=1)))
    before = {frozenset(e.parts): e.log_weight for e in first.explanations}
    moved = {frozenset(e.parts): e.log_weight - before[frozenset(e.parts)] for e in solved.explanations}
    assert all(by == pytest.approx(-5.0 if CARRIER in parts else 0.0) for parts, by in moved.items())
    assert [e.parts for e in solved.explanations if e.solved_exactly] == [(CARRIER,)]
