"""Sets of three and four worn parts, grown from the leading sets of two and three."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.counted import Counted, CountedLater, EachLater, States
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.grown_states import counting, product_of
from looseends.diagnosis.inference.known import Known, KnownGrowth
from looseends.diagnosis.inference.many_sets import SetStates, gains_of
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import Numbers, ranges, segment_log_sums
from looseends.diagnosis.inference.together import JointStates, all_gains, summed_gains
from looseends.diagnosis.inference.views import AllViews, Places
from looseends.mechanics.bodies import Array

MOST_PARTS = 4
_SEEDS = 16
_SEED_CHANCE = 3e-3
"""A set is enlarged where it has at least this chance; so many at most."""

_SEED_PLACES = 12
"""So many joint states of the smaller set are gone on with where one more part counts for much."""

_BEHIND = 9.0
"""An enlarged set further behind the leading one than this, in log weight, is left out."""

_NEAR = 6.5
"""One that is nearer than this is weighed in more than the smaller set's leading joint state."""

_LOOKED_INTO = 12
"""So many of these, the leading ones, are summed over a grid of joint states."""


def with_larger_sets(found: Posterior, views: AllViews, readings: ReadingSet, known: Known) -> Posterior:
    """The posterior with the sets that one more worn part makes of its leading ones, until none of them leads on."""
    if not found.states:
        return found
    for size in range(2, MOST_PARTS):
        seeds = [e for e, p in found.leading(_SEEDS) if len(e.parts) == size and p >= _SEED_CHANCE]
        larger = _Growing(seeds, found, views, readings, known.growth[size]).enlarged() if seeds else None
        if larger is None or not larger.parts:
            break
        found = found.with_sets(larger.parts, larger.log_weights, larger.counted)
    return found


@dataclass(frozen=True)
class _Larger:
    """Enlarged sets (n), their log weights (n,) and joint states."""

    parts: list[tuple[str, ...]]
    log_weights: Array
    counted: Sequence[States]


