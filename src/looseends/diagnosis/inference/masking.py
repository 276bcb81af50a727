"""Joints that grease, rust or dirt hides in every reading of a visit: worn, and reading as if they were sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import exp

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.counted import Counted, CountedLater
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.rows import Numbers, segment_log_sums
from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array

_COUNTS = 7.0
"""A choice that has less than this of a set's log weight is left out of its joint states."""

_TOLD_APART = 9.0
"""Of sets further behind the leading one than this, in log weight, the joint states stay as they are."""

_FEW = 12
"""So many joint states of what shows, and so many of each hidden part, carry a masked choice's states."""


def with_masked_joints(posterior: Posterior, beliefs: Beliefs) -> Posterior:
    """The posterior with every worn part masked or not, each with the chance of it.

    What a masked part's readings say is what they say without it: its states keep their prior weights.
    """
    within, believed = posterior.sets.within, posterior.believed
    logs = _choices(posterior, beliefs)
    totals = segment_log_sums(logs, within.first)
    weights = believed + totals
    told_apart, hidden = weights > weights.max() - _TOLD_APART, _HiddenStates(posterior.states)

    def mixed(number: int) -> _Mixed | None:
        own = within.of(number)
        told = within.number[own], logs[own], float(totals[number])
        return _Mixed(posterior, number, hidden, *told) if told_apart[number] else None

    return posterior.reweighted(weights, mixed)


def _choices(posterior: Posterior, beliefs: Beliefs) -> Array:
    """Log likelihood (n,) of every choice of which of a set's parts are hidden, with its chance, set after set.

    A smaller set that was too far behind to be kept says nothing here.
    """
    within, sizes = posterior.sets.within, posterior.sets.sizes
    hide, show = float(np.log(beliefs.masked_chance)), float(np.log1p(-beliefs.masked_chance))
    told = posterior.log_weights - posterior.believed
    return np.asarray(told[within.number] + within.fewer * hide + sizes[within.number] * show)


class _HiddenStates:
    """The states that carry a part that is hidden: all as weighed before any reading, or a few where sets are large."""

    def __init__(self, states: Mapping[str, PartStates]) -> None:
        self._states = states
        self._known: dict[tuple[str, bool], tuple[Numbers, Array]] = {}

    def of(self, part: str, few: bool) -> tuple[Numbers, Array]:
        """States (n,) of a part and their weights (n,), sum 1."""
        if (part, few) not in self._known:
            prior = self._states[part].weight
            states = np.argsort(-prior)[:_FEW] if few else np.arange(len(prior))
            self._known[part, few] = states, prior[states] / prior[states].sum()
        return self._known[part, few]

    def of_part(self, part: str, few: bool, count: int) -> Array:
        """Weight (count,) of each state of a part."""
        states, weights = self.of(part, few)
        every = np.zeros(count)
        every[states] = weights
        return every


class _Mixed(CountedLater):
    """Joint states of one set over all choices (n) of which of its parts are hidden.

    `showing` (n,) the set of parts that are not, `logs` (n,) the log likelihood with the choice's chance, `total` that
    of all.
    """

    def __init__(
        self, posterior: Posterior, number: int, hidden: _HiddenStates, showing: Numbers, logs: Array, total: float
    ) -> None:
        self._posterior, self._number, self._hidden = posterior, number, hidden
        self._choices, self._total = (showing, logs), total

    @cached_property
    def _explanation(self) -> Explanation:
        return self._posterior.explanation(self._number)

    @cached_property
    def _kept(self) -> list[tuple[_Showing, float]]:
        """The choices that count, each with its share."""
        found, (showing, logs) = self._posterior, self._choices
        each = [
            (found.explanation(n), exp(log - self._total))
            for n, log in zip(showing.tolist(), logs.tolist(), strict=True)
            if log >= self._total - _COUNTS
        ]
        of_kept = sum(share for _, share in each)
        return [(_Showing(self._hidden, self._explanation, shown), share / of_kept) for shown, share in each]

    @cached_property
    def _made(self) -> Counted:
        states = [(showing.joint, share) for showing, share in self._kept]
        return Counted(
            np.concatenate([joint.places for joint, _ in states]),
            np.concatenate([share * joint.weights for joint, share in states]),
        )

    def of_part(self, column: int, count: int) -> Array:
        """As of all joint states, without putting these together."""
        part = self._explanation.parts[column]
        return np.asarray(sum(share * showing.of_part(part, count) for showing, share in self._kept))


@dataclass(frozen=True)
class _Showing:
    """One choice: only `shown` of a set's parts show. Those are weighed by readings, hidden ones as before."""

    hidden: _HiddenStates
    explanation: Explanation
    shown: Explanation

    @property
    def _all(self) -> bool:
        return len(self.shown.parts) == len(self.explanation.parts)

    @cached_property
    def _leading(self) -> Counted:
        """The states of what shows that carry this choice."""
        rows = self.shown.leading_places(_FEW if len(self.explanation.parts) > 1 else 1)
        weights = self.shown.weights[rows]
        return Counted(self.shown.places[rows], weights / weights.sum())

    @property
    def _few(self) -> bool:
        return len(self.explanation.parts) > 2

    def of_part(self, part: str, count: int) -> Array:
        """Weight (count,) of each state of a part."""
        if part not in self.shown.parts:
            return self.hidden.of_part(part, self._few, count)
        counted = self.shown.counted if self._all else self._leading
        return counted.of_part(self.shown.parts.index(part), count)

    @property
    def joint(self) -> Counted:
        """Joint states of all parts."""
        if self._all:
            return Counted(self.shown.places, self.shown.weights)
        parts, weights = self.explanation.parts, self._leading.weights
        hidden = {part: self.hidden.of(part, self._few) for part in parts if part not in self.shown.parts}
        for _, own in hidden.values():
            weights = np.multiply.outer(weights, own)
        places = np.empty((*weights.shape, len(parts)), dtype=np.intp)
        for n, part in enumerate(parts):
            axis = 1 + list(hidden).index(part) if part in hidden else 0
            column = hidden[part][0] if axis else self._leading.places[:, self.shown.parts.index(part)]
            places[..., n] = column.reshape([-1 if a == axis else 1 for a in range(weights.ndim)])
        return Counted(places.reshape(-1, len(parts)), weights.ravel())
