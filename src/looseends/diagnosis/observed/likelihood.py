"""Kinds of evidence: each gives the log likelihood of what was recorded and can draw what would be recorded.

Movements are given as (..., 2) arrays, total and free [mm], as the model predicts them; `spread` (..., 2) is the
standard deviation of the prediction [mm]. Both may have any leading shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.springs import Springs
from looseends.mechanics.bodies import Array

TOTAL, FREE = 0, 1
"""Place of the total and the free movement in every (..., 2) array."""


class Evidence(Protocol):
    """What every kind of evidence can do."""

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log likelihood (...) of what was recorded."""

    def most(self, spread: Array) -> float:
        """No movement with at least this spread (2,) makes the log likelihood larger than this."""

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Drawn recordings (...): millimeters for a gauge, the number of the grade for a grade."""

    def expanded(self, movement: Array, spread: Array) -> Expansion:
        """The log likelihood and its expansion where all movement is shifted alike."""

    def personal(self, movement: Array) -> tuple[Array, Array]:
        """Shift [mm] by one standard deviation of what is a person's own: sense of springiness, and thresholds."""

    def impersonal(self, softer_beside: float = 0.0) -> Evidence:
        """The same without what is a person's own, for where that is shared among readings."""

    @property
    def parts_read(self) -> Array:
        """Parts (2,) of the total and of the free movement that add up to what is read."""


Expansion = tuple[Array, Array, Array]
"""Log likelihood (...), its slope [1/mm] and its information [1/mm^2, not negative]."""


