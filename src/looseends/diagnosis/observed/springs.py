"""What a gauge showed beyond the dead zone that it read: a reading that is simply wrong seldom leaves what springs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log, pi

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.mechanics.bodies import Array

_ELSE = 0.2
"""Share of readings that are right in which something else springs than the model says; assumed."""

LOG_FITS_MORE = -log(1.0 - _ELSE)
"""Readings that are alike may be as likely as one that fits: by so much more than one that has to share with these."""

_FACTOR_SPREAD = 0.8
"""Log spread of the factor by which it springs more or less there; assumed."""

_ALL_LOOSE = 0.5
"""Share of wrong readings in which all that is shown goes lightly, as with a gauge that stands loose; assumed."""


@dataclass(frozen=True)
class Springs:
    """Of a dead zone `reading` [mm] out of `in_all` [mm]: the rest, judged by what springs there whatever is worn.

    How soft a place is says nothing about play, and is alike for worn and sound: this weighs only whether the reading
    is right at all. May hold arrays, as a gauge reading does.
    """

    reading: float | Array
    in_all: float | Array
    resolution: float | Array
    beliefs: Beliefs

    def log_right(self, springy: Array, free: Array, softer: Array) -> Array:
        """Log density [1/mm] of the rest if the reading is right.

        `springy`, `free` (...) [mm] are predicted, `softer` (...) [mm2] is the variance of what springs.
        """
        mean = springy * (1.0 - self.beliefs.springy_taken)
        fitting = _log_normal(self.rest - mean, self._error(springy, free, softer))
        off = np.log(self._rest_from_least / (mean + self._least)) / _FACTOR_SPREAD
        by_another_factor = self._log_factor_most - 0.5 * np.square(off)
        return np.asarray(np.logaddexp(np.log1p(-_ELSE) + fitting, np.log(_ELSE) + by_another_factor))

    def log_wrong(self) -> Array:
        """Log density [1/mm] of the rest if it is wrong: anything, or nothing."""
        zero = np.zeros(())
        nothing = np.log(2.0) + _log_normal(self.rest, self._error(zero, zero, zero))
        return np.asarray(np.logaddexp(np.log1p(-_ALL_LOOSE) + self._log_anywhere, np.log(_ALL_LOOSE) + nothing))

    def log_most(self) -> Array:
        """No prediction makes `log_right` larger."""
        zero = np.zeros(())
        met = _log_normal(zero, self._error(zero, zero, zero))
        return np.asarray(np.logaddexp(np.log1p(-_ELSE) + met, np.log(_ELSE) + self._log_factor_most))

    @property
    def own_error(self) -> Array:
        """Standard deviation (...) [mm] of what was shown beyond the dead zone, read again at the same place."""
        rest, zero = np.maximum(self.rest, 0.0), np.zeros(())
        return self._error(rest, np.asarray(self.reading), zero, taken_spread=0.0)

    @property
    def _least(self) -> Array:
        """What springs is told no finer [mm] than a dead zone is judged and the gauge reads."""
        return np.asarray(self.beliefs.dead_zone_error_mm + self.resolution)

    @property
    def _rest_from_least(self) -> Array:
        return np.asarray(np.maximum(self.rest, 0.0) + self._least)

    @property
    def _log_factor_most(self) -> Array:
        """Log density [1/mm] of the rest where it is log-normal about just this."""
        return np.asarray(-np.log(_FACTOR_SPREAD * self._rest_from_least * np.sqrt(2.0 * np.pi)))

    @property
    def rest(self) -> Array:
        """What was shown beyond the dead zone [mm]."""
        return np.asarray(self.in_all - self.reading)

    @property
    def _log_anywhere(self) -> Array:
        return np.asarray(-np.log(self.in_all + self.resolution))

    def _error(self, springy: Array, free: Array, softer: Array, taken_spread: float | None = None) -> Array:
        """Standard deviation (...) [mm]: softness, the judging of the dead zone, the gauge, and rounding of both."""
        b = self.beliefs
        judging = b.dead_zone_error_mm**2 + np.square(b.dead_zone_error_share * free)
        gauge = b.again_error_mm**2 + np.square(b.again_error_share * (free + springy))
        taken = np.square((b.springy_taken_spread if taken_spread is None else taken_spread) * springy)
        return np.asarray(np.sqrt(softer + judging + gauge + taken + np.square(self.resolution) / 6.0))


def log_alike(several: Sequence[Springs]) -> float:
    """Log density of what several readings of one place showed beyond the dead zone, given their mean.

    How soft a place is is the same each time: only by how far the readings lie apart do they tell more than one.
    """
    error = float(np.sqrt(np.mean([np.square(each.own_error) for each in several])))
    rests = np.array([each.rest for each in several], dtype=float)
    apart = float(np.sum(_log_normal(rests - rests.mean(), np.asarray(error))))
    return apart + 0.5 * log(2.0 * pi * error**2 / len(several))


def mean_of(several: Sequence[Springs]) -> Springs:
    """Readings of one place as one, in the mean."""
    each = np.array([(one.reading, one.in_all) for one in several], dtype=float)
    reading, in_all = each.mean(axis=0).tolist()
    return replace(several[0], reading=reading, in_all=in_all)


def _log_normal(off: Array, deviation: Array) -> Array:
    return np.asarray(-0.5 * np.square(off / deviation) - np.log(deviation * np.sqrt(2.0 * np.pi)))
