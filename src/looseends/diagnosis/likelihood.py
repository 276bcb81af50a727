"""Kinds of evidence: each gives the log likelihood of what was recorded and can draw what would be recorded.

Movements are given as (..., 2) arrays, total and free [mm], as the model predicts them; `spread` (..., 2) is the
standard deviation of the prediction [mm]. Both may have any leading shape.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.special import ndtr

from looseends.catalogue.types import Observer
from looseends.diagnosis.beliefs import Beliefs
from looseends.mechanics.bodies import Array

TOTAL, FREE = 0, 1
"""Place of the total and the free movement in every (..., 2) array."""

_SHARE_SPREAD = 0.6
"""Spread of an observer's share of springy movement, as a share of it; assumed."""


class Evidence(Protocol):
    """What every kind of evidence can do."""

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log likelihood (...) of what was recorded."""

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Drawn recordings (...): millimeters for a gauge, the number of the grade for a grade."""


@dataclass(frozen=True)
class GaugeReading:
    """A gauge reading [mm] of the total movement or of the dead zone alone, with the gauge's resolution [mm].

    Normal about the prediction, with a small share of readings that are simply wrong and lie anywhere in reach. A dead
    zone is judged by when it goes tight, which has an error of its own.
    """

    reading: float
    resolution: float
    beliefs: Beliefs
    quantity: int = TOTAL

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log density [1/mm] of the reading."""
        mean, deviation = self.expected(movement, spread)
        z = (self.reading - mean) / deviation
        right = (1.0 - self.beliefs.wrong_chance) * np.exp(-0.5 * z**2) / (deviation * np.sqrt(2.0 * np.pi))
        return np.asarray(np.log(right + self.beliefs.wrong_chance / self.beliefs.wrong_reach_mm))

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Readings [mm], rounded to the gauge's resolution."""
        right = rng.normal(*self._before_rounding(movement, spread))
        wrong = rng.uniform(0.0, self.beliefs.wrong_reach_mm, right.shape)
        drawn = np.where(rng.random(right.shape) < self.beliefs.wrong_chance, wrong, np.maximum(right, 0.0))
        return np.asarray(np.round(drawn / self.resolution) * self.resolution)

    def expected(self, movement: Array, spread: Array) -> tuple[Array, Array]:
        """Mean and standard deviation (...) [mm] of the reading; rounding makes it uniform over one step."""
        mean, deviation = self._before_rounding(movement, spread)
        return mean, np.hypot(deviation, self.resolution / np.sqrt(12.0))

    def _before_rounding(self, movement: Array, spread: Array) -> tuple[Array, Array]:
        """Mean and standard deviation (...) [mm] of the reading before rounding."""
        if self.quantity == TOTAL:
            return movement[..., TOTAL], spread[..., TOTAL]
        b = self.beliefs
        free, springy = movement[..., FREE], np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0)
        judging = np.hypot(b.dead_zone_error_mm, b.dead_zone_error_share * free)
        taken = b.springy_taken_spread * springy
        deviation = np.sqrt(
            spread[..., FREE] ** 2 + (b.springy_taken * spread[..., TOTAL]) ** 2 + judging**2 + taken**2
        )
        return free + b.springy_taken * springy, deviation


@dataclass(frozen=True)
class Grade:
    """A grade (0 none, 1 slight, 2 clear, 3 gross) of what looks or feels like play, by hand or eye.

    The chance of a grade beyond k is normal in the logarithm of the movement over the observer's k-th threshold,
    widened by the spread of the prediction; a small share of calls is anything.
    """

    grade: int
    observer: Observer

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log probability of the grade."""
        return np.asarray(np.log(grade_chances(self.observer, movement, spread)[..., self.grade]))

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Grades as numbers 0 to 3."""
        chances = np.cumsum(grade_chances(self.observer, movement, spread), axis=-1)
        return np.asarray((rng.random(chances.shape[:-1])[..., None] > chances[..., :-1]).sum(axis=-1))


def grade_chances(observer: Observer, movement: Array, spread: Array) -> Array:
    """Chance (..., 4) of each grade for predicted movement: its free part and a share of the springy part.

    Source: ordered probit in log stimulus, the usual form of a detection curve (MIL-HDBK-1823A, 2009, from memory).
    """
    share = observer.elastic_share
    play = (movement[..., FREE] + share * np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0))[..., None]
    # Nobody takes quite the same share of the springy movement for play.
    doubt = _SHARE_SPREAD * share * np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0)
    deviation = np.sqrt(spread[..., FREE] ** 2 + (share * spread[..., TOTAL]) ** 2 + doubt**2)[..., None]
    thresholds = np.array(observer.thresholds)
    seen = np.maximum(play, 1e-6)
    # The prediction's own spread, as a share of the threshold or of the movement, whichever is larger: so more
    # movement never makes a higher grade less likely.
    widened = np.hypot(observer.spread, deviation / np.maximum(play, thresholds))
    beyond = ndtr(np.log(seen / thresholds) / widened)
    ones, zeros = np.ones((*beyond.shape[:-1], 1)), np.zeros((*beyond.shape[:-1], 1))
    steps = np.concatenate([ones, beyond, zeros], axis=-1)
    chances = np.maximum(steps[..., :-1] - steps[..., 1:], 0.0)
    return np.asarray((1.0 - observer.lapse) * chances + observer.lapse / 4.0)
