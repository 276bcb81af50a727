"""Every set of two worn parts, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.counted import Counted, EachLater, States
from looseends.diagnosis.inference.explanation import Explanation
from looseends.diagnosis.inference.ladders import Ladders, crossed
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import Numbers, ranges, segment_log_sums
from looseends.diagnosis.inference.together import JointStates, KnownPairs, KnownSums, summed_gains
from looseends.diagnosis.inference.views import AllViews, grid
from looseends.diagnosis.logs import log_sum_exp
from looseends.mechanics.bodies import Array

_BEYOND_REACH = 20.0
"""A pair that cannot come within this of the leading set, in log weight, is not computed in its states."""

_STATE_BEYOND_REACH = 14.0
"""Nor is a state of one of its parts that cannot come within this."""

_FEW_JOINT_STATES = 10_000
"""Up to so many joint states of all pairs are weighed each by itself; of more, neighbors are taken together first."""

_NEIGHBORS = 2.0
_LOOKED_INTO = 3e-4
_NEIGHBORHOOD_BEHIND = 8.0
"""So many times as wide is a neighborhood on each axis. A pair that then has this chance or more is looked into
closer, and of its neighborhoods those that come so near its leading one, in log weight."""

_FIRST = 6
"""So many pairs, the likeliest by what both parts say apart, are computed first: the others are held against these."""

_LEADING_STATES = 24
"""So many states of each part stand for a pair whose parts move no reading together."""


@dataclass(frozen=True)
class Pairs:
    """Log weights (q,) of all pairs, and the joint states that each is counted in."""

    log_weights: Array
    counted: Sequence[States]


def pairs_of(
    views: AllViews,
    singles: Sequence[Explanation],
    log_prior: Array,
    readings: ReadingSet,
    known: tuple[KnownPairs, KnownPairs],
) -> Pairs:
    """Every set of two worn parts, from those of one in the same order.

    `log_prior` of no worn part, each part and each pair. `known` sums are those of the pairs that were computed first,
    and those of the others.
    """
    pairs = _Pairs.of(views, singles, log_prior, readings)
    smaller = np.array([0.0, *(single.log_weight for single in singles)])
    leading = float(smaller.max())
    # What both parts say apart tells well enough which pairs lead.
    met = np.flatnonzero(pairs.met)
    met = met[np.argsort(-pairs.apart[met], kind="stable")]
    log_weights, found = np.where(pairs.met, pairs.at_most, pairs.apart), list[tuple[Numbers, Sequence[States]]]()
    for chosen, sums in ((met[:_FIRST], known[0]), (met[_FIRST:], known[1])):
        near = np.sort(chosen[pairs.at_most[chosen] >= leading - _BEYOND_REACH])
        log_weights[near], counted = pairs.computed(near, leading, smaller, readings, sums)
        found.append((near, counted))
        leading = max([leading, *log_weights[near].tolist()])
    far = log_weights <= leading - _STATE_BEYOND_REACH
    alone = [[_Alone(single, count) for single in singles] for count in (_LEADING_STATES, 1)]

    def made(number: int) -> States:
        for near, counted in found:
            at = int(np.searchsorted(near, number))
            if at < len(near) and near[at] == number:
                return counted[at]
        parts = alone[int(far[number])]
        return parts[int(pairs.first[number])].beside(parts[int(pairs.second[number])])

    return Pairs(log_weights, EachLater(made, len(log_weights)))


def _shown_together(views: AllViews) -> Array:
    """What each state (r) says at its part's mean share in the readings that its part meets with another (p)."""
    together = views.shown @ views.moves.T
    for part in np.flatnonzero(views.beside.any(axis=(1, 2))).tolist():
        own = views.rows.of_part(part)
        together[own] += views.shown[own] @ (views.beside[part] & ~views.moves).T
    return np.asarray(together)


@dataclass(frozen=True)
class _Alone:
    """A part by itself in so many of its leading states."""

    single: Explanation
    count: int

    @cached_property
    def _leading(self) -> tuple[Numbers, Array]:
        """Their numbers (n,) and weights (n,), sum 1."""
        rows = self.single.leading_places(self.count)
        return self.single.places[rows, 0], self.single.weights[rows] / self.single.weights[rows].sum()

    def beside(self, other: _Alone) -> Counted:
        """Two parts that move no reading together, or are too far behind to be looked into: each as by itself."""
        (states, weights), (others, more) = self._leading, other._leading
        return Counted(grid(states, others), (weights[:, None] * more).ravel())


