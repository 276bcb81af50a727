"""What a gauge showed beyond the dead zone that it read: a reading that is simply wrong seldom leaves what springs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.mechanics.bodies import Array

_ELSE = 0.2
"""Share of readings that are right in which something else springs than the model says; assumed."""

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
        fitting = _log_normal(self._rest - mean, self._error(springy, free, softer))
        off = np.log(self._rest_from_least / (mean + self._least)) / _FACTOR_SPREAD
        by_another_factor = self._log_factor_most - 0.5 * np.square(off)
        return np.asarray(np.logaddexp(np.log1p(-_ELSE) + fitting, np.log(_ELSE) + by_another_factor))

    def log_wrong(self) -> Array:
        """Log density [1/mm] of the rest if it is wrong: anything, or nothing."""
        zero = np.zeros(())
        nothing = np.log(2.0) + _log_normal(self._rest, self._error(zero, zero, zero))
        return np.asarray(np.logaddexp(np.log1p(-_ALL_LOOSE) + self._log_anywhere, np.log(_ALL_LOOSE) + nothing))

    def log_most(self) -> Array:
        """No prediction makes `log_right` larger."""
        zero = np.zeros(())
        met = _log_normal(zero, self._error(zero, zero, zero))
        return np.asarray(np.logaddexp(np.log1p(-_ELSE) + met, np.log(_ELSE) + self._log_factor_most))

    @property
    def _least(self) -> Array:
        """What springs is told no finer [mm] than a dead zone is judged and the gauge reads."""
        return np.asarray(self.beliefs.dead_zone_error_mm + self.resolution)

    @property
    def _rest_from_least(self) -> Array:
        return np.asarray(np.maximum(self._rest, 0.0) + self._least)

    @property
    def _log_factor_most(self) -> Array:
        """Log density [1/mm] of the rest where it is log-normal about just this."""
        return np.asarray(-np.log(_FACTOR_SPREAD * self._rest_from_least * np.sqrt(2.0 * np.pi)))

    @property
    def _rest(self) -> Array:
        return np.asarray(self.in_all - self.reading)

    @property
    def _log_anywhere(self) -> Array:
        return np.asarray(-np.log(self.in_all + self.resolution))

    def _error(self, springy: Array, free: Array, softer: Array) -> Array:
        """Standard deviation (...) [mm]: softness, the judging of the dead zone, the gauge, and rounding of both."""
        b = self.beliefs
        judging = b.dead_zone_error_mm**2 + np.square(b.dead_zone_error_share * free)
        gauge = b.again_error_mm**2 + np.square(b.again_error_share * (free + springy))
        taken = np.square(b.springy_taken_spread * springy)
        return np.asarray(np.sqrt(softer + judging + gauge + taken + np.square(self.resolution) / 6.0))


def _log_normal(off: Array, deviation: Array) -> Array:
    return np.asarray(-0.5 * np.square(off / deviation) - np.log(deviation * np.sqrt(2.0 * np.pi)))
