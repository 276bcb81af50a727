"""The leading states of the leading sets: what every reading moves by in each, and what explains it besides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.rows import Numbers, max_of, sum_of
from looseends.diagnosis.inference.views import AllViews, corrections, doubted
from looseends.mechanics.bodies import Array

_SETS, _STATES = 60, 3
"""So many leading sets are weighed in so many leading states."""

_BEHIND = 6.0
"""A set further behind the leading one than this, in log weight, is weighed in its leading state alone."""

State = tuple[int, int]
"""Number of an explanation and of one of its joint states."""


def leading_states(posterior: Posterior) -> list[State]:
    """The leading states of the leading sets, and of every set of no or one part."""
    order, sizes = posterior.order, posterior.sets.sizes.tolist()
    behind = (posterior.log_weights < posterior.log_weights.max() - _BEHIND).tolist()
    chosen: list[State] = []
    for number in order[:_SETS] + [n for n in order[_SETS:] if sizes[n] < 2]:
        count = 1 if behind[number] else _STATES
        chosen += [(number, row) for row in posterior.counted[number].leading(count).tolist()]
    return chosen


@dataclass(frozen=True)
class _SameSize:
    """Chosen states (m) of sets of as many parts: where they are in the list, their parts, and these' rows (m, parts).

    `sets` (m,) number of each one's set.
    """

    at: Numbers
    sets: Numbers
    parts: Numbers
    rows: Numbers


@dataclass(frozen=True)
class ChosenStates:
    """Some states (n) of a posterior's sets, laid against the readings (k) that it is of."""

    posterior: Posterior
    readings: ReadingSet
    chosen: Sequence[State]

    def moved(self) -> tuple[Array, Array]:
        """Movement [mm] of every reading in every state, and what these add to its variance [mm2]: (n, k, 2)."""
        change, square = (np.zeros((len(self.chosen), len(self.readings.clues), 2)) for _ in range(2))
        for same in self._by_size:
            change[same.at], square[same.at] = self._every.added_everywhere(same.rows)
            self._add_corrections(change, same)
        movement = np.maximum(self.readings.sound + change, 0.0)
        return movement, (self.readings.beliefs.share_of_change * change) ** 2 + square

    def otherwise(self, apart: Array) -> Array:
        """Log likelihood (n, k) that a state gives each reading beside what it has at the parts' mean shares, `apart`.

        What keeps a joint shut on some vehicles, presses it to one end, or hides it explains a reading where it does,
        and what all readings share must not explain it once more.
        """
        together = apart - self.readings.sound_log
        more = np.full_like(apart, -np.inf)
        for same in self._by_size:
            at, every = same.at, self._every
            alone = sum_of(every.gain, same.rows)
            doubt, best = alone - sum_of(every.shown, same.rows), max_of(every.gain_of_movers, same.rows)
            several = (every.moves[same.parts].sum(axis=1) > 1) | self._beside(same.parts)
            more[at] = np.where(several, doubted(together[at], doubt, best), alone) - together[at]
        with np.errstate(divide="ignore"):
            return np.asarray(apart + np.log(np.expm1(np.maximum(more, 0.0))))

    @property
    def _every(self) -> AllViews:
        return self.posterior.views.every

    @cached_property
    def _by_size(self) -> list[_SameSize]:
        """The states of sets of worn parts, those of as many together."""
        number, first = self._every.rows.number, self._every.rows.first
        found: dict[int, tuple[list[int], list[int], list[list[int]], list[NDArray[np.intp]]]] = {}
        for n, (of, row) in enumerate(self.chosen):
            names = self.posterior.sets.parts[of]
            at, sets, parts, places = found.setdefault(len(names), ([], [], [], []))
            at.append(n)
            sets.append(of)
            parts.append([number[name] for name in names])
            places.append(self.posterior.counted[of].places[row])
        return [
            _SameSize(np.array(at), np.array(sets), np.array(parts), np.array(places) + first[np.array(parts)])
            for size, (at, sets, parts, places) in found.items()
            if size
        ]

    def _beside(self, parts: Numbers) -> NDArray[np.bool_]:
        """Readings (m, k) at which two of some parts (m, parts) show something together though one alone does not."""
        found = np.zeros((len(parts), len(self.readings.clues)), dtype=bool)
        for first, second in combinations(parts.T, 2):
            found |= self._every.beside[first, second]
        return found

    def _add_corrections(self, change: Array, same: _SameSize) -> None:
        """Add what pairs show beyond the sum to the changes (n, k, 2) [mm]."""
        every = np.arange(len(self.readings.clues))
        interact = np.zeros(len(same.at), dtype=bool)
        for first, second in combinations(same.parts.T, 2):
            interact |= self._every.interact[first, second].any(axis=1)
        for of in dict.fromkeys(same.sets[interact].tolist()):
            own = np.flatnonzero(same.sets == of)
            places = same.rows[own] - self._every.rows.first[same.parts[own]]
            change[same.at[own]] += corrections(self.posterior.sets.parts[of], places, self.readings, every)


def distinct(*of_states: Array) -> tuple[list[int], list[int]]:
    """First of each kind of states (n, ...) that differ in anything, and of each state the number (n,) of its kind."""
    numbers: dict[bytes, int] = {}
    whole = np.concatenate([each.reshape(len(each), -1) for each in of_states], axis=1)
    same = [numbers.setdefault(state.tobytes(), len(numbers)) for state in whole]
    _, first = np.unique(same, return_index=True)
    return first.tolist(), same
