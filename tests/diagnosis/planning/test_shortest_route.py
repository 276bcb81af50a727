"""The choice of looks against every choice counted out, and what no choice can do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.planning.shortest import Look, most_proven, shortest
from looseends.errors import LooseEndsError

SUPPORTS = ("wheels", "frame", "arm")
THINGS = ("a", "b", "c", "d", "e")

looks = st.lists(
    st.builds(
        Look,
        support=st.sampled_from(SUPPORTS),
        minutes=st.sampled_from([2.0, 2.5, 3.0, 4.0, 6.0]),
        proves=st.frozensets(st.sampled_from(THINGS), max_size=3),
        trouble=st.sampled_from([0.0, 1.0]),
    ),
    min_size=1,
    max_size=7,
)
changes = st.fixed_dictionaries({support: st.sampled_from([0.0, 2.0, 5.0, 6.5]) for support in SUPPORTS})
weights = st.fixed_dictionaries({thing: st.sampled_from([0.05, 0.1, 0.2, 0.45]) for thing in THINGS})


def choices(found: Sequence[Look]) -> Iterator[tuple[Look, ...]]:
    """Every choice of looks."""
    return (chosen for size in range(len(found) + 1) for chosen in combinations(found, size))


def cost(chosen: Sequence[Look], change: Mapping[str, float]) -> float:
    """Minutes [min] of the looks, and of each support once."""
    return sum(look.minutes for look in chosen) + sum(change[support] for support in {look.support for look in chosen})


def proven(chosen: Sequence[Look]) -> frozenset[str]:
    """All that they prove."""
    return frozenset().union(*(look.proves for look in chosen))


@settings(max_examples=150)
@given(looks, changes)
def test_independent_the_shortest_as_by_trying_every_choice(found: list[Look], change: dict[str, float]) -> None:
    wanted = proven(found)
    enough = [chosen for chosen in choices(found) if proven(chosen) >= wanted]
    least = min(cost(chosen, change) for chosen in enough)
    choice = shortest(found, change, wanted)
    taken = [found[i] for i in choice.taken]
    assert proven(taken) >= wanted
    assert cost(taken, change) == pytest.approx(choice.minutes) == pytest.approx(least)
    assert choice.goal == pytest.approx(choice.bound, abs=1e-6) == pytest.approx(least)
    as_short = [chosen for chosen in enough if cost(chosen, change) < least + 1e-9]
    assert sum(look.trouble for look in taken) == min(sum(look.trouble for look in chosen) for chosen in as_short)


@settings(max_examples=150)
@given(looks, changes, weights, st.sampled_from([0.0, 4.0, 7.5, 12.0, 40.0]))
def test_independent_the_most_within_a_time_as_by_trying_every_choice(
    found: list[Look], change: dict[str, float], weight: dict[str, float], minutes: float
) -> None:
    within = [chosen for chosen in choices(found) if cost(chosen, change) <= minutes + 1e-9]
    most = max(sum(weight[thing] for thing in proven(chosen)) for chosen in within)
    choice = most_proven(found, change, weight, minutes)
    taken = [found[i] for i in choice.taken]
    assert sum(weight[thing] for thing in proven(taken)) == pytest.approx(most)
    assert cost(taken, change) <= minutes + 1e-6
    assert choice.goal == pytest.approx(choice.bound, abs=1e-6) == pytest.approx(most)
    as_much = [c for c in within if sum(weight[thing] for thing in proven(c)) > most - 1e-9]
    assert choice.minutes == pytest.approx(min(cost(chosen, change) for chosen in as_much))


def test_exact_one_change_of_support_may_be_worth_a_longer_check() -> None:
    found = [Look("frame", 3.0, frozenset("a")), Look("arm", 3.0, frozenset("b")), Look("arm", 5.0, frozenset("a"))]
    choice = shortest(found, {"frame": 6.0, "arm": 6.0}, "ab")
    assert (choice.taken, choice.minutes) == ((1, 2), 14.0)
    assert shortest(found, {"frame": 1.0, "arm": 6.0}, "ab").taken == (0, 1)


def test_exact_of_looks_alike_the_plain_one_is_taken() -> None:
    found = [Look("frame", 3.0, frozenset("a"), trouble=1.0), Look("frame", 3.0, frozenset("a"))]
    assert shortest(found, {"frame": 6.0}, "a").taken == (1,)


def test_what_no_look_proves_cannot_be_asked_for() -> None:
    with pytest.raises(
        LooseEndsError, match=r"^No look proves b: a route can only be asked for what some look proves\.$"
    ):
        shortest([Look("frame", 3.0, frozenset("a"))], {"frame": 6.0}, "ab")
