"""Sets of three and four worn parts, grown from the leading sets of two and three."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.explanation import Explanation, Posterior, normalized
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.readings import ReadingSet
from looseends.diagnosis.views import PartView, Places, gain_together, grid, log_states
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

_GRID = 4000
_FLOORS = (1e-4, 1e-3, 1e-2, 0.03, 0.1, 0.2, 0.4)
"""Joint states of that grid at most, and the shares of a part's leading state below which states are left out of it."""


def with_larger_sets(found: Posterior, readings: ReadingSet) -> Posterior:
    """The posterior with the sets that one more worn part makes of its leading ones, until none of them leads on."""
    if not found.states:
        return found
    others = _Others.of(found)
    for size in range(2, MOST_PARTS):
        seeds = [e for e, p in found.leading(_SEEDS) if len(e.parts) == size and p >= _SEED_CHANCE]
        larger = _enlarged(seeds, found, readings, others)
        if not larger:
            break
        found = normalized([*found.explanations, *larger], found.states, found.views, found.prior)
    return found


@dataclass(frozen=True)
class _Others:
    """The states of all parts in one row each (r), as they would join a set: `owner` (r,) is the part's number.

    `log_part` (r,) prior log weight of the state given its part is worn; gain, shown (r, k), change, cell (r, k, 2) and
    moves (r, k) as in `views.PartView`.
    """

    names: tuple[str, ...]
    owner: NDArray[np.intp]
    log_part: Array
    gain: Array
    shown: Array
    change: Array
    cell: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(found: Posterior) -> _Others:
        names = tuple(found.states)
        counts = [len(found.states[name].weight) for name in names]
        views: list[PartView] = [found.views[name] for name in names]
        return _Others(
            names,
            np.repeat(np.arange(len(names)), counts),
            np.concatenate([np.log(found.states[name].weight) for name in names]),
            gain=np.concatenate([view.gain for view in views]),
            shown=np.concatenate([view.shown for view in views]),
            change=np.concatenate([view.change for view in views]),
            cell=np.concatenate([view.cell for view in views]),
            moves=np.repeat(np.array([view.moves for view in views]), counts, axis=0),
        )

    def joined(self, seed: Explanation, found: Posterior, readings: ReadingSet) -> Array:
        """Log weight (r,) of every state of every part beside the seed in its leading joint state, over the seed's."""
        place = seed.places[seed.leading_places(1)]
        views = [found.views[name] for name in seed.parts]
        of_seed = gain_together(seed.parts, place, found.views, readings)[0]
        moved = np.any([view.moves for view in views], axis=0)
        joined: Array = self.log_part + np.where(moved, 0.0, self.gain).sum(axis=1)
        columns = np.flatnonzero(moved)
        both = self.moves[:, columns]
        rows = np.flatnonzero(both.any(axis=1))
        if not rows.size:
            return joined
        at = list(zip(views, place[0].tolist(), strict=True))
        change = np.sum([view.change[i][columns] for view, i in at], axis=0)
        cell = np.sqrt(np.sum([view.cell[i][columns] ** 2 for view, i in at], axis=0))
        beyond = self._corrections(seed, place[0], readings, rows, columns)
        together = readings.gain(
            change + self.change[np.ix_(rows, columns)] + beyond,
            np.hypot(cell, self.cell[np.ix_(rows, columns)]),
            columns,
        )
        own = np.sum([(view.gain[i] - view.shown[i])[columns] for view, i in at], axis=0)
        added = own - of_seed[columns] + (self.gain - self.shown)[np.ix_(rows, columns)] + together
        joined[rows] += np.where(both[rows], added, 0.0).sum(axis=1)
        return joined

    def _corrections(
        self, seed: Explanation, place: NDArray[np.intp], readings: ReadingSet, rows: NDArray[np.intp], columns: Places
    ) -> Array:
        """What the seed's pairs, and each of its parts with each other part, show beyond the sum (rows, columns, 2)."""
        beyond = np.zeros((len(self.owner), len(readings.clues), 2))
        for i, first in enumerate(seed.parts):
            for j in range(i + 1, len(seed.parts)):
                for at, watches, found in readings.interactions(first, seed.parts[j]):
                    beyond[:, at] += found.of_places(place[i : i + 1], place[j : j + 1])[:, watches]
            for number, name in enumerate(self.names):
                if name not in seed.parts:
                    for at, watches, found in readings.interactions(first, name):
                        own = np.flatnonzero(self.owner == number)
                        states = np.arange(len(own))
                        beyond[np.ix_(own, at)] += found.of_places(np.full(len(own), place[i]), states)[:, watches]
        return np.asarray(beyond[np.ix_(rows, columns)])


def _enlarged(
    seeds: Sequence[Explanation], found: Posterior, readings: ReadingSet, others: _Others
) -> list[Explanation]:
    """Every set that one more part makes of a seed and that comes near the leading set, each once."""
    best = max(explanation.log_weight for explanation in found.explanations)
    by_parts = {frozenset(e.parts): e for e in found.explanations}
    larger: list[_Larger] = []
    for seed in seeds:
        one_more = _OneMore(seed, found, readings)
        joined = others.joined(seed, found, readings)
        for number, part in enumerate(others.names):
            parts = frozenset((*seed.parts, part))
            if part in seed.parts or parts in by_parts:
                continue
            grown = one_more.with_part(part, joined[others.owner == number], best)
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

    def __init__(self, seed: Explanation, found: Posterior, readings: ReadingSet) -> None:
        self.seed, self.found, self.readings = seed, found, readings
        self.rows = seed.leading_places(_SEED_PLACES)
        self.places = seed.places[self.rows]
        weights = seed.weights[self.rows]
        self.log_weights = np.log(weights / weights.sum())
        self.moved = np.any([found.views[name].moves for name in seed.parts], axis=0)
        self.before = gain_together(seed.parts, self.places, found.views, readings).sum(axis=1)

    def with_part(self, part: str, joined: Array, best: float) -> _Larger:
        """The set with this part worn too; `joined` (s,) weighs its states beside the seed's leading joint state.

        Where it counts for much, the part's states that count are taken in the seed's other joint states too.
        """
        found, parts = self.found, (*self.seed.parts, part)
        log_prior = found.prior.log_weight(parts) - found.prior.log_weight(self.seed.parts) + self.seed.log_weight
        apart = not np.any(found.views[part].moves & self.moved)
        by_first = log_prior + log_sum_exp(joined)
        near = np.flatnonzero(joined >= joined.max() - 8.0)
        if apart or by_first < best - _NEAR:
            rows = 4 if apart else 1
            log_joint = self.log_weights[:rows, None] + joined[near][None, :]
            rough = Explanation.of(parts, 0.0, _product(self.places[:rows], near), log_joint.ravel())
            return _Larger(Explanation(parts, by_first, rough.places, rough.weights), apart)
        places = _product(self.places, near)
        together = gain_together(parts, places, found.views, self.readings).sum(axis=1).reshape(len(self.rows), -1)
        log_part = np.log(found.states[part].weight)
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


def _product(places: Places, states: NDArray[np.intp]) -> Places:
    """Joint states (n m, parts + 1) of some joint states (n, parts) with every state (m,) of one more part."""
    return np.concatenate(
        [np.repeat(places, len(states), axis=0), np.tile(states[:, None], (len(places), 1))], axis=1
    ).astype(np.intp)
