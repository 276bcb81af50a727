"""The chance of every call at every watch in some sets of worn parts, averaged over the states that each may be in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.observed.forecast import Forecast, Names, Places
from looseends.mechanics.bodies import Array

Numbers = NDArray[np.intp]

_STATES = 8
_TOGETHER = 12
"""Each part of a set is taken in so many leading states, several together in so many joint ones."""


def averaged_chances(posterior: Posterior, sets: Sequence[Explanation], forecast: Forecast) -> Array:
    """Chance (sets, w, calls) of each call at the watches of a forecast, averaged over each set's states."""
    found = np.repeat(forecast.sound[None], len(sets), axis=0)
    mixes = _mixes(sets, forecast, _Leading.of(posterior, sets))
    each = forecast.averaged({names: (mix.places, mix.weights) for names, mix in mixes.items()})
    # What more parts move together is written over what fewer of them move.
    for names in sorted(mixes, key=len):
        watches, chances = each[names]
        found[np.array(mixes[names].numbers)[:, None], watches] = chances
    return found


@dataclass(frozen=True)
class _Leading:
    """Leading states (r, n) of each part of each set and their weights (r, n), the first first.

    `row` by number of the set and part; `count` of each part, which may have fewer states than are taken of others.
    """

    row: dict[tuple[int, str], int]
    count: dict[str, int]
    states: Numbers
    weights: Array

    @staticmethod
    def of(posterior: Posterior, sets: Sequence[Explanation]) -> _Leading:
        having: dict[str, list[int]] = {}
        for number, explanation in enumerate(sets):
            for name in explanation.parts:
                having.setdefault(name, []).append(number)
        of_sets = [(number, name) for name, numbers in having.items() for number in numbers]
        states, weights = (np.zeros((len(of_sets), _STATES), dtype) for dtype in (np.intp, float))
        first, counts = 0, {}
        for name, numbers in having.items():
            count = len(posterior.states[name].weight)
            each = np.array([sets[number].state_weights(name, count) for number in numbers])
            kept = np.argsort(-each, axis=1)[:, :_STATES]
            counts[name] = kept.shape[1]
            own = slice(first, first + len(numbers)), slice(counts[name])
            states[own], weights[own] = kept, np.take_along_axis(each, kept, axis=1)
            first += len(numbers)
        return _Leading({key: row for row, key in enumerate(of_sets)}, counts, states, weights)

    def joint(self, rows: Numbers, counts: Sequence[int]) -> tuple[Numbers, Array]:
        """Leading joint states (m, n, k) of some parts each of some sets (m, k), and their weights (m, n), sum 1.

        `counts` (k,): how many states each part is taken in, the same in every set.
        """
        (first, *others), (count, *more) = rows.T, counts
        places, weights = self.states[first, :count, None], self.weights[first, :count]
        for other, own in zip(others, more, strict=True):
            joint = (weights[:, :, None] * self.weights[other, None, :own]).reshape(len(rows), -1)
            kept = np.argsort(-joint, axis=1)[:, :_TOGETHER]
            before, added = np.divmod(kept, own)
            before = np.take_along_axis(places, before[..., None], axis=1)
            places = np.concatenate([before, np.take_along_axis(self.states[other], added, axis=1)[..., None]], axis=2)
            weights = np.take_along_axis(joint, kept, axis=1)
        return places, weights / weights.sum(axis=1, keepdims=True)


@dataclass(frozen=True)
class _Mix:
    """Leading joint states of some parts in the sets of some numbers (m), set after set, and their weights (m, n)."""

    numbers: list[int]
    places: list[Places]
    weights: Array


def _mixes(sets: Sequence[Explanation], forecast: Forecast, leading: _Leading) -> dict[Names, _Mix]:
    """What each choice of parts that move a watch together is in, in the sets where just these of its parts do."""
    numbers: dict[Names, list[int]] = {}
    for number, explanation in enumerate(sets):
        for names in forecast.meetings(explanation.parts):
            numbers.setdefault(names, []).append(number)
    alike: dict[tuple[int, ...], list[Names]] = {}
    for names in numbers:
        alike.setdefault(tuple(leading.count[name] for name in names), []).append(names)
    found = {}
    for counts, every in alike.items():
        rows = [[leading.row[number, name] for name in names] for names in every for number in numbers[names]]
        places, weights = leading.joint(np.array(rows), counts)
        each = [[tuple(place) for place in own] for own in places.tolist()]
        first = 0
        for names in every:
            own = slice(first, first + len(numbers[names]))
            first = own.stop
            found[names] = _Mix(numbers[names], list(chain.from_iterable(each[own])), weights[own])
    return found