@dataclass(frozen=True)
class GaugeReading:
    """A gauge reading [mm] of the total movement or of the dead zone alone, with the gauge's resolution [mm].

    Normal about the prediction, with a small share of readings that are simply wrong and lie anywhere in reach. A dead
    zone is judged by when it goes tight, which has an error of its own. `in_all` [mm] is what the gauge showed in all
    where it showed a dead zone: it tells how much springs, of which a share is read into the dead zone, and whether the
    reading is right (`springs.Springs`).
    Several readings of the same kind may be one object, with arrays over the last axis of the movements.
    """

    reading: float | Array
    resolution: float | Array
    beliefs: Beliefs
    quantity: int = TOTAL
    in_all: float | Array | None = None
    softer_beside: float | Array = 0.0
    """Variance [mm2] of what springs that no spread given holds, for it is taken account of elsewhere."""

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log density of the reading: [1/mm], or [1/mm2] with what was shown in all."""
        mean, deviation = self.expected(movement, spread)
        return np.asarray(np.logaddexp(self._log_bell(mean, deviation, movement, spread), self.log_wrong))

    def most(self, spread: Array) -> float:
        """As if the prediction met the reading; its error is least where nothing moves."""
        return self.log_peak(self.expected(np.zeros_like(spread), spread)[1])

    def log_peak(self, deviation: Array | float) -> float:
        """Log density of a reading that the prediction meets, with an error of this deviation [mm]."""
        right = np.log1p(-self.beliefs.wrong_chance) - np.log(float(deviation) * np.sqrt(2.0 * np.pi))
        if self.springs is not None:
            right = right + self.springs.log_most()
        return float(np.logaddexp(right, self.log_wrong))

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Readings [mm], rounded to the gauge's resolution."""
        right = rng.normal(*self._before_rounding(movement, spread))
        wrong = rng.uniform(0.0, self.wrong_reach, right.shape)
        drawn = np.where(rng.random(right.shape) < self.beliefs.wrong_chance, wrong, np.maximum(right, 0.0))
        return np.asarray(np.round(drawn / self.resolution) * self.resolution)

    def expanded(self, movement: Array, spread: Array) -> Expansion:
        """As for a reading that is right, times the chance that it is."""
        mean, deviation = self.expected(movement, spread)
        z = (self.reading - mean) / deviation
        bell = self._log_bell(mean, deviation, movement, spread)
        every = np.logaddexp(bell, self.log_wrong)
        sharp = np.exp(bell - every) / deviation
        return np.asarray(every), np.asarray(sharp * z), np.asarray(sharp / deviation)

    def personal(self, movement: Array) -> tuple[Array, Array]:
        """The share of the springy movement that a person reads into a dead zone; a gauge has no thresholds."""
        springy = self._springy(movement)
        spread = self.beliefs.springy_taken_spread if self.quantity == FREE else 0.0
        return spread * springy, np.zeros_like(springy)

    def impersonal(self, softer_beside: float = 0.0) -> GaugeReading:
        """With everybody reading the same share into a dead zone.

        How they differ stays in what may spring there, as does `softer_beside` [mm2].
        """
        differ = 0.0 if self.in_all is None else np.square(self.beliefs.springy_taken_spread * np.asarray(self.in_all))
        return replace(self, beliefs=self.beliefs.impersonal, softer_beside=softer_beside + differ)

    @property
    def parts_of_spread(self) -> Array:
        """Parts (2,) of the spread of the total and of the free movement, taken as independent, in what is read."""
        if self.quantity == TOTAL:
            return np.array([1.0, 0.0])
        return np.array([self.beliefs.springy_taken if self.in_all is None else 0.0, 1.0])

    @property
    def parts_read(self) -> Array:
        """All movement, or the free part with what is read into it."""
        if self.quantity == TOTAL:
            return np.array([1.0, 0.0])
        taken = self.beliefs.springy_taken
        return np.array([taken if self.in_all is None else 0.0, 1.0 - taken])

    def log_right(self, movement: Array, spread: Array) -> Array:
        """Log of the chance that a reading is not simply wrong, times the density [1/mm] of what springs in it."""
        chance = np.log1p(-self.beliefs.wrong_chance)
        if self.springs is None:
            return np.asarray(chance)
        return np.asarray(chance + self.log_springs(self.springs, movement, spread))

    def log_springs(self, springs: Springs, movement: Array, spread: Array) -> Array:
        """Log density [1/mm] of what springs where it was read, in a reading that is right."""
        springy = np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0)
        return springs.log_right(springy, movement[..., FREE], softer(spread) + self.softer_beside)

    @property
    def log_wrong(self) -> Array:
        """Log density of a reading that is simply wrong."""
        chance = np.log(self.beliefs.wrong_chance / self.beliefs.wrong_reach_mm)
        return np.asarray(chance if self.springs is None else chance + self.springs.log_wrong())

    @property
    def springs(self) -> Springs | None:
        """What it showed beyond the dead zone; None where it showed no dead zone."""
        if self.in_all is None:
            return None
        return Springs(self.reading, self.in_all, self.resolution, self.beliefs)

    def _log_bell(self, mean: Array, deviation: Array, movement: Array, spread: Array) -> Array:
        """Log density (...) of the reading as one that is right."""
        z = (self.reading - mean) / deviation
        return np.asarray(self.log_right(movement, spread) - 0.5 * z**2 - np.log(deviation * np.sqrt(2.0 * np.pi)))

    @property
    def wrong_reach(self) -> float | Array:
        """Over how much [mm] readings that are simply wrong lie; a dead zone is never more than was shown in all."""
        if self.in_all is None:
            return self.beliefs.wrong_reach_mm
        return np.minimum(self.beliefs.wrong_reach_mm, self.in_all + self.resolution)

    def error_parts(self, movement: Array, spread: Array) -> tuple[Array, Array, Array]:
        """Mean of the reading, its part of the model's error, and its own error when read again, all (...) [mm]."""
        mean, _ = self._before_rounding(movement, spread)
        _, own = self._before_rounding(movement, np.zeros_like(spread))
        shared = np.sqrt(np.square(spread) @ np.square(self.parts_of_spread))
        set_up = np.hypot(self.beliefs.again_error_mm, self.beliefs.again_error_share * mean)
        return mean, shared, np.sqrt(own**2 + set_up**2 + self.resolution**2 / 12.0)

    def sample_given(self, movement: Array, spread: Array, t: Array, rng: np.random.Generator) -> Array:
        """Readings [mm] where the model errs by t standard deviations."""
        mean, shared, own = self.error_parts(movement, spread)
        wrong = rng.uniform(0.0, self.wrong_reach, mean.shape)
        return np.where(rng.random(mean.shape) < self.beliefs.wrong_chance, wrong, rng.normal(mean + t * shared, own))

    def expected(self, movement: Array, spread: Array) -> tuple[Array, Array]:
        """Mean and standard deviation (...) [mm] of the reading; rounding makes it uniform over one step."""
        mean, deviation = self._before_rounding(movement, spread)
        return mean, np.hypot(deviation, self.resolution / np.sqrt(12.0))

    def _before_rounding(self, movement: Array, spread: Array) -> tuple[Array, Array]:
        """Mean and standard deviation (...) [mm] of the reading before rounding."""
        if self.quantity == TOTAL:
            return movement[..., TOTAL], spread[..., TOTAL]
        b = self.beliefs
        free, springy = movement[..., FREE], self._springy(movement)
        judging = np.hypot(b.dead_zone_error_mm, b.dead_zone_error_share * free)
        taken = b.springy_taken_spread * springy
        model = np.sqrt(np.square(spread) @ np.square(self.parts_of_spread))
        return free + b.springy_taken * springy, np.sqrt(model**2 + judging**2 + taken**2)

    def _springy(self, movement: Array) -> Array:
        """What springs (...) [mm]: of what the gauge showed in all, if it did, else of the movement."""
        in_all = movement[..., TOTAL] if self.in_all is None else self.in_all
        return np.maximum(in_all - movement[..., FREE], 0.0)


def softer(spread: Array) -> Array:
    """Variance (...) [mm2] of what springs: what the movement in all varies by beyond the free part."""
    return np.asarray(np.maximum(np.square(spread[..., TOTAL]) - np.square(spread[..., FREE]), 0.0))
