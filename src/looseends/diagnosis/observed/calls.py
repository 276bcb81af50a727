"""What an observer would call at a watch: grades by hand or eye, or steps of a gauge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Observer
from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.grade import grade_chances
from looseends.diagnosis.observed.likelihood import FREE, TOTAL, GaugeReading
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array

By = Literal["gauge", "hand", "eye"]

_GAUGE_STEPS = np.array([-1.0, 1.0, 2.0, 4.0, 8.0, 16.0])
"""Where a gauge's readings are parted for planning, in standard deviations beyond a sound vehicle's reading."""


class Watched(Protocol):
    """Watches of some setups, one after another."""

    @property
    def count(self) -> int:
        """Number of watches."""

    def chances(self, where: NDArray[np.intp], change: Array) -> Array:
        """Chance (n, calls) of each call at watches `where` (n,) with changes (n, 2) [mm]."""


class Calls(Protocol):
    """A way of taking a watch."""

    def at(self, tables: Sequence[ResponseTable], beliefs: Beliefs) -> Watched:
        """That way at all watches of some setups."""


def calls_of(by: By) -> Calls:
    """How hand, eye or gauge take a watch."""
    return _Gauge() if by == "gauge" else _Graded(load_catalogue().observers[by])


@dataclass(frozen=True)
class _Graded:
    observer: Observer

    def at(self, tables: Sequence[ResponseTable], beliefs: Beliefs) -> Watched:
        return _GradedWatches(*_sound(tables), beliefs, self.observer)


@dataclass(frozen=True)
class _Gauge:
    def at(self, tables: Sequence[ResponseTable], beliefs: Beliefs) -> Watched:
        return _GaugedWatches(*_sound(tables), beliefs)


def _sound(tables: Sequence[ResponseTable]) -> tuple[Array, Array]:
    """Movement (k, 2) and its spread (k, 2) [mm] on a sound vehicle."""
    return np.concatenate([t.sound for t in tables]), np.concatenate([t.spread for t in tables])


@dataclass(frozen=True)
class _Watches:
    """Sound movement and spread (k, 2) [mm] of every watch."""

    sound: Array
    spread: Array
    beliefs: Beliefs

    @property
    def count(self) -> int:
        """Number of watches."""
        return len(self.sound)

    def predicted(self, where: NDArray[np.intp], change: Array) -> tuple[Array, Array]:
        """Movement and its spread (n, 2) [mm]."""
        b = self.beliefs
        spread = np.sqrt(self.spread[where] ** 2 + b.floor_mm**2 + (b.share_of_change * change) ** 2)
        return np.maximum(self.sound[where] + change, 0.0), spread


@dataclass(frozen=True)
class _GradedWatches(_Watches):
    observer: Observer

    def chances(self, where: NDArray[np.intp], change: Array) -> Array:
        """Chance (n, grades) of each grade."""
        return grade_chances(self.observer, *self.predicted(where, change))


@dataclass(frozen=True)
class _GaugedWatches(_Watches):
    """A gauge shows the movement in all and its dead zone; at each watch the one that parts a change better counts.

    Readings are parted into steps: telling which step tells no more than the reading itself would.
    """

    def chances(self, where: NDArray[np.intp], change: Array) -> Array:
        """Chance (n, steps) of a reading in each step."""
        dead_zone, found = self._sharper[where], np.empty((len(where), len(_GAUGE_STEPS) + 1))
        for quantity, at in ((TOTAL, ~dead_zone), (FREE, dead_zone)):
            found[at] = self._steps(where[at], change[at], quantity)
        return found

    @cached_property
    def _sharper(self) -> NDArray[np.bool_]:
        """Where the dead zone is the sharper reading (k,)."""
        every = np.arange(self.count)
        in_all, free = (self._expected(every, np.zeros_like(self.sound), quantity)[1] for quantity in (TOTAL, FREE))
        return np.asarray(free < in_all)

    def _steps(self, where: NDArray[np.intp], change: Array, quantity: int) -> Array:
        sound, doubt = self._expected(where, np.zeros_like(change), quantity)
        mean, deviation = self._expected(where, change, quantity)
        ends = sound[:, None] + doubt[:, None] * _GAUGE_STEPS
        below = ndtr((ends - mean[:, None]) / deviation[:, None])
        ones, zeros = np.ones((len(where), 1)), np.zeros((len(where), 1))
        right = np.diff(np.concatenate([zeros, below, ones], axis=1), axis=1)
        wrong = self.beliefs.wrong_chance
        return np.asarray((1.0 - wrong) * np.maximum(right, 0.0) + wrong / right.shape[1])

    def _expected(self, where: NDArray[np.intp], change: Array, quantity: int) -> tuple[Array, Array]:
        return GaugeReading(0.0, 0.0, self.beliefs, quantity).expected(*self.predicted(where, change))
