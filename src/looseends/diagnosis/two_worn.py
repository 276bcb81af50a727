"""Every set of two worn parts, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.explanation import Counted, CountedLater, Explanation
from looseends.diagnosis.prior import Prior
from looseends.diagnosis.readings import ReadingSet
from looseends.diagnosis.rows import Numbers, ranges, segment_log_sums
from looseends.diagnosis.together import JointStates, KnownSums, summed_gains
from looseends.diagnosis.views import AllViews, grid
from looseends.mechanics.bodies import Array

_BEYOND_REACH = 20.0
"""A pair that cannot come within this of the leading set, in log weight, is not computed in its states."""

_STATE_BEYOND_REACH = 14.0
"""Nor is a state of one of its parts that cannot come within this."""

_FIRST = 6
"""So many pairs, the likeliest by what both parts say apart, are computed first: the others are held against these."""

_LEADING_STATES = 24
"""So many states of each part stand for a pair whose parts move no reading together."""


def pairs_of(
    views: AllViews,
    singles: Sequence[Explanation],
    prior: Prior,
    readings: ReadingSet,
    known: tuple[KnownSums, KnownSums],
) -> list[Explanation]:
    """Every set of two worn parts, from those of one in the same order.

    `known` sums are those of the pairs that were computed first, and those of the others.
    """
    pairs = _Pairs.of(views, singles, prior, readings)
    leading = max([0.0, *(single.log_weight for single in singles)])
    # What both parts say apart tells well enough which pairs lead.
    met = np.flatnonzero(pairs.met)
    met = met[np.argsort(-pairs.apart[met], kind="stable")]
    found: dict[int, Explanation] = {}
    for chosen, sums in ((met[:_FIRST], known[0]), (met[_FIRST:], known[1])):
        near = np.sort(chosen[pairs.at_most[chosen] >= leading - _BEYOND_REACH])
        found |= zip(near.tolist(), pairs.computed(near, leading, readings, sums), strict=True)
        leading = max([leading, *(explanation.log_weight for explanation in found.values())])
    log_weights = np.where(pairs.met, pairs.at_most, pairs.apart)
    counts = np.where(log_weights > leading - _STATE_BEYOND_REACH, _LEADING_STATES, 1).tolist()
    alone = {count: [_Alone.of(single, count) for single in singles] for count in set(counts)}
    return [
        found[n] if n in found else alone[counts[n]][i].beside(alone[counts[n]][j], float(log_weights[n]))
        for n, (i, j) in enumerate(zip(pairs.first.tolist(), pairs.second.tolist(), strict=True))
    ]


def _shown_together(views: AllViews) -> Array:
    """What each state (r) says at its part's mean share in the readings that its part meets with another (p)."""
    together = views.shown @ views.moves.T
    for part in np.flatnonzero(views.beside.any(axis=(1, 2))).tolist():
        own = views.rows.of_part(part)
        together[own] += views.shown[own] @ (views.beside[part] & ~views.moves).T
    return np.asarray(together)


@dataclass(frozen=True)
class _Alone:
    """A part by itself in its leading states: their numbers (n,) and weights (n,), sum 1."""

    part: str
    states: Numbers
    weights: Array

    @staticmethod
    def of(single: Explanation, count: int) -> _Alone:
        rows = single.leading_places(count)
        return _Alone(single.parts[0], single.places[rows, 0], single.weights[rows] / single.weights[rows].sum())

    def beside(self, other: _Alone, log_weight: float) -> Explanation:
        """Two parts that move no reading together, or are too far behind to be looked into: each as by itself."""

        def counted() -> Counted:
            weights = self.weights[:, None] * other.weights
            return Counted(grid(self.states, other.states), weights.ravel())

        return Explanation((self.part, other.part), log_weight, CountedLater(counted))


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
    def of(views: AllViews, singles: Sequence[Explanation], prior: Prior, readings: ReadingSet) -> _Pairs:
        rows, names = views.rows, views.rows.names
        first, second = np.triu_indices(len(names), 1)
        log_prior = prior.log_weights([(names[i], names[j]) for i, j in zip(first, second, strict=True)])
        alone = np.array([s.log_weight - prior.log_weight(s.parts) for s in singles]).reshape(len(names))
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

    def computed(self, chosen: Numbers, leading: float, readings: ReadingSet, known: KnownSums) -> list[Explanation]:
        """Some pairs in all joint states that could come near the leading set."""
        rows, first, second = self.views.rows, self.first[chosen], self.second[chosen]
        reach = leading - _STATE_BEYOND_REACH - self.most[chosen]
        a, of_a, log_a = self._near(first, second, reach)
        b, of_b, log_b = self._near(second, first, reach)
        counts = of_a * of_b
        pair, start = np.repeat(np.arange(len(chosen)), counts), np.cumsum(counts) - counts
        place = np.arange(counts.sum()) - start[pair]
        i = (np.cumsum(of_a) - of_a)[pair] + place // of_b[pair]
        j = (np.cumsum(of_b) - of_b)[pair] + place % of_b[pair]
        joint = JointStates(
            np.stack([first, second], axis=1),
            np.stack([a[i], b[j]], axis=1),
            np.append(start, counts.sum()),
            self.views.meet(first, second),
        )
        logs = log_a[i] + log_b[j] + summed_gains(joint, self.views, readings, known)
        log_weights = (self.log_prior[chosen] + segment_log_sums(logs, joint.first)).tolist()
        places = joint.rows - rows.first[joint.parts][pair]
        return [
            Explanation(
                (rows.names[i], rows.names[j]),
                log_weights[n],
                CountedLater(partial(Counted.of, places[joint.of_set(n)], logs[joint.of_set(n)])),
            )
            for n, (i, j) in enumerate(joint.parts.tolist())
        ]

    def _near(self, part: Numbers, other: Numbers, reach: Array) -> tuple[Numbers, Numbers, Array]:
        """Rows of each part that could reach so far with the other, the best one in any case.

        With the count of each part's, and their log weights.
        """
        first = self.views.rows.first
        counts = first[part + 1] - first[part]
        at, pair = ranges(first[part], counts), np.repeat(np.arange(len(part)), counts)
        logs = self.own[at, other[pair]]
        starts = np.cumsum(counts) - counts
        best = np.maximum.reduceat(logs, starts) if len(part) else np.zeros(0)
        least = np.minimum(reach - self.own_sums[other, part], best)
        near = logs >= least[pair]
        return at[near], np.bincount(pair[near], minlength=len(part)), logs[near]
