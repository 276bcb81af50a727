"""Explanations, each a set of worn parts with the states they may be in, and the posterior over all of them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import exp, log
from typing import Any

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
class Counted:
    """Joint states (n, parts) that a set is counted in, and their weights (n,), sum 1."""

    places: Places
    weights: Array

    @staticmethod
    def of(places: Places, log_states: Array) -> Counted:
        """Those that count, by their log weights (n,) up to a constant."""
        each = np.exp(log_states - log_states.max())
        kept = (each >= _LEAST_KEPT).nonzero()[0]
        if len(kept) > _MOST_PLACES:
            kept = kept[np.argpartition(-log_states[kept], _MOST_PLACES)[:_MOST_PLACES]]
        weights = each[kept]
        return Counted(places[kept], weights / weights.sum())

    def of_part(self, column: int, count: int) -> Array:
        """Weight (count,) of each state of one of the set's parts, whatever the others are in."""
        return np.bincount(self.places[:, column], weights=self.weights, minlength=count).astype(float)


class CountedLater:
    """The same, made when first asked for: of most sets nobody asks."""

    def __init__(self, make: Callable[[], Counted]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> Counted:
        return self._make()

    @property
    def places(self) -> Places:
        """Joint states."""
        return self._made.places

    @property
    def weights(self) -> Array:
        """Their weights."""
        return self._made.weights

    def of_part(self, column: int, count: int) -> Array:
        """As `Counted.of_part`."""
        return self._made.of_part(column, count)


@dataclass(frozen=True)
class Explanation:
    """One set of worn parts: its log weight, and the joint states it is counted in."""

    parts: tuple[str, ...]
    log_weight: float
    counted: Counted | CountedLater
    solved_exactly: bool = False

    @property
    def places(self) -> Places:
        """Joint states (n, parts) that the set is counted in."""
        return self.counted.places

    @property
    def weights(self) -> Array:
        """Weights (n,) of these joint states, sum 1."""
        return self.counted.weights

    def weighing(self, log_weight: float, counted: Counted | CountedLater | None = None) -> Explanation:
        """The same set with another log weight, and with other joint states if they are given."""
        return Explanation(self.parts, log_weight, counted or self.counted, self.solved_exactly)

    @staticmethod
    def of(parts: tuple[str, ...], log_prior: float, places: Places, log_states: Array) -> Explanation:
        """From the log weights (n,) of all joint states given the set; those that count are kept."""
        most = float(log_states.max())
        evidence = most + log(np.exp(log_states - most).sum())
        return Explanation(parts, log_prior + evidence, Counted.of(places, log_states))

    @staticmethod
    def sound(log_weight: float = 0.0) -> Explanation:
        """Nothing worn."""
        return Explanation((), log_weight, Counted(np.zeros((1, 0), dtype=np.intp), np.ones(1)))

    def state_weights(self, part_id: str, count: int) -> Array:
        """Weight (count,) of each state of one of the set's parts, whatever the others are in."""
        return self.counted.of_part(self.parts.index(part_id), count)

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
        return self._marginals.get(part_id, 0.0)

    @cached_property
    def _marginals(self) -> Mapping[str, float]:
        found: dict[str, float] = {}
        for explanation, p in self._weighted():
            for part in explanation.parts:
                found[part] = found.get(part, 0.0) + p
        return found

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
        if part_id not in self._state_weights:
            total = np.zeros(len(self.states[part_id].weight))
            for explanation, p in self._weighted():
                if part_id in explanation.parts:
                    total += p * explanation.state_weights(part_id, len(total))
            self._state_weights[part_id] = total
        return self._state_weights[part_id].copy()

    @cached_property
    def told(self) -> dict[str, tuple[object, tuple[object, ...], Any]]:
        """What checks would tell, kept by `information.told_by`: next step and judgement ask the same."""
        return {}

    @cached_property
    def _state_weights(self) -> dict[str, Array]:
        return {}

    def leading(self, count: int) -> list[tuple[Explanation, float]]:
        """The most probable explanations with their probabilities."""
        return [(self.explanations[i], float(self.probabilities[i])) for i in self.order[:count]]

    @cached_property
    def order(self) -> list[int]:
        """Numbers of all explanations, the most probable first; those as likely but for rounding as they stand."""
        logs = np.round(np.log(np.maximum(self.probabilities, 1e-300)), 9)
        return [int(i) for i in np.argsort(-logs, kind="stable")]

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