@dataclass(frozen=True)
class _Pairs:
    """All pairs (q) of parts, by their numbers `first` and `second`.

    `log_prior` of the sets; `apart` their log weights as if their parts moved no reading together; `met` whether they
    do; `at_most` what no log weight is above; `own` (r, p) log weight of a state by the readings that its part moves
    alone beside another part, and by what its doubt about its share adds at the others.
    """

    views: AllViews
    first: Numbers
    second: Numbers
    log_prior: Array
    apart: Array
    met: NDArray[np.bool_]
    at_most: Array
    own: Array
    own_sums: Array
    most: Array

    @staticmethod
    def of(views: AllViews, singles: Sequence[Explanation], of_sets: Array, readings: ReadingSet) -> _Pairs:
        rows, count = views.rows, len(singles)
        first, second = np.triu_indices(count, 1)
        log_prior = of_sets[1 + count :]
        alone = np.array([s.log_weight for s in singles]).reshape(count) - of_sets[1 : 1 + count]
        met = views.meet(first, second)
        own = (rows.log_part + views.gain.sum(axis=1))[:, None] - _shown_together(views)
        sums = rows.log_sums(own)
        # Readings that both move count as if the pair met them.
        most = log_prior + met @ readings.most
        return _Pairs(
            views,
            first,
            second,
            log_prior,
            log_prior + alone[first] + alone[second],
            np.asarray(np.any(met, axis=1), dtype=np.bool_),
            most + sums[first, second] + sums[second, first],
            own,
            sums,
            most,
        )

    def computed(
        self, chosen: Numbers, leading: float, others: Array, readings: ReadingSet, known: KnownPairs
    ) -> tuple[Array, Sequence[States]]:
        """Log weights (c,) of some pairs, and each in all joint states that could come near the leading set.

        `others`: log weights of the smaller sets.

        Where these are many, neighbors are first taken together. A pair that is far behind then stays so; of the others
        those joint states are counted in whose neighborhood there is weight.
        """
        a, b = self._near(chosen, leading, 0), self._near(chosen, leading, 1)
        if int(a.counts @ b.counts) <= _FEW_JOINT_STATES:
            every = crossed(a.first[:-1], a.counts, b.first[:-1], b.counts)
            found = self._weighed(chosen, (a, b), every, readings, known.each)
            return found.log_weights, EachLater(found.counted, len(chosen))
        (a, some_a, of_a), (b, some_b, of_b) = a.by_neighbors(self.views.rows), b.by_neighbors(self.views.rows)
        pair, i, j = crossed(some_a.first[:-1], some_a.counts, some_b.first[:-1], some_b.counts)
        rough = self._weighed(chosen, (some_a, some_b), (pair, i, j), readings, known.rough, cells=_NEIGHBORS)
        total = float(log_sum_exp(np.append(others, rough.log_weights)))
        closer = rough.log_weights >= total + log(_LOOKED_INTO)
        begins = rough.joint.first[:-1]
        weighty = rough.logs >= np.maximum.reduceat(rough.logs, begins)[pair] - _NEIGHBORHOOD_BEHIND
        into = np.flatnonzero(closer[pair] & weighty)
        cell, k, m = crossed(
            of_a[i[into]], of_a[i[into] + 1] - of_a[i[into]], of_b[j[into]], of_b[j[into] + 1] - of_b[j[into]]
        )
        number = np.cumsum(closer) - 1
        near = chosen[closer]
        fine = self._weighed(near, (a, b), (number[pair[into]][cell], k, m), readings, known.each)
        log_weights = rough.log_weights.copy()
        log_weights[closer] = fine.log_weights

        def counted(pair: int) -> Counted:
            return fine.counted(int(number[pair])) if closer[pair] else rough.counted(pair)

        return log_weights, EachLater(counted, len(chosen))

    def _near(self, chosen: Numbers, leading: float, member: int) -> Ladders:
        """Rows of one part of each pair, by its place in it, that could come near with the other; the best always."""
        part, other = self.first[chosen], self.second[chosen]
        if member:
            part, other = other, part
        first = self.views.rows.first
        counts = first[part + 1] - first[part]
        at, pair = ranges(first[part], counts), np.repeat(np.arange(len(part)), counts)
        logs = self.own[at, other[pair]]
        starts = np.cumsum(counts) - counts
        best = np.maximum.reduceat(logs, starts) if len(part) else np.zeros(0)
        reach = leading - _STATE_BEYOND_REACH - self.most[chosen]
        near = logs >= np.minimum(reach - self.own_sums[other, part], best)[pair]
        return Ladders(at[near], logs[near], np.cumsum([0, *np.bincount(pair[near], minlength=len(part))]))

    def _weighed(
        self,
        chosen: Numbers,
        ladders: tuple[Ladders, Ladders],
        crossing: tuple[Numbers, Numbers, Numbers],
        readings: ReadingSet,
        known: KnownSums,
        *,
        cells: float = 1.0,
    ) -> _Weighed:
        """Joint states of some pairs: number of the pair and of both parts' rows in their ladders, pair after pair."""
        first, second = self.first[chosen], self.second[chosen]
        (a, b), (pair, i, j) = ladders, crossing
        joint = JointStates(
            np.stack([first, second], axis=1),
            np.stack([a.rows[i], b.rows[j]]).T,
            np.searchsorted(pair, np.arange(len(chosen) + 1)),
            self.views.meet(first, second),
            cells,
        )
        logs = a.logs[i] + b.logs[j] + summed_gains(joint, self.views, readings, known)
        log_weights = self.log_prior[chosen] + segment_log_sums(logs, joint.first)
        return _Weighed(joint, self.views.rows.first, logs, log_weights)


@dataclass(frozen=True)
class _Weighed:
    """Joint states (n) of some pairs (q) and their log weights (n,); `log_weights` (q,) of the pairs.

    `first` (p + 1,) where each part's rows begin.
    """

    joint: JointStates
    first: Numbers
    logs: Array
    log_weights: Array

    def counted(self, number: int) -> Counted:
        """The joint states of one of the pairs."""
        own = self.joint.of_set(number)
        return Counted.of(self.joint.rows[own] - self.first[self.joint.parts[number]], self.logs[own])