@dataclass(frozen=True)
class _Growing:
    """Seeds (n) of one size, all parts (p) that may join them, and what is known of both together.

    A set that several seeds lead to is taken from the first of them.
    """

    seeds: Sequence[Explanation]
    found: Posterior
    views: AllViews
    readings: ReadingSet
    known: KnownGrowth

    def enlarged(self) -> _Larger:
        """Every set that one more part makes of a seed and that comes near the leading set, each once."""
        best = float(self.found.log_weights.max())
        closer = self._near(best)
        seed, part = np.array(self._steps, dtype=np.intp).reshape(-1, 2).T
        log_weights, met = self._by_first[seed, part], self._met[seed, part]
        for n, step in enumerate(self._steps):
            if step in closer:
                log_weights[n] = closer[step].log_weight
        best = max(best, float(log_weights.max(initial=-np.inf)))
        leading = np.argsort(-log_weights, kind="stable")
        kept = leading[log_weights[leading] >= best - _BEHIND].tolist()
        # A new part that moves no reading of the others is exact already.
        summed = [n for n in kept[:_LOOKED_INTO] if met[n] and log_weights[n] >= best - _NEAR]
        first = [closer.get(self._steps[n]) or self._rough(*self._steps[n]) for n in summed]
        for n, explanation in zip(summed, self._summed(first), strict=True):
            log_weights[n] = explanation.log_weight
            closer[self._steps[n]] = explanation
        steps = [self._steps[n] for n in kept]

        def counted(number: int) -> States:
            return (closer.get(steps[number]) or self._rough(*steps[number])).counted

        parts = [(*self.seeds[seed].parts, self.views.rows.names[part]) for seed, part in steps]
        return _Larger(parts, log_weights[kept], EachLater(counted, len(steps)))

    @cached_property
    def _steps(self) -> list[tuple[int, int]]:
        """Seed and part of every set that is none yet."""
        # A set of parts as one number, a bit for each.
        have, steps = {self._bits(parts) for parts in self._found_already}, []
        for number, seed in enumerate(self._parts.tolist()):
            own = sum(1 << part for part in seed)
            for part in range(len(self.views.rows.names)):
                bits = own | 1 << part
                if bits != own and bits not in have:
                    have.add(bits)
                    steps.append((number, part))
        return steps

    def _bits(self, parts: Sequence[str]) -> int:
        return sum(1 << self.views.rows.number[part] for part in parts)

    @property
    def _found_already(self) -> list[tuple[str, ...]]:
        """Sets that are already found, of as many parts as those that are grown."""
        sets = self.found.sets
        return [sets.parts[n] for n in np.flatnonzero(sets.sizes == self._parts.shape[1] + 1).tolist()]

    @cached_property
    def _parts(self) -> Numbers:
        """Numbers (n, m) of the seeds' parts."""
        number = self.views.rows.number
        return np.array([[number[part] for part in seed.parts] for seed in self.seeds])

    @cached_property
    def _places(self) -> list[Places]:
        """Each seed's leading joint states, as rows."""
        first = self.views.rows.first[self._parts]
        return [places + begins for (places, _), begins in zip(self._leading, first, strict=True)]

    @cached_property
    def _moved(self) -> NDArray[np.bool_]:
        """Readings (n, k) that each seed moves."""
        return np.asarray(self.views.moves[self._parts].any(axis=1))

    @cached_property
    def _meet(self) -> NDArray[np.bool_]:
        """Readings (n, p, k) that seed and part must be laid against together."""
        beside = self.views.beside[self._parts].any(axis=1)
        return np.asarray((self._moved[:, None] & self.views.moves) | beside)

    @cached_property
    def _met(self) -> NDArray[np.bool_]:
        """Whether seed and part (n, p) meet in any reading."""
        return np.asarray(self._meet.any(axis=2))

    @cached_property
    def _joined(self) -> Array:
        """Log weight (n, r) of every part's states beside the seed in its leading joint state, over the seed's."""
        views, rows = self.views, self.views.rows
        met = np.einsum("npk,nk->np", self._meet, self._seed_gains)
        joined: Array = rows.log_part + views.gain.sum(axis=1) - met.take(rows.owner, axis=1)
        for number in range(len(rows.names)):
            own = rows.of_part(number)
            joined[:, own] -= self._meet[:, number] @ views.shown[own].T
        seed, part = np.nonzero(self._met)
        joins = ~(part[:, None] == self._parts[seed]).any(axis=1)
        seed, part = seed[joins], part[joins]
        counts = rows.first[part + 1] - rows.first[part]
        owner, new = np.repeat(np.arange(len(seed)), counts), ranges(rows.first[part], counts)
        leading = np.array([places[0] for places in self._places])
        joint = JointStates(
            np.column_stack([self._parts[seed], part]),
            np.column_stack([leading.take(seed[owner], axis=0), new]),
            np.append(0, np.cumsum(counts)),
            self._meet[seed, part],
        )
        joined[seed[owner], new] += summed_gains(joint, views, self.readings, self.known.joined)
        return joined

    @cached_property
    def _seed_gains(self) -> Array:
        """What each seed's parts together say (n, k) in its leading joint state, at their mean shares."""
        leading = [SetStates.leading(seed, 1) for seed in self.seeds]
        gains = np.concatenate(gains_of(leading, self.found.views, self.readings))
        rows = np.array([places[0] for places in self._places])
        return np.asarray(gains - (self.views.gain - self.views.shown)[rows].sum(axis=1))

    @cached_property
    def _log_prior(self) -> Array:
        """Log weight (n, p) of the seed with a part, before what that part says."""
        log_prior, names = np.full(self._met.shape, -np.inf), self.views.rows.names
        seeds = np.array([seed.log_weight - self.found.prior.log_weight(seed.parts) for seed in self.seeds])
        seed, part = np.array(self._steps, dtype=np.intp).reshape(-1, 2).T
        worn, each = np.zeros((len(seed), len(names))), np.arange(len(seed))
        worn[each[:, None], self._parts[seed]] = worn[each, part] = 1.0
        log_prior[seed, part] = self.found.prior.log_weights_where(worn, names) + seeds[seed]
        return log_prior

    @cached_property
    def _by_first(self) -> Array:
        """Log weight (n, p) of the seed with a part, by the seed's leading joint state."""
        return np.asarray(self._log_prior + self.views.rows.log_sums(self._joined.T).T)

    def _states_near(self, seed: int, part: int) -> Numbers:
        """The part's states that count beside the seed's leading joint state."""
        joined = self._joined[seed, self.views.rows.of_part(part)]
        return np.flatnonzero(joined >= joined.max() - 8.0)

    def _rough(self, seed: int, part: int) -> Explanation:
        """The set as its new part's states stand beside the seed's leading joint state."""
        parts = (*self.seeds[seed].parts, self.views.rows.names[part])
        return Explanation(
            parts, float(self._by_first[seed, part]), CountedLater(partial(self._rough_states, seed, part))
        )

    def _rough_states(self, seed: int, part: int) -> Counted:
        near, rows = self._states_near(seed, part), slice(1 if self._met[seed, part] else 4)
        joined = self._joined[seed, self.views.rows.of_part(part)][near]
        log_joint = self._leading[seed][1][rows, None] + joined
        return Counted.of(product_of(self._leading[seed][0][rows], near), log_joint.ravel())

    @cached_property
    def _leading(self) -> list[tuple[Places, Array]]:
        """Each seed's leading joint states and their log weights, among these."""
        leading = []
        for seed in self.seeds:
            rows = seed.leading_places(_SEED_PLACES)
            weights = seed.weights[rows]
            leading.append((seed.places[rows], np.log(weights / weights.sum())))
        return leading

    def _near(self, best: float) -> dict[tuple[int, int], Explanation]:
        """Sets that may be near the leading one, by the part's states that count in the seed's leading joint states."""
        steps = [step for step in self._steps if self._met[step] and self._by_first[step] >= best - _NEAR]
        if not steps:
            return {}
        rows = self.views.rows
        places = [
            product_of(self._places[seed], self._states_near(seed, part) + rows.first[part]) for seed, part in steps
        ]
        joint = self._joint([(*self._parts[seed], part) for seed, part in steps], places)
        gains = all_gains(joint, self.views, self.readings, self.known.larger)
        used = sorted({seed for seed, _ in steps})
        seeds = self._joint([tuple(self._parts[seed]) for seed in used], [self._places[seed] for seed in used])
        before = all_gains(seeds, self.views, self.readings, self.known.seeds)
        of_seed = {seed: self._leading[seed][1] - before[seeds.of_set(n)] for n, seed in enumerate(used)}
        beside = [
            np.repeat(of_seed[seed], len(own) // len(of_seed[seed]))
            for (seed, _), own in zip(steps, places, strict=True)
        ]
        log_joint = np.concatenate(beside) + rows.log_part[joint.rows[:, -1]] + gains
        return dict(
            zip(steps, self._explained(joint, self._log_prior[tuple(np.array(steps).T)], log_joint), strict=True)
        )

    def _explained(self, joint: JointStates, log_prior: Array, log_joint: Array) -> list[Explanation]:
        """Sets (s) from their log prior weights (s,) and the log weights (n,) of all joint states, given each set."""
        rows = self.views.rows
        log_weights = (log_prior + segment_log_sums(log_joint, joint.first)).tolist()

        def counted(number: int) -> Counted:
            own = joint.of_set(number)
            return Counted.of(joint.rows[own] - rows.first[joint.parts[number]], log_joint[own])

        return [
            Explanation(tuple(rows.names[part] for part in parts), log_weights[n], CountedLater(partial(counted, n)))
            for n, parts in enumerate(joint.parts.tolist())
        ]

    def _joint(self, parts: Sequence[Sequence[int]], places: Sequence[Places]) -> JointStates:
        """Joint states of some sets, with the readings that the parts of each move together."""
        numbers = np.array(parts)
        columns = self.views.moves[numbers].sum(axis=1) >= 2
        for first, second in combinations(numbers.T, 2):
            columns |= self.views.beside[first, second]
        return JointStates(numbers, np.concatenate(places), np.cumsum([0, *map(len, places)]), columns)

    def _summed(self, sets: Sequence[Explanation]) -> list[Explanation]:
        """Sets summed over grids of the states that count in them or in the sets of one part fewer."""
        if not sets:
            return []
        rows = self.views.rows
        numbers = [[rows.number[part] for part in each.parts] for each in sets]
        places = [counting(each, self.found) for each in sets]
        joint = self._joint(
            numbers, [place + rows.first[number] for place, number in zip(places, numbers, strict=True)]
        )
        gains = all_gains(joint, self.views, self.readings, self.known.summed)
        log_prior = self.found.prior.log_weights([each.parts for each in sets])
        return self._explained(joint, log_prior, gains + rows.log_part[joint.rows].sum(axis=1))
