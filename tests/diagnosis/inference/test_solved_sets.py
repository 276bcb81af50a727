"""Sets that the mechanics solves again, and those with one part more that it does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.diagnosis.inference import exact
from looseends.diagnosis.inference.exact import with_leading_solved
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.views import Places, change_together
from looseends.mechanics.bodies import Array
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    WATCHES,
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


def test_invariant_solving_does_not_explain_once_more_what_a_pressed_joint_explains(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A joint that gives and shows no dead zone: worn, and pressed to one end, which the table's vehicles are not.

    The posterior allows for it already, with a small chance. Where the mechanics of another worn part beside it press
    it for certain, that part gains what the small chance cost, and is not proven by the whole reading once more.
    """
    states = states_of(CARRIER, FOLLOWER)
    at = WATCHES.index(CARRIER)
    table = made_table({CARRIER: growing(states[0], {at: 1.0}), FOLLOWER: growing(states[1], {at: 0.05, 3: 1.0})})
    clues = made_clues(table, states, gauge(CARRIER, 1.2, 0.0))
    first = posterior(states, dict.fromkeys((CARRIER, FOLLOWER), -1.0), clues, beliefs())
    both = first.explanation(first.sets.number[frozenset((CARRIER, FOLLOWER))])
    readings = ReadingSet.of(clues, beliefs())
    shared = exact._shared(both, first, readings)

    def pressed(parts: tuple[str, ...], places: Places, *_: object) -> Array:
        """All free movement gone."""
        change, _cell = change_together(parts, places, first.views, readings, shared)
        return np.stack([np.zeros(change.shape[:2]), -change[..., 1]], axis=-1)

    monkeypatch.setattr(exact, "_beyond_table", pressed)
    by_all = exact._log_ratio(both, shared, first, readings, exact.Bench(yard_pickup()))
    monkeypatch.setattr(exact, "doubted", lambda together, doubt, best: together)
    without = exact._log_ratio(both, shared, first, readings, exact.Bench(yard_pickup()))
    # What was pressed with a small chance is pressed for certain: that and no more.
    assert by_all == pytest.approx(-np.log(beliefs().pressed_chance), abs=0.3)
    assert without > by_all + 3.0
