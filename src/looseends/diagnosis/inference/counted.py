"""Joint states that sets of worn parts are counted in, made when somebody asks: of most sets nobody does."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import exp
from typing import overload

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.views import Places
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
        return Counted(places.take(kept, axis=0), weights / weights.sum())

    def of_part(self, column: int, count: int) -> Array:
        """Weight (count,) of each state of one of the set's parts, whatever the others are in."""
        return np.bincount(self.places[:, column], weights=self.weights, minlength=count).astype(float, copy=False)

    def leading(self, count: int) -> NDArray[np.intp]:
        """Rows of the most probable joint states, the first first."""
        if count >= len(self.weights):
            return np.argsort(-self.weights, kind="stable")
        rows = np.flatnonzero(self.weights >= np.partition(self.weights, -count)[-count])
        leading: NDArray[np.intp] = rows[np.argsort(-self.weights[rows], kind="stable")[:count]]
        return leading


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

    def leading(self, count: int) -> NDArray[np.intp]:
        """As `Counted.leading`."""
        return self._made.leading(count)


States = Counted | CountedLater


class EachLater(Sequence[States]):
    """The same of many sets in a row, each set's made when it is first asked for: no object stands for the others."""

    def __init__(self, make: Callable[[int], States], count: int) -> None:
        self._make, self._count = make, count
        self._made: dict[int, States] = {}

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, number: int) -> States: ...
    @overload
    def __getitem__(self, number: slice) -> Sequence[States]: ...
    def __getitem__(self, number: int | slice) -> States | Sequence[States]:
        if isinstance(number, slice):
            return [self[n] for n in range(self._count)[number]]
        if number not in self._made:
            if not 0 <= number < self._count:
                raise IndexError(number)
            self._made[number] = self._make(number)
        return self._made[number]


def in_a_row(*several: Sequence[States]) -> Sequence[States]:
    """Joint states of some sets, and behind them those of others."""
    ends = list(accumulate(len(each) for each in several))

    def made(number: int) -> States:
        at = bisect_right(ends, number)
        return several[at][number - (ends[at - 1] if at else 0)]

    return EachLater(made, ends[-1])
