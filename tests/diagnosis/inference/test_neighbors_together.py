"""Pairs of worn parts put together a few neighboring states at a time, against all states one by one."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.diagnosis.inference import two_worn
from looseends.diagnosis.inference.ladders import Ladders, crossed
from looseends.diagnosis.inference.rows import StateRows
from looseends.diagnosis.inference.worn_sets import WornSets, up_to_two
from tests.diagnosis.inference.test_independent_posterior import VISITS, case_table, judged
from tests.diagnosis.made_tables import CARRIER, JAM_NUT, states_of

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")


@pytest.mark.parametrize("readings", VISITS.values(), ids=VISITS)
def test_independent_neighbors_together_change_chances_by_less_than_a_hundredth(
    readings: tuple, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = case_table(2, shared=True)
    each, _ = judged(table, readings)
    monkeypatch.setattr(two_worn, "_FEW_JOINT_STATES", 0)
    together, _ = judged(table, readings)
    np.testing.assert_allclose(together.probabilities, each.probabilities, atol=0.01)
    for part in PARTS:
        np.testing.assert_allclose(together.state_weights(part), each.state_weights(part), atol=0.01)


def test_independent_a_pair_that_is_not_looked_into_is_off_by_less_than_a_factor_of_six(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    table = case_table(1)
    each, _ = judged(table, VISITS["gauges"])
    monkeypatch.setattr(two_worn, "_FEW_JOINT_STATES", 0)
    monkeypatch.setattr(two_worn, "_LOOKED_INTO", 1.0)
    rough, _ = judged(table, VISITS["gauges"])
    pairs = (each.sets.sizes == 2) & (each.probabilities > 1e-4)
    off = np.abs(rough.log_weights - each.log_weights)[pairs]
    assert 1e-3 < off.max() < np.log(6.0)


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 4), st.integers(0, 30), st.integers(0, 4)), max_size=5))
def test_exact_crossed_as_by_loops(segments: list[tuple[int, int, int, int]]) -> None:
    numbers = np.array(segments, dtype=np.intp).reshape(-1, 4)
    expected = [
        (n, i, j)
        for n, (a, count_a, b, count_b) in enumerate(segments)
        for i, j in product(range(a, a + count_a), range(b, b + count_b))
    ]
    assert list(zip(*(found.tolist() for found in crossed(*numbers.T)), strict=True)) == expected


@given(st.lists(st.lists(st.integers(0, 62), min_size=1, max_size=20, unique=True), min_size=1, max_size=4), st.data())
def test_exact_neighborhoods_hold_each_row_once_and_all_its_weight(
    chosen: list[list[int]], data: st.DataObject
) -> None:
    rows = StateRows.of(states_of(CARRIER))
    flat = np.array([row for pair in chosen for row in sorted(pair)], dtype=np.intp)
    logs = np.array(data.draw(st.lists(st.floats(-30.0, 5.0), min_size=len(flat), max_size=len(flat))))
    ladders = Ladders(flat, logs, np.cumsum([0, *map(len, chosen)]))
    inside, together, begins = ladders.by_neighbors(rows)
    pair = np.repeat(np.arange(len(chosen)), ladders.counts)
    assert sorted(zip(pair, flat, logs, strict=True)) == sorted(zip(pair, inside.rows, inside.logs, strict=True))
    for n in range(len(chosen)):
        for m in range(together.first[n], together.first[n + 1]):
            own = slice(begins[m], begins[m + 1])
            assert ladders.first[n] <= own.start < own.stop <= ladders.first[n + 1]
            assert len(set(rows.neighborhood[inside.rows[own]])) == 1
            assert together.rows[m] == inside.rows[own][np.argmax(inside.logs[own])]
            assert np.exp(together.logs[m]) == pytest.approx(np.exp(inside.logs[own]).sum())
    assert together.first[-1] == len(begins) - 1 == len(set(zip(pair, rows.neighborhood[flat], strict=True)))


def test_exact_a_neighborhood_is_two_knots_next_to_each_other_on_each_worn_axis() -> None:
    (states,) = states_of(CARRIER)
    neighborhood = StateRows.of([states]).neighborhood
    for a, b in product(range(len(states.index)), repeat=2):
        alike = all(
            (i < 0) == (j < 0) and max(i, 0) // 2 == max(j, 0) // 2
            for i, j in zip(states.index[a], states.index[b], strict=True)
        )
        assert (neighborhood[a] == neighborhood[b]) == alike


def test_exact_sets_within_a_set_as_by_comparing_all_whether_they_were_joined_or_not() -> None:
    larger = [("a", "b", "c"), ("b", "c", "d"), ("a", "b", "c", "d")]
    base = up_to_two(("a", "b", "c", "d"))
    joined, plain = base.joined(larger), WornSets(base.names, (*base.parts, *larger))
    for sets in (joined, plain):
        assert [set(np.array(sets.names)[row]) for row in sets.worn] == [set(parts) for parts in sets.parts]
        for n, parts in enumerate(sets.parts):
            own = sets.within.of(n)
            found = dict(zip(sets.within.number[own].tolist(), sets.within.fewer[own].tolist(), strict=True))
            expected = {m: len(parts) - len(some) for m, some in enumerate(sets.parts) if set(some) <= set(parts)}
            assert found == expected
    assert base.having(("a", "b")).tolist() == [{"a", "b"} <= set(parts) for parts in base.parts]
    assert not base.having(("a", "nobody")).any()
