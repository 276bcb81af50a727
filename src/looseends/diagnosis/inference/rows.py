"""All states of all parts of a vehicle one below another, so that one formula answers for all of them at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.tables.states import PartStates
from looseends.mechanics.bodies import Array

Numbers = NDArray[np.intp]


@dataclass(frozen=True)
class StateRows:
    """States (r) of some parts (p), part after part.

    `first` (p + 1,) where each part's rows begin, and their end; `owner` (r,) number of the part of each row;
    `neighbors` axis by axis the rows (r,) one knot below and above, the row itself where its part has no such axis;
    `neighborhood` (r,) number of each row's neighborhood: two knots next to each other on each worn axis.
    """

    states: tuple[PartStates, ...]
    first: Numbers
    owner: Numbers
    neighbors: tuple[tuple[Numbers, Numbers], ...]
    neighborhood: Numbers

    @staticmethod
    def of(states: Sequence[PartStates]) -> StateRows:
        """Of parts in their order."""
        counts = [len(s.weight) for s in states]
        first = np.cumsum([0, *counts])
        owner = np.repeat(np.arange(len(counts)), counts)
        return StateRows(tuple(states), first, owner, _neighbors(states, first), _neighborhoods(states))

    def weighed(self, states: Sequence[PartStates]) -> StateRows:
        """The same parts in the same states, weighed otherwise."""
        if all(own.weight is other.weight for own, other in zip(self.states, states, strict=True)):
            return self
        return replace(self, states=tuple(states))

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Ids of the parts."""
        return tuple(s.part.id for s in self.states)

    @cached_property
    def number(self) -> Mapping[str, int]:
        """Number of each part by its id."""
        return {name: number for number, name in enumerate(self.names)}

    @cached_property
    def log_part(self) -> Array:
        """Log (r,) of the prior weight of each state, given that its part is worn."""
        return np.asarray(np.log(np.concatenate([np.zeros(0), *(s.weight for s in self.states)])))

    def of_part(self, number: int) -> slice:
        """Rows of one part."""
        return slice(int(self.first[number]), int(self.first[number + 1]))

    def log_sums(self, logs: Array) -> Array:
        """log Σ exp over the rows of each part: (p, ...) from (r, ...)."""
        return segment_log_sums(logs, self.first)

    def cell_width(self, change: Array) -> Array:
        """Standard deviation (r, ...) of a change (r, ...) over the severity cells, as `evidence.cell_width`."""
        total = np.zeros_like(change)
        for below, above in self.neighbors:
            total += (0.5 * np.abs(change[above] - change[below])) ** 2
        return np.asarray(np.sqrt(total / 12.0))


def _neighbors(states: Sequence[PartStates], first: Numbers) -> tuple[tuple[Numbers, Numbers], ...]:
    found = []
    for axis in range(max((len(s.axes) for s in states), default=0)):
        ends = np.tile(np.arange(first[-1]), (2, 1))
        for number, s in enumerate(states):
            if axis < len(s.axes):
                ends[:, first[number] : first[number + 1]] = np.array(s.neighbors[axis]) + first[number]
        found.append((ends[0], ends[1]))
    return tuple(found)


def _neighborhoods(states: Sequence[PartStates]) -> Numbers:
    found, begins = [np.zeros(0, dtype=np.intp)], 0
    for s in states:
        _, number = np.unique(np.where(s.index < 0, -1, s.index // 2), axis=0, return_inverse=True)
        found.append(number.ravel() + begins)
        begins += int(number.max()) + 1
    return np.concatenate(found)


def segment_log_sums(logs: Array, first: Numbers) -> Array:
    """log Σ exp (n, ...) over segments of the first axis; `first` (n + 1,) where each begins, none empty."""
    if len(first) < 2:
        return np.zeros((0, *logs.shape[1:]))
    largest = np.maximum.reduceat(logs, first[:-1], axis=0)
    shift = np.where(np.isfinite(largest), largest, 0.0)
    with np.errstate(divide="ignore"):
        sums = np.add.reduceat(np.exp(logs - np.repeat(shift, np.diff(first), axis=0)), first[:-1], axis=0)
        return np.asarray(shift + np.log(sums))


def sum_of(values: Array, rows: Numbers) -> Array:
    """Sum (n, ...) of the values (r, ...) of some rows (n, m): for few rows each, faster than along an axis.

    Taken, not indexed: of values with axes of their own that is ten times as fast.
    """
    total = values.take(rows[:, 0], axis=0)
    for member in rows.T[1:]:
        total += values.take(member, axis=0)
    return total


def max_of(values: Array, rows: Numbers) -> Array:
    """The largest (n, ...) of the values (r, ...) of some rows (n, m)."""
    largest = values.take(rows[:, 0], axis=0)
    for member in rows.T[1:]:
        np.maximum(largest, values.take(member, axis=0), out=largest)
    return largest


def ranges(first: Numbers, counts: Numbers) -> Numbers:
    """The numbers from each first on, so many of each, end to end."""
    ends = np.cumsum(counts)
    total = int(ends[-1]) if len(ends) else 0
    return np.asarray(np.arange(total) + np.repeat(first - (ends - counts), counts))
