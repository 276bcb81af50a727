"""What readings would be called when they are taken again: the same at each next step, so it is kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.mechanics.bodies import Array

_MOST_READINGS, _MOST_ROWS = 40, 1000
"""So many readings stay in memory, those asked for last; one with more rows than that is begun anew."""


@dataclass
class CallsOfReading:
    """Chances (n, calls) of each call of one reading taken again, where just some parts in some states move it.

    `row` of each such choice among these.
    """

    row: dict[Hashable, int] = field(default_factory=dict)
    chances: Array = field(default_factory=lambda: np.zeros((0, 0)))

    def add(self, shown: Sequence[Hashable], chances: Array) -> None:
        """Chances (n, calls) of more choices."""
        self.row.update(zip(shown, range(len(self.row), len(self.row) + len(shown)), strict=True))
        self.chances = np.concatenate([self.chances, chances]) if len(self.chances) else chances

    def of(self, shown: Sequence[Hashable]) -> Array:
        """The chances (n, calls) of some choices."""
        return np.asarray(self.chances[[self.row[one] for one in shown]])


class KeptCalls:
    """The same of the readings of one vehicle, each by what it is known by (`ReadingSet.keys`)."""

    def __init__(self) -> None:
        self._beliefs: Beliefs | None = None
        self._of: OrderedDict[Hashable, CallsOfReading] = OrderedDict()

    def of(self, reading: Hashable, beliefs: Beliefs) -> CallsOfReading:
        """What is kept of one reading; nothing of what other beliefs said."""
        if beliefs != self._beliefs:
            self._beliefs, self._of = beliefs, OrderedDict()
        if reading not in self._of or len(self._of[reading].row) > _MOST_ROWS:
            self._of[reading] = CallsOfReading()
        self._of.move_to_end(reading)
        while len(self._of) > _MOST_READINGS:
            self._of.popitem(last=False)
        return self._of[reading]
