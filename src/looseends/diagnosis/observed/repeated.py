"""One watch of one setup, read more than once: the model errs alike in all recordings, each by itself.

Given the model's error t, standard normal, the recordings are independent. Of every choice of gauge readings that are
right the integral over t is known in closed form; what grades add is integrated by Gauss-Hermite about what these
gauge readings leave of t. Now and then a place that sums up many joints, as the tread does, moves on this vehicle as on
none that the tables know, and does so each time that it is read: then the error is far wider. A single reading has no
need of that, for it is simply wrong more often.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from math import log

import numpy as np

from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import Evidence, Expansion, GaugeReading
from looseends.diagnosis.observed.place_read import place_read
from looseends.diagnosis.observed.springs import LOG_FITS_MORE, log_alike, mean_of
from looseends.mechanics.bodies import Array

_NODES = 15
_GAUGES = 6
"""More gauge readings than this of one watch are taken as if only the last ones had been made."""

_OFF_CHANCE, _OFF_MM = 0.005, np.array([4.0, 2.0])
"""Chance that a place at no joint is off the model by far, and by how much [mm] in all and in free movement (standard
deviations); assumed."""

_STEP = 0.2
"""Span of a difference, as a share of the reading's standard deviation."""


@dataclass(frozen=True)
class Repeated:
    """Recordings of the same watch in the same setup, by gauge or as grades; `off_chance` that it is off the model."""

    gauges: tuple[GaugeReading, ...]
    grades: tuple[Grade, ...]
    off_chance: float = 0.0

    @staticmethod
    def of(recordings: Sequence[Evidence], off_chance: float = 0.0) -> Repeated:
        """From recordings in any order."""
        gauges = tuple(e for e in recordings if isinstance(e, GaugeReading))
        return Repeated(gauges[-_GAUGES:], tuple(e for e in recordings if isinstance(e, Grade)), off_chance)

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log likelihood (...) of all recordings: densities [1/mm] for gauges, probabilities for grades."""
        each = [log_chance + self._log_with(movement, error) for log_chance, error in self.errors(spread)]
        return np.asarray(log_sum_exp(np.array(each), axis=0))

    def errors(self, spread: Array) -> list[tuple[float, Array]]:
        """Spreads (..., 2) [mm] that the model's error may have here, with the log chance of each."""
        if not self.off_chance:
            return [(0.0, spread)]
        return [(log(1.0 - self.off_chance), spread), (log(self.off_chance), np.hypot(spread, _OFF_MM))]

    def _log_with(self, movement: Array, spread: Array) -> Array:
        parts = [gauge.error_parts(movement, spread) for gauge in self.gauges]
        choices = []
        for right in product((True, False), repeat=len(self.gauges)):
            kept = [(g, p) for g, p, is_right in zip(self.gauges, parts, right, strict=True) if is_right]
            wrong = sum(g.log_wrong for g, is_right in zip(self.gauges, right, strict=True) if not is_right)
            value, mean, deviation = left_by(kept, movement.shape[:-1])
            value = value + log_all_right([g for g, _ in kept], movement, spread)
            choices.append(value + wrong + self.graded(movement, spread, mean, deviation))
        return np.asarray(log_sum_exp(np.array(choices), axis=0))

    def most(self, spread: Array) -> float:
        """As if every recording were as likely by itself as it can be."""
        own = sum(gauge.log_peak(gauge.error_parts(np.zeros_like(spread), spread)[2]) for gauge in self.gauges)
        alike = max(len(self.gauges) - 1, 0) * LOG_FITS_MORE
        return own + alike + sum(grade.most(spread) for grade in self.grades)

    def graded(self, movement: Array, spread: Array, mean: Array, deviation: Array) -> Array:
        """Log of the mean (...) of the grades' probability over t, normal with this mean and deviation."""
        if not self.grades:
            return np.zeros(movement.shape[:-1])
        nodes, log_weights = (each.reshape(-1, *[1] * mean.ndim) for each in _rule())
        t = mean + nodes * deviation
        given = sum(grade.log_likelihood(*grade.shifted(movement, spread, t)) for grade in self.grades)
        return np.asarray(log_sum_exp(log_weights + given, axis=0))

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Drawn recordings (..., n) with one error of the model for all: gauges [mm] first, then grades."""
        t = rng.standard_normal(movement.shape[:-1])
        off = rng.random(t.shape)[..., None] < self.off_chance
        spread = np.where(off, np.hypot(spread, _OFF_MM), spread)
        drawn = [gauge.sample_given(movement, spread, t, rng) for gauge in self.gauges]
        drawn += [grade.sample(*grade.shifted(movement, spread, t), rng) for grade in self.grades]
        return np.stack(drawn, axis=-1)

    def expanded(self, movement: Array, spread: Array) -> Expansion:
        """By differences over a small part of the prediction's spread."""
        own = [gauge.expected(movement, spread)[1] for gauge in self.gauges]
        own += [np.maximum(0.25, 0.5 * movement.max(axis=-1))] if self.grades else []
        step = _STEP * np.minimum.reduce(own)
        low, middle, high = (
            self.log_likelihood(np.maximum(movement + shift[..., None], 0.0), spread)
            for shift in (-step, 0.0 * step, step)
        )
        return middle, (high - low) / (2.0 * step), np.maximum(0.0, (2.0 * middle - low - high) / step**2)

    def personal(self, movement: Array) -> tuple[Array, Array]:
        """As the first recording's."""
        return self._first.personal(movement)

    def impersonal(self, softer_beside: float = 0.0) -> Repeated:
        """Each recording without what is a person's own."""
        gauges = tuple(gauge.impersonal(softer_beside) for gauge in self.gauges)
        return Repeated(gauges, tuple(grade.impersonal() for grade in self.grades), self.off_chance)

    @property
    def parts_read(self) -> Array:
        """As in the first recording."""
        return self._first.parts_read

    @property
    def _first(self) -> GaugeReading | Grade:
        return self.gauges[0] if self.gauges else self.grades[0]


