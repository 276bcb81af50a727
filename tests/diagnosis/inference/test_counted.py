"""Joint states of many sets that are made when somebody asks (exact)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.diagnosis.inference.counted import Counted, EachLater, in_a_row
from looseends.diagnosis.inference.rows import max_of, sum_of


def one(number: int) -> Counted:
    """Joint states that tell their number."""
    return Counted(np.array([[number]]), np.ones(1))


@given(st.lists(st.lists(st.integers(0, 99), max_size=4), min_size=1, max_size=4))
def test_exact_sets_in_a_row_are_those_of_each_one_after_another(several: list[list[int]]) -> None:
    rows = [EachLater(lambda n, own=own: one(own[n]), len(own)) for own in several]
    expected = [number for own in several for number in own]
    row = in_a_row(*rows)
    assert len(row) == len(expected)
    assert [int(each.places[0, 0]) for each in row] == expected
    with pytest.raises(IndexError):
        row[len(expected)]


def test_exact_a_set_is_made_once_and_only_when_asked() -> None:
    made: list[int] = []

    def make(number: int) -> Counted:
        made.append(number)
        return one(number)

    row = EachLater(make, 5)
    assert row[3] is row[3]
    assert made == [3]


@given(st.lists(st.lists(st.integers(0, 5), min_size=3, max_size=3), max_size=6))
def test_exact_sums_and_largest_of_rows_as_along_an_axis(chosen: list[list[int]]) -> None:
    rows = np.array(chosen, dtype=np.intp).reshape(-1, 3)
    values = np.random.default_rng(1).normal(size=(6, 2))
    before = values.copy()
    np.testing.assert_allclose(sum_of(values, rows), values[rows].sum(axis=1), atol=1e-12)
    np.testing.assert_array_equal(max_of(values, rows), values[rows].max(axis=1))
    np.testing.assert_array_equal(values, before)
