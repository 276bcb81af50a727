"""Shapley shares: the four axioms on any set function, and the mean over all orders written plainly.

Source of axioms and formula: L. S. Shapley, A value for n-person games, 1953 (from memory).
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.consequences.shapley import MOST_PARTS, shapley_shares, subsets
from looseends.mechanics.bodies import Array

NEAR = 1e-8


@st.composite
def set_functions(draw: st.DrawFn, most: int = 6) -> Array:
    """Values of all subsets of up to `most` players, whatever they are."""
    players = draw(st.integers(0, most))
    value = st.floats(-1e3, 1e3)
    return np.array(draw(st.lists(value, min_size=1 << players, max_size=1 << players)))


def over_all_orders(values: Array) -> Array:
    """The mean of what each player adds to those before it, order by order."""
    n = len(values).bit_length() - 1
    shares, orders = np.zeros(n), list(permutations(range(n)))
    for order in orders:
        there = 0
        for player in order:
            shares[player] += values[there | 1 << player] - values[there]
            there |= 1 << player
    return shares / len(orders)


@given(set_functions(5))
@settings(max_examples=60)
def test_independent_the_mean_over_all_orders(values: Array) -> None:
    assert shapley_shares(values) == pytest.approx(over_all_orders(values), abs=NEAR)


@given(set_functions())
def test_invariant_efficiency_shares_add_up_to_what_all_make(values: Array) -> None:
    assert shapley_shares(values).sum() == pytest.approx(values[-1] - values[0], abs=NEAR)


@given(set_functions(), st.data())
def test_invariant_symmetry_players_that_add_alike_share_alike(values: Array, data: st.DataObject) -> None:
    n = len(values).bit_length() - 1
    if n < 2:
        return
    i, j = data.draw(st.permutations(range(n)))[:2]
    alike = values.copy()
    for k in range(len(values)):
        if k >> i & 1 and not k >> j & 1:
            alike[k] = alike[k & ~(1 << i) | 1 << j]
    shares = shapley_shares(alike)
    assert shares[i] == pytest.approx(shares[j], abs=NEAR)


@given(set_functions(), st.data(), st.floats(-50.0, 50.0))
def test_invariant_a_player_that_adds_the_same_to_every_set_gets_just_that(
    values: Array, data: st.DataObject, adds: float
) -> None:
    """With 0 it is the null player, who gets nothing."""
    n = len(values).bit_length() - 1
    if n == 0:
        return
    i = data.draw(st.integers(0, n - 1))
    plain = np.array([values[k & ~(1 << i)] + (adds if k >> i & 1 else 0.0) for k in range(len(values))])
    assert shapley_shares(plain)[i] == pytest.approx(adds, abs=NEAR)


@given(set_functions(4), set_functions(4), st.floats(-2.0, 2.0))
def test_invariant_additivity_shares_of_a_sum_are_the_sum_of_the_shares(a: Array, b: Array, factor: float) -> None:
    size = min(len(a), len(b))
    a, b = a[:size], b[:size]
    together = shapley_shares(a + factor * b)
    assert together == pytest.approx(shapley_shares(a) + factor * shapley_shares(b), abs=NEAR)


def test_exact_a_glove_game_of_three() -> None:
    """One left glove and two right ones: a pair is worth 1. By hand 4/6, 1/6, 1/6."""
    values = np.array([1.0 if k & 1 and k & 6 else 0.0 for k in range(8)])
    assert shapley_shares(values) == pytest.approx([4.0 / 6.0, 1.0 / 6.0, 1.0 / 6.0])


def test_exact_subsets_come_in_the_order_of_the_values() -> None:
    found = list(subsets(("a", "b", "c")))
    assert len(found) == len(set(found)) == 8
    assert (found[0], found[5], found[7]) == (frozenset(), frozenset("ac"), frozenset("abc"))
    assert 1 << MOST_PARTS == 256


@pytest.mark.parametrize("count", [0, 3, 12])
def test_values_of_no_power_of_two_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"values of {count} subsets; accepted is a power of two"):
        shapley_shares(np.zeros(count))
