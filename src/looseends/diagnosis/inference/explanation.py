"""Explanations, each a set of worn parts with the states they may be in, and the posterior over all of them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.counted import Counted, EachLater, States, in_a_row
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.inference.views import PartViews, Places
from looseends.diagnosis.inference.worn_sets import WornSets
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array

_REST = 1e-6
"""Of a part's chance so much may lie in sets whose joint states nobody looks into."""


@dataclass(frozen=True)
class Explanation:
    """One set of worn parts: its log weight, and the joint states it is counted in."""

    parts: tuple[str, ...]
    log_weight: float
    counted: States
    solved_exactly: bool = False

    @property
    def places(self) -> Places:
        """Joint states (n, parts) that the set is counted in."""
        return self.counted.places

    @property
    def weights(self) -> Array:
        """Weights (n,) of these joint states, sum 1."""
        return self.counted.weights

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
        return self.counted.leading(count)


@dataclass(frozen=True)
class Posterior:
    """Sets of worn parts (e), their log weights up to a constant, and the joint states that each is counted in.

    `prior` is what was believed of every set before any reading; `solved` (e,) which sets were solved exactly.
    """

    sets: WornSets
    log_weights: Array
    counted: Sequence[States]
    states: Mapping[str, PartStates]
    views: PartViews
    prior: Prior
    solved: NDArray[np.bool_]

    @cached_property
    def probabilities(self) -> Array:
        """Probability (e,) of each set."""
        return np.asarray(np.exp(self.log_weights - log_sum_exp(self.log_weights)))

    @cached_property
    def believed(self) -> Array:
        """Log weight (e,) of each set before any reading."""
        return self.prior.log_weights_of(self.sets)

    def explanation(self, number: int) -> Explanation:
        """One set by its number."""
        log_weight, solved = float(self.log_weights[number]), bool(self.solved[number])
        return Explanation(self.sets.parts[number], log_weight, self.counted[number], solved)

    @property
    def explanations(self) -> tuple[Explanation, ...]:
        """All sets."""
        return tuple(self.explanation(n) for n in range(len(self.counted)))

    def marginal(self, part_id: str) -> float:
        """Chance that a part is worn."""
        return self._marginals.get(part_id, 0.0)

    @cached_property
    def _marginals(self) -> Mapping[str, float]:
        return dict(zip(self.sets.names, (self.probabilities @ self.sets.worn).tolist(), strict=True))

    def log_chance(self, parts: Collection[str]) -> float:
        """Log chance that just these parts are worn.

        A set that is not among the explanations has what the nearest smaller one has, and what each part more counts by
        itself: its readings and its prior.
        """
        wanted, number, weights = frozenset(parts), self.sets.number, self.log_weights.tolist()
        total = float(log_sum_exp(self.log_weights))
        if wanted in number:
            return float(weights[number[wanted]] - total)
        none = weights[number[frozenset()]]
        alone = {part: weights[number[frozenset((part,))]] - none for part in wanted}
        return float(
            max(weights[n] + sum(alone[part] for part in wanted - s) for s, n in number.items() if s <= wanted) - total
        )

    def state_weights(self, part_id: str) -> Array:
        """Posterior weight (s,) of a part's worn states; sums to its marginal.

        Taken from the sets that carry all but a millionth of it.
        """
        if part_id not in self._state_weights:
            self._state_weights[part_id] = self._weights_of(part_id)
        return self._state_weights[part_id].copy()

    def _weights_of(self, part_id: str) -> Array:
        count = len(self.states[part_id].weight)
        having = np.flatnonzero(self.sets.having((part_id,)))
        if not having.size:
            return np.zeros(count)
        having = having[np.argsort(-self.probabilities[having], kind="stable")]
        carried = np.cumsum(self.probabilities[having])
        kept = having[: int(np.searchsorted(carried, (1.0 - _REST) * carried[-1])) + 1]
        found = np.zeros(count)
        for n in kept.tolist():
            column = self.sets.parts[n].index(part_id)
            found += float(self.probabilities[n]) * self.counted[n].of_part(column, count)
        return np.asarray(found * (carried[-1] / max(float(carried[len(kept) - 1]), 1e-300)))

    @cached_property
    def told(self) -> dict[str, tuple[object, tuple[object, ...], Any]]:
        """What checks would tell, kept by `information.told_by`: next step and judgement ask the same."""
        return {}

    @cached_property
    def _state_weights(self) -> dict[str, Array]:
        return {}

    def leading(self, count: int | None = None) -> list[tuple[Explanation, float]]:
        """The most probable explanations with their probabilities; all if None."""
        return [(self.explanation(n), float(self.probabilities[n])) for n in self.order[:count]]

    @cached_property
    def order(self) -> list[int]:
        """Numbers of all sets, the most probable first; those as likely but for rounding as they stand."""
        logs = np.round(self.log_weights - self.log_weights.max(), 9)
        return list(np.argsort(-logs, kind="stable").tolist())

    def reweighted(
        self,
        log_weights: Array,
        counted: Callable[[int], States | None] | None = None,
        solved: NDArray[np.bool_] | None = None,
    ) -> Posterior:
        """The same sets with other log weights (e,), and with other joint states where `counted` gives some."""
        before = self.counted
        states = EachLater(lambda number: counted(number) or before[number], len(before)) if counted else before
        found = replace(self, log_weights=log_weights, counted=states, solved=self.solved if solved is None else solved)
        if "believed" in self.__dict__:  # the same sets by the same prior
            found.__dict__["believed"] = self.believed
        return found

    def with_sets(self, parts: Sequence[tuple[str, ...]], log_weights: Array, counted: Sequence[States]) -> Posterior:
        """With more sets (n) of the same parts, not solved, their log weights (n,) and joint states."""
        return replace(
            self,
            sets=self.sets.joined(parts),
            log_weights=np.append(self.log_weights, log_weights),
            counted=in_a_row(self.counted, counted),
            solved=np.append(self.solved, np.zeros(len(parts), dtype=bool)),
        )


def normalized(
    explanations: Sequence[Explanation],
    states: Mapping[str, PartStates],
    views: PartViews,
    prior: Prior,
) -> Posterior:
    """A posterior from explanations with log weights up to a constant."""
    return Posterior(
        WornSets.of([e.parts for e in explanations]),
        np.array([e.log_weight for e in explanations]),
        [e.counted for e in explanations],
        states,
        views,
        prior,
        np.array([e.solved_exactly for e in explanations]),
    )
