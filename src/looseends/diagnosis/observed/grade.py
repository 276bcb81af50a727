"""Grades as evidence: what looks, sounds or feels like play, by an observer's thresholds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from looseends.catalogue.types import Observer
from looseends.diagnosis.observed.likelihood import FREE, TOTAL, Expansion
from looseends.mechanics.bodies import Array

_SHARE_SPREAD = 0.6
"""Spread of an observer's share of springy movement, as a share of it; assumed."""

_THRESHOLD_SPREAD = 0.2
"""Log spread from person to person of the movement at which a grade is called; assumed."""


@dataclass(frozen=True)
class Grade:
    """A grade of what looks, sounds or feels like play: its place among the observer's grades, 0 for nothing.

    The chance of a grade beyond k is normal in the logarithm of the movement over the observer's k-th threshold,
    widened by the spread of the prediction; a small share of calls is anything. A person who calls everything at least
    slight gives the next grade in the share `called_up` of what is nothing to others.
    """

    grade: int
    observer: Observer
    share_spread: float = _SHARE_SPREAD
    called_up: float = 0.0
    threshold_spread: float = _THRESHOLD_SPREAD

    def log_likelihood(self, movement: Array, spread: Array) -> Array:
        """Log probability of the grade."""
        chance = grade_chance(self.observer, self.grade, movement, spread, self.share_spread)
        if self.called_up and self.grade == 0:
            chance = (1.0 - self.called_up) * chance
        elif self.called_up and self.grade == 1:
            chance = chance + self.called_up * grade_chance(self.observer, 0, movement, spread, self.share_spread)
        return np.asarray(np.log(chance))

    def most(self, spread: Array) -> float:
        """As if the grade were sure but for a slip."""
        count = len(self.observer.grades)
        return float(np.log(1.0 - (1.0 - 1.0 / count) * self.observer.lapse))

    def sample(self, movement: Array, spread: Array, rng: np.random.Generator) -> Array:
        """Grades as numbers from 0."""
        chances = np.cumsum(self.chances(movement, spread), axis=-1)
        return np.asarray((rng.random(chances.shape[:-1])[..., None] > chances[..., :-1]).sum(axis=-1))

    def expanded(self, movement: Array, spread: Array) -> Expansion:
        """By differences over a small part of the movement."""
        step = np.maximum(0.05, 0.1 * movement[..., FREE])
        shifted = np.maximum(movement + np.stack([-step, 0.0 * step, step])[..., None], 0.0)
        low, middle, high = self.log_likelihood(shifted, spread)
        return middle, (high - low) / (2.0 * step), np.maximum(0.0, (2.0 * middle - low - high) / step**2)

    def shifted(self, movement: Array, spread: Array, t: Array) -> tuple[Array, Array]:
        """Movement and spread (..., 2) [mm] where the model errs by t (...) standard deviations: none of it is left."""
        deviation = np.hypot(spread[..., FREE], self.observer.elastic_share * spread[..., TOTAL])
        return np.maximum(movement + (t * deviation)[..., None], 0.0), np.zeros_like(spread)

    def personal(self, movement: Array) -> tuple[Array, Array]:
        """The share of the springy movement that a person takes for play, and how early that person calls it."""
        springy = np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0)
        share = self.observer.elastic_share
        return _SHARE_SPREAD * share * springy, self.threshold_spread * (movement[..., FREE] + share * springy)

    def impersonal(self, softer_beside: float = 0.0) -> Grade:
        """With everybody taking the same share of the springy movement for play."""
        return replace(self, share_spread=0.0)

    @property
    def parts_read(self) -> Array:
        """The free part with what is taken for play of the rest."""
        return np.array([self.observer.elastic_share, 1.0 - self.observer.elastic_share])

    def chances(self, movement: Array, spread: Array) -> Array:
        """Chance (..., grades) of each grade."""
        chances = grade_chances(self.observer, movement, spread, self.share_spread)
        up = self.called_up * chances[..., 0]
        chances[..., 0] -= up
        chances[..., 1] += up
        return chances


def grade_chances(observer: Observer, movement: Array, spread: Array, share_spread: float = _SHARE_SPREAD) -> Array:
    """Chance (..., grades) of each grade for predicted movement: its free part and a share of the springy part.

    Source: ordered probit in log stimulus, the usual form of a detection curve (MIL-HDBK-1823A, 2009, from memory).
    """
    beyond = _beyond(observer, np.array(observer.thresholds), movement, spread, share_spread)
    ones, zeros = np.ones((*beyond.shape[:-1], 1)), np.zeros((*beyond.shape[:-1], 1))
    steps = np.concatenate([ones, beyond, zeros], axis=-1)
    return _slipping(observer, steps[..., :-1] - steps[..., 1:])


def grade_chance(observer: Observer, grade: int, movement: Array, spread: Array, share_spread: float) -> Array:
    """Chance (...) of one grade, as `grade_chances` gives it; only the thresholds next to it are looked at."""
    first, last = max(grade - 1, 0), min(grade + 1, len(observer.thresholds))
    beyond = _beyond(observer, np.array(observer.thresholds[first:last]), movement, spread, share_spread)
    below = 1.0 if grade == 0 else beyond[..., 0]
    above = 0.0 if grade == len(observer.thresholds) else beyond[..., -1]
    return _slipping(observer, np.asarray(below - above))


def _slipping(observer: Observer, chances: Array) -> Array:
    """Chances with the share of calls that are anything."""
    return np.asarray((1.0 - observer.lapse) * np.maximum(chances, 0.0) + observer.lapse / len(observer.grades))


def _beyond(observer: Observer, thresholds: Array, movement: Array, spread: Array, share_spread: float) -> Array:
    """Chance (..., t) that a movement is called beyond each of some thresholds (t,) [mm]."""
    share = observer.elastic_share
    springy = np.maximum(movement[..., TOTAL] - movement[..., FREE], 0.0)
    play = (movement[..., FREE] + share * springy)[..., None]
    # Nobody takes quite the same share of the springy movement for play.
    doubt = share_spread * share * springy
    deviation = np.sqrt(spread[..., FREE] ** 2 + (share * spread[..., TOTAL]) ** 2 + doubt**2)[..., None]
    log_off = np.log(np.maximum(play, 1e-6)) - np.log(thresholds)
    # The prediction's own spread, as a share of the threshold or of the movement, whichever is larger: so more
    # movement never makes a higher grade less likely.
    widened = np.sqrt(observer.spread**2 + (deviation / np.maximum(play, thresholds)) ** 2)
    return np.asarray(ndtr(log_off / widened))
