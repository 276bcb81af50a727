"""Which parts are worn, and how far: every set of no, one or two worn parts, and from leading sets on three and four.

A reading's prediction is the sound vehicle's plus each worn part's change plus the pairs' corrections. The likelihood
of several parts differs from the product of each one's only in readings that more than one of them moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.explanation import Explanation, Posterior, normalized
from looseends.diagnosis.growth import with_larger_sets
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.prior import Prior
from looseends.diagnosis.readings import ReadingSet
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.views import PartView, grid, log_states
from looseends.mechanics.bodies import Array

_BEYOND_REACH = 20.0
"""A pair that cannot come within this of the leading set, in log weight, is not computed in its states."""

_STATE_BEYOND_REACH = 14.0
"""Nor is a state of one of its parts that cannot come within this."""


def posterior(
    states: Sequence[PartStates], prior: Prior | Mapping[str, float], clues: Sequence[Clue], beliefs: Beliefs
) -> Posterior:
    """Posterior over all sets of at most two worn parts, and over those of three and four that grow from leading ones.

    `prior` may be given as log odds by part.

    Source: Bayes' rule; derived in docs/diagnosis.md.
    """
    believed = prior if isinstance(prior, Prior) else Prior(prior)
    readings = ReadingSet.of(clues, beliefs)
    by_id = {s.part.id: s for s in states}
    views = {name: PartView.of(s, readings) for name, s in by_id.items()}
    singles = {name: _single(s, views[name], believed) for name, s in by_id.items()}
    explanations = [Explanation.sound(), *singles.values(), *_pairs(by_id, views, singles, believed, readings)]
    found = normalized(explanations, by_id, views, believed)
    return with_larger_sets(found, readings)


def _single(states: PartStates, view: PartView, prior: Prior) -> Explanation:
    log_state = np.log(states.weight) + view.gain.sum(axis=1)
    places = np.arange(len(log_state))[:, None]
    return Explanation.of((states.part.id,), prior.log_weight((states.part.id,)), places, log_state)


@dataclass(frozen=True)
class _Bounds:
    """What no pair's log weight is above: sums over readings, of all parts against all (p, p)."""

    at_most: Array
    apart: NDArray[np.bool_]

    @staticmethod
    def of(views: Sequence[PartView], prior: Array, readings: ReadingSet) -> _Bounds:
        moves = np.array([view.moves for view in views], dtype=float).reshape(len(views), len(readings.clues))
        best = np.array([view.gain.max(axis=0) for view in views]).reshape(moves.shape)
        beyond = np.array([(view.gain - view.shown).max(axis=0) for view in views]).reshape(moves.shape)
        alone = best.sum(axis=1)[:, None] - best @ moves.T + beyond @ moves.T
        return _Bounds(alone + alone.T + (moves * readings.most) @ moves.T + prior, moves @ moves.T == 0.0)


def _pairs(
    states: Mapping[str, PartStates],
    views: Mapping[str, PartView],
    singles: Mapping[str, Explanation],
    prior: Prior,
    readings: ReadingSet,
) -> list[Explanation]:
    """Every set of two worn parts."""
    names = list(states)
    believed = np.array([[prior.log_weight((a, b)) for b in names] for a in names]).reshape(len(names), len(names))
    bounds = _Bounds.of([views[name] for name in names], believed, readings)
    evidence = np.array([singles[name].log_weight - prior.log_weight((name,)) for name in names])
    added = believed + evidence[:, None] + evidence[None, :]
    leading = max([0.0, *(single.log_weight for single in singles.values())])
    found = []
    # What both parts say apart tells well enough which pairs lead, and the others are held against these.
    for i, j in sorted(combinations(range(len(names)), 2), key=lambda pair: -added[pair]):
        a, b = names[i], names[j]
        if bounds.apart[i, j]:
            explanation = _apart(singles[a], singles[b], float(added[i, j]), leading)
        elif bounds.at_most[i, j] < leading - _BEYOND_REACH:
            explanation = _apart(singles[a], singles[b], float(bounds.at_most[i, j]), leading)
        else:
            pair = _Pair(states[a], states[b], views[a], views[b], float(believed[i, j]))
            explanation = pair.explained(states, views, readings, leading)
        leading = max(leading, explanation.log_weight)
        found.append(explanation)
    return found


def _apart(a: Explanation, b: Explanation, log_weight: float, leading: float) -> Explanation:
    """Two parts that move no reading together, or that are too far behind to be looked into: states by themselves."""
    count = 24 if log_weight > leading - _STATE_BEYOND_REACH else 1
    rows, columns = (each.leading_places(count) for each in (a, b))
    places = np.concatenate(
        [np.repeat(a.places[rows], len(columns), axis=0), np.tile(b.places[columns], (len(rows), 1))], axis=1
    )
    weights = np.multiply.outer(a.weights[rows], b.weights[columns]).ravel()
    return Explanation((*a.parts, *b.parts), log_weight, places, weights / weights.sum())


@dataclass(frozen=True)
class _Pair:
    """Two parts that move some readings together, with the log prior of the set."""

    a: PartStates
    b: PartStates
    view_a: PartView
    view_b: PartView
    log_prior: float

    def explained(
        self, states: Mapping[str, PartStates], views: Mapping[str, PartView], readings: ReadingSet, leading: float
    ) -> Explanation:
        """The set, computed in all joint states that could come near the leading one."""
        shared = self.view_a.moves & self.view_b.moves
        log_a, log_b = (
            np.log(s.weight) + view.gain[:, ~shared].sum(axis=1) + (view.gain - view.shown)[:, shared].sum(axis=1)
            for s, view in ((self.a, self.view_a), (self.b, self.view_b))
        )
        # Readings that both move count as if the pair met them.
        met = self.log_prior + float(readings.most[shared].sum())
        all_a, all_b = log_sum_exp(log_a), log_sum_exp(log_b)
        parts = (self.a.part.id, self.b.part.id)
        if met + all_a + all_b < leading - _BEYOND_REACH:
            place = np.array([[int(np.argmax(log_a)), int(np.argmax(log_b))]])
            return Explanation(parts, met + all_a + all_b, place, np.ones(1))
        near_a, near_b = (_near(log, met + other - leading) for log, other in ((log_a, all_b), (log_b, all_a)))
        places = grid(near_a, near_b)
        return Explanation.of(parts, self.log_prior, places, log_states(parts, places, states, views, readings))


def _near(log_state: Array, added: float) -> NDArray[np.intp]:
    """States that could come near the leading set; the best one in any case."""
    near = np.flatnonzero(log_state + added >= -_STATE_BEYOND_REACH)
    return near if near.size else np.array([int(np.argmax(log_state))])