def log_all_right(gauges: Sequence[GaugeReading], movement: Array, spread: Array) -> Array:
    """Log of the chance (...) that none of some readings is simply wrong, times the density of what springs in them.

    A place that springs more than the model says does so each time it is read, so that is weighed once.
    """
    found: Array = np.full(movement.shape[:-1], sum(log(1.0 - gauge.beliefs.wrong_chance) for gauge in gauges))
    springs = [gauge.springs for gauge in gauges if gauge.springs is not None]
    if springs:
        first = next(gauge for gauge in gauges if gauge.springs is not None)
        found += first.log_springs(mean_of(springs), movement, spread) + log_alike(springs)
    return found


@cache
def _rule() -> tuple[Array, Array]:
    """Nodes and log weights of Gauss and Hermite's rule for the mean over a standard normal number."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    return nodes, np.log(weights / weights.sum())


def left_by(
    kept: Sequence[tuple[GaugeReading, tuple[Array, Array, Array]]], shape: tuple[int, ...]
) -> tuple[Array, Array, Array]:
    """Log density (...) of gauge readings that are right, and mean and deviation (...) of t that they leave."""
    value, precision, pull = np.zeros(shape), np.ones(shape), np.zeros(shape)
    for gauge, (mean, shared, own) in kept:
        off = (gauge.reading - mean) / own
        value = value - 0.5 * off**2 - np.log(own * np.sqrt(2.0 * np.pi))
        precision = precision + (shared / own) ** 2
        pull = pull + shared / own * off
    return value + 0.5 * pull**2 / precision - 0.5 * np.log(precision), pull / precision, 1.0 / np.sqrt(precision)


def grouped(clues: Sequence[Clue]) -> tuple[Clue, ...]:
    """Clues with all recordings of one watch in one setup as one, in the order of the first of each.

    Recordings before and after a part was replaced, or a joint was cleaned, are not of the same thing.
    """
    groups: dict[object, list[Clue]] = {}
    for clue in clues:
        groups.setdefault(same_watch(clue), []).append(clue)
    return tuple(_as_one(group) for group in groups.values())


def same_watch(clue: Clue) -> object:
    """What recordings of one watch in one setup have in common, of the same parts in the same state."""
    return clue.check.setup, clue.reading.watch, frozenset(clue.change), frozenset(clue.hidden.items())


def _as_one(group: Sequence[Clue]) -> Clue:
    if len(group) == 1:
        return group[0]
    return replace(group[0], evidence=Repeated.of([clue.evidence for clue in group], off_chance(group[0])))


def off_chance(clue: Clue) -> float:
    """Chance that the place of a reading is off the model by far: none at a joint, where its own play alone shows."""
    return _OFF_CHANCE if place_read(clue.check.setup, clue.reading.watch).kind == "point" else 0.0
