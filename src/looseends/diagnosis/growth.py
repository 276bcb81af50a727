"""Sets of three and four worn parts, grown from the leading sets of two and three."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.explanation import Explanation, Posterior, normalized
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.readings import ReadingSet
from looseends.diagnosis.views import Places, gain_together, grid, log_states
from looseends.mechanics.bodies import Array

MOST_PARTS = 4
_SEEDS = 24
_SEED_CHANCE = 2e-3
"""A set is enlarged where it has at least this chance; so many at most."""

_SEED_PLACES = 12
"""So many joint states of the smaller set are gone on with at first."""

_BEHIND = 9.0
"""An enlarged set further behind the leading one than this, in log weight, is left out."""

_AMISS = 2.0
"""By so much the leading joint state alone may misjudge an enlarged set."""

_LOOKED_INTO, _NEAR = 20, 6.0
"""So many enlarged sets, no further behind than this, are summed over a grid of joint states."""

_GRID = 4000
_FLOORS = (1e-4, 1e-3, 1e-2, 0.03, 0.1, 0.2, 0.4)
"""Joint states of that grid at most, and the shares of a part's leading state below which states are left out of it."""


def with_larger_sets(found: Posterior, readings: ReadingSet) -> Posterior:
    """The posterior with the sets that one more worn part makes of its leading ones, until none of them leads on."""
    for size in range(2, MOST_PARTS):
        seeds = [e for e, p in found.leading(_SEEDS) if len(e.parts) == size and p >= _SEED_CHANCE]
        larger = _enlarged(seeds, found, readings)
        if not larger:
            break
        found = normalized([*found.explanations, *larger], found.states, found.views, found.prior)
    return found


def _enlarged(seeds: Sequence[Explanation], found: Posterior, readings: ReadingSet) -> list[Explanation]:
    """Every set that one more part makes of a seed and that comes near the leading set, each once."""
    best = max(explanation.log_weight for explanation in found.explanations)
    by_parts = {frozenset(e.parts): e for e in found.explanations}
    larger: list[_Larger] = []
    for seed in seeds:
        one_more = _OneMore(seed, found, readings, best - _BEHIND - _AMISS)
        for part in found.states:
            parts = frozenset((*seed.parts, part))
            if part in seed.parts or parts in by_parts:
                continue
            grown = one_more.with_part(part)
            by_parts[parts] = grown.first
            if grown.first.log_weight >= best - _BEHIND:
                larger.append(grown)
                best = max(best, grown.first.log_weight)
    larger.sort(key=lambda grown: -grown.first.log_weight)
    return [
        _summed(grown.first, found, readings, by_parts)
        if n < _LOOKED_INTO and not grown.apart and grown.first.log_weight >= best - _NEAR
        else grown.first
        for n, grown in enumerate(larger)
    ]


@dataclass(frozen=True)
class _Larger:
    """An enlarged set as first estimated; `apart`: the new part moves no reading of the others, so it is exact."""

    first: Explanation
    apart: bool


class _OneMore:
    """A set to be enlarged by one more worn part, in a few of its leading joint states."""

    def __init__(self, seed: Explanation, found: Posterior, readings: ReadingSet, worth: float) -> None:
        self.seed, self.found, self.readings, self.worth = seed, found, readings, worth
        self.rows = seed.leading_places(_SEED_PLACES)
        self.places = seed.places[self.rows]
        weights = seed.weights[self.rows]
        self.log_weights = np.log(weights / weights.sum())
        self.moved = np.any([found.views[name].moves for name in seed.parts], axis=0)
        self.before = gain_together(seed.parts, self.places, found.views, readings).sum(axis=1)

    def with_part(self, part: str) -> _Larger:
        """The set with this part worn too.

        Its states are weighed in the leading joint state first; those that count are taken in the others.
        """
        found, parts = self.found, (*self.seed.parts, part)
        log_prior = found.prior.log_weight(parts) - found.prior.log_weight(self.seed.parts) + self.seed.log_weight
        log_part = np.log(found.states[part].weight)
        own = found.views[part]
        if not np.any(own.moves & self.moved):
            log_state = log_part + own.gain.sum(axis=1)
            exact = log_prior + log_sum_exp(log_state)
            if exact < self.worth:
                return _Larger(
                    Explanation(parts, exact, _product(self.places[:1], np.zeros(1, np.intp)), np.ones(1)), True
                )
            near = _near(log_state)
            log_joint = self.log_weights[:, None] + log_state[near][None, :]
            grown = Explanation.of(parts, 0.0, _product(self.places, near), log_joint.ravel())
            return _Larger(Explanation(parts, exact, grown.places, grown.weights), True)
        first = _product(self.places[:1], np.arange(len(log_part)))
        log_first = log_part + gain_together(parts, first, found.views, self.readings).sum(axis=1)
        near = _near(log_first)
        by_first = log_prior + log_sum_exp(log_first) - self.before[0]
        if by_first < self.worth:
            return _Larger(
                Explanation.of(parts, by_first - log_sum_exp(log_first[near]), first[near], log_first[near]), False
            )
        places = _product(self.places, near)
        together = gain_together(parts, places, found.views, self.readings).sum(axis=1).reshape(len(self.rows), -1)
        log_joint = (self.log_weights - self.before)[:, None] + log_part[near] + together
        return _Larger(Explanation.of(parts, log_prior, places, log_joint.ravel()), False)


def _summed(
    first: Explanation, found: Posterior, readings: ReadingSet, by_parts: Mapping[frozenset[str], Explanation]
) -> Explanation:
    """The set summed over a grid of the states that count in it or in the sets of one part fewer."""
    shares = [_state_shares(first, part, found, by_parts) for part in first.parts]
    for floor in _FLOORS:
        states = [np.flatnonzero(share >= floor * share.max()) for share in shares]
        if np.prod([len(s) for s in states]) <= _GRID:
            break
    places = grid(*states)
    logs = log_states(first.parts, places, found.states, found.views, readings)
    return Explanation.of(first.parts, found.prior.log_weight(first.parts), places, logs)


def _state_shares(
    first: Explanation, part: str, found: Posterior, by_parts: Mapping[frozenset[str], Explanation]
) -> Array:
    """How much each state (s,) of a part counts: the most of the set as estimated and of the sets of one part fewer."""
    count = len(found.states[part].weight)
    fewer = [frozenset(first.parts) - {other} for other in first.parts if other != part]
    sets = [first, *(by_parts[parts] for parts in fewer if parts in by_parts)]
    return np.asarray(np.max([explanation.state_weights(part, count) for explanation in sets], axis=0))


def _near(log_state: Array) -> NDArray[np.intp]:
    return np.flatnonzero(log_state >= log_state.max() - 8.0)


def _product(places: Places, states: NDArray[np.intp]) -> Places:
    """Joint states (n m, parts + 1) of some joint states (n, parts) with every state (m,) of one more part."""
    return np.concatenate(
        [np.repeat(places, len(states), axis=0), np.tile(states[:, None], (len(places), 1))], axis=1
    ).astype(np.intp)
