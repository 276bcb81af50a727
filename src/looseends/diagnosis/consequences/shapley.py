"""Fair shares of a total that parts make together, exact for any set function."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import factorial

import numpy as np

from looseends.mechanics.bodies import Array

MOST_PARTS = 8
"""Parts that are shared among at once: 256 subsets, each of them solved."""


def subsets(members: Sequence[str]) -> Iterator[frozenset[str]]:
    """All 2^n subsets; member i is in subset number k where bit i of k is set."""
    for number in range(1 << len(members)):
        yield frozenset(member for bit, member in enumerate(members) if number >> bit & 1)


def shapley_shares(values: Array) -> Array:
    """Shares (n,) of n players from the values (2^n,) of all subsets; they add up to values[-1] - values[0].

    Player i is in subset k where bit i of k is set. A share is what the player adds to those before it, as a mean over
    all n! orders.

    Parameters
    ----------
    values : (2^n,) array
        Value of each subset, in any unit; the shares are in the same.

    Raises
    ------
    ValueError
        If the number of values is no power of two.

    Source
    ------
    L. S. Shapley, A value for n-person games, Contributions to the Theory of Games II, 1953, pp. 307-317 (from memory).
    """
    count = len(values)
    if count == 0 or count & (count - 1):
        raise ValueError(f"values of {count} subsets; accepted is a power of two")
    n = count.bit_length() - 1
    number = np.arange(count)
    size = np.array([k.bit_count() for k in range(count)])
    # Orders in which exactly the s members of a subset stand before the player: s! (n - s - 1)! of n!.
    weight = np.array([factorial(s) * factorial(n - s - 1) / factorial(n) for s in range(n)] + [0.0])
    shares = np.zeros(n)
    for player in range(n):
        without = number[number >> player & 1 == 0]
        shares[player] = weight[size[without]] @ (values[without | 1 << player] - values[without])
    return shares
