"""Explanations, each a set of worn parts with the states they may be in, and the posterior over all of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.prior import Prior
from looseends.diagnosis.states import PartStates
from looseends.diagnosis.views import PartView, Places
from looseends.mechanics.bodies import Array

_LEAST_KEPT = exp(-16.0)
_MOST_PLACES = 600
"""Joint states with a smaller share than this of the leading one's weight, or beyond so many, are not kept."""


@dataclass(frozen=True)
class Explanation:
    """One set of worn parts: its log weight, the joint states it is counted in and their weights (n,), sum 1."""

    parts: tuple[str, ...]
    log_weight: float
    places: Places
    weights: Array
    solved_exactly: bool = False

    @staticmethod
    def of(parts: tuple[str, ...], log_prior: float, places: Places, log_states: Array) -> Explanation:
        """From the log weights (n,) of all joint states given the set; those that count are kept."""
        most = log_states.max()
        each = np.exp(log_states - most)
        kept = (each >= _LEAST_KEPT).nonzero()[0]
        if len(kept) > _MOST_PLACES:
            kept = kept[np.argpartition(-log_states[kept], _MOST_PLACES)[:_MOST_PLACES]]
        weights = each[kept]
        log_weight = log_prior + float(most) + log(each.sum())
        return Explanation(parts, log_weight, places[kept], weights / weights.sum())

    @staticmethod
    def sound(log_weight: float = 0.0) -> Explanation:
        """Nothing worn."""
        return Explanation((), log_weight, np.zeros((1, 0), dtype=np.intp), np.ones(1))

    def state_weights(self, part_id: str, count: int) -> Array:
        """Weight (count,) of each state of one of the set's parts, whatever the others are in."""
        column = self.places[:, self.parts.index(part_id)]
        return np.asarray(np.bincount(column, weights=self.weights, minlength=count), dtype=float)

    def leading_places(self, count: int) -> NDArray[np.intp]:
        """Rows of the most probable joint states, the first first."""
        return np.argsort(-self.weights, kind="stable")[:count]


@dataclass(frozen=True)
class Posterior:
    """All explanations, their probabilities, and the states they are counted in.

    `prior` is what was believed of every set before any reading.
    """

    explanations: tuple[Explanation, ...]
    probabilities: Array
    states: Mapping[str, PartStates]
    views: Mapping[str, PartView] = field(default_factory=dict)
    prior: Prior = field(default_factory=lambda: Prior({}))

    def marginal(self, part_id: str) -> float:
        """Chance that a part is worn."""
        return float(sum(p for e, p in self._weighted() if part_id in e.parts))

    def log_chance(self, parts: Collection[str]) -> float:
        """Log chance that just these parts are worn.

        A set that is not among the explanations has what the nearest smaller one has, and what each part more counts by
        itself: its readings and its prior.
        """
        wanted = frozenset(parts)
        weights = {frozenset(e.parts): e.log_weight for e in self.explanations}
        total = log_sum_exp(np.array(list(weights.values())))
        alone = {part: weights[frozenset((part,))] - weights[frozenset()] for part in wanted}
        reached = [log + sum(alone[part] for part in wanted - s) for s, log in weights.items() if s <= wanted]
        return float((weights[wanted] if wanted in weights else max(reached)) - total)

    def state_weights(self, part_id: str) -> Array:
        """Posterior weight (s,) of a part's worn states; sums to its marginal."""
        total = np.zeros(len(self.states[part_id].weight))
        for explanation, p in self._weighted():
            if part_id in explanation.parts:
                total += p * explanation.state_weights(part_id, len(total))
        return total

    def leading(self, count: int) -> list[tuple[Explanation, float]]:
        """The most probable explanations with their probabilities."""
        order = np.argsort(-self.probabilities)[:count]
        return [(self.explanations[i], float(self.probabilities[i])) for i in order]

    def _weighted(self) -> Sequence[tuple[Explanation, float]]:
        return list(zip(self.explanations, self.probabilities.tolist(), strict=True))

    def reweighted(self, explanations: Sequence[Explanation]) -> Posterior:
        """The same with other log weights."""
        return normalized(explanations, self.states, self.views, self.prior)


def normalized(
    explanations: Sequence[Explanation],
    states: Mapping[str, PartStates],
    views: Mapping[str, PartView],
    prior: Prior,
) -> Posterior:
    """A posterior from explanations with log weights up to a constant."""
    log_weights = np.array([explanation.log_weight for explanation in explanations])
    return Posterior(tuple(explanations), np.exp(log_weights - log_sum_exp(log_weights)), states, views, prior)
