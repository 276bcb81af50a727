"""Outcomes of setups: every one where there are few, else some drawn; of many setups at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array

Numbers = NDArray[np.intp]

_DRAWS = 400
_COUNTED = 256
"""Where a setup has at most so many outcomes all are counted; of more, some are drawn with fixed numbers."""

_BITS = 62
"""Outcomes that fit into a whole number of so many bits can be told apart by it."""

_BLOCK = 512
_DRAWN_BLOCK = 20
"""Setups come together up to so many outcomes, or so many that are drawn: what is in the cache goes faster."""


@dataclass(frozen=True)
class Outcomes:
    """Outcomes (o) of some setups (n), one setup's after another's: `first` (n,) where each one's begin.

    `setups` are the numbers of these setups. `share` (o,) of each outcome among its setup's; `chance` (sets, o) of each
    in each set, only up to a factor of the outcome's own; `nats` (n,) is what each setup's tell about the set.
    """

    setups: Sequence[int]
    first: Numbers
    share: Array
    chance: Array
    nats: Array


def outcomes_of(chances: Array, weight: Array, setups: Sequence[Numbers]) -> Iterator[Outcomes]:
    """The outcomes of setups, each given by its watches, from the chances (sets, w, calls) of all calls.

    Watches are independent given the set; `weight` (sets,) is each set's chance. Some setups come together: those of as
    many watches, or all of which outcomes are drawn.
    """
    calls, draw = chances.shape[2], _Draw(weight)
    counted: dict[int, list[int]] = {}
    drawn: list[int] = []
    for number, watches in enumerate(setups):
        few = calls ** len(watches) <= _COUNTED
        (counted.setdefault(len(watches), []) if few else drawn).append(number)
    for k, same in counted.items():
        for numbers in _groups(same, max(_BLOCK // calls**k, 1)):
            yield _counted(chances, weight, numbers, np.array([setups[n] for n in numbers]))
    for numbers in _groups(drawn, _DRAWN_BLOCK):
        yield _drawn(chances, weight, numbers, [setups[n] for n in numbers], draw)


def _groups(numbers: Sequence[int], size: int) -> list[Sequence[int]]:
    return [numbers[i : i + size] for i in range(0, len(numbers), size)]


def _counted(chances: Array, weight: Array, setups: Sequence[int], watches: Numbers) -> Outcomes:
    """Every outcome of setups with as many watches (n, k)."""
    count, k = watches.shape
    each = chances.take(watches, axis=1)
    product = each[:, :, 0]
    for watch in range(1, k):
        product = (product[..., None] * each[:, :, watch, None, :]).reshape(len(weight), count, -1)
    first = np.arange(count) * product.shape[2]
    product = product.reshape(len(weight), -1)
    share = weight @ product
    # What is told is the outcomes' entropy less what is left of it given the set, where that of each watch adds up.
    given = weight @ (each * np.log(each)).sum(axis=(2, 3))
    return Outcomes(setups, first, share, product, given - np.add.reduceat(share * np.log(share), first))


def _drawn(chances: Array, weight: Array, setups: Sequence[int], watches: Sequence[Numbers], draw: _Draw) -> Outcomes:
    """Outcomes of setups that have many, drawn."""
    ends = np.cumsum([len(own) for own in watches])
    each = np.split(chances.take(np.concatenate(watches), axis=1), ends[:-1], axis=1)
    called, share, counts = _counted_once(draw.calls(each), ends, chances.shape[2])
    first = np.cumsum(counts) - counts
    logs = np.concatenate([_log_chances(own, call) for own, call in zip(each, called, strict=True)], axis=1)
    logs -= logs.max(axis=0)
    chance = np.exp(logs)
    mixed = weight @ chance
    # What an outcome tells is how far it moves the sets' weights: the mean of log(after / before).
    moved = weight @ (chance * logs) / mixed - np.log(mixed)
    return Outcomes(setups, first, share, chance, np.add.reduceat(share * moved, first))


class _Draw:
    """Outcomes drawn with fixed numbers: the same sets and the same numbers for every setup."""

    def __init__(self, weight: Array) -> None:
        self._rng = np.random.default_rng(0)
        # Each set as often as its weight says: only the outcomes are left to chance.
        self._sets = np.searchsorted(np.cumsum(weight), (np.arange(_DRAWS) + 0.5) / _DRAWS).clip(max=len(weight) - 1)
        self._numbers = np.zeros((_DRAWS, 0))

    def calls(self, setups: Sequence[Array]) -> Numbers:
        """The calls (draws, w) at all watches of some setups with chances (sets, k, calls), draw by draw."""
        numbers = np.concatenate([self._uniform(chances.shape[1]) for chances in setups], axis=1)
        ends = np.cumsum(np.concatenate(setups, axis=1)[..., :-1], axis=2)
        call = np.zeros(numbers.shape, dtype=np.uint8)
        for end in np.ascontiguousarray(ends.transpose(2, 0, 1)):
            call += numbers > end.take(self._sets, axis=0)
        return call.astype(np.intp)

    def _uniform(self, k: int) -> Array:
        if self._numbers.shape[1] < k:
            more = self._rng.random((_DRAWS, k - self._numbers.shape[1]))
            self._numbers = np.concatenate([self._numbers, more], axis=1)
        return self._numbers[:, :k]


def _counted_once(call: Numbers, ends: Numbers, calls: int) -> tuple[list[Numbers], Array, Numbers]:
    """Those outcomes (o, k) of each setup that differ, the share of each of all (o,), and how many each setup has (n,).

    From the calls (draws, w) at all watches of some setups, where `ends` (n,) says where each one's watches end: most
    draws come out as others did.
    """
    draws, counts = len(call), np.diff(ends, prepend=0)
    if counts.max() * np.log2(calls) > _BITS:
        return np.split(call, ends[:-1], axis=1), np.full(draws * len(ends), 1.0 / draws), np.full(len(ends), draws)
    digits = [calls ** np.arange(count) for count in counts]
    number = np.add.reduceat(call * np.concatenate(digits), ends - counts, axis=1).T.copy()
    number.sort(axis=1)
    begins = np.diff(number, axis=1, prepend=-1) != 0
    at, found = np.flatnonzero(begins), begins.sum(axis=1)
    once = np.split(number.ravel()[at], np.cumsum(found)[:-1])
    called = [own[:, None] // each % calls for own, each in zip(once, digits, strict=True)]
    return called, np.diff(at, append=number.size) / draws, found


def _log_chances(chances: Array, call: Numbers) -> Array:
    """Log chance (sets, n) of some outcomes (n, k), from the chance (sets, k, calls) of each call."""
    sets, k, calls = chances.shape
    called = np.zeros((len(call), k * calls))
    called[np.arange(len(call))[:, None], np.arange(k) * calls + call] = 1.0
    return np.asarray(np.log(chances).reshape(sets, -1) @ called.T)
