"""The leading states of the leading sets: what every reading moves by in each, and what explains it besides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.views import corrections, doubted
from looseends.mechanics.bodies import Array

_SETS, _STATES = 60, 3
"""So many leading sets are weighed in so many leading states."""

State = tuple[int, int]
"""Number of an explanation and of one of its joint states."""


def leading_states(posterior: Posterior) -> list[State]:
    """The leading states of the leading sets, and of every set of no or one part."""
    order = posterior.order
    sizes = posterior.sets.sizes.tolist()
    chosen: list[State] = []
    for number in order[:_SETS] + [n for n in order[_SETS:] if sizes[n] < 2]:
        chosen += [(number, int(row)) for row in posterior.explanation(number).leading_places(_STATES)]
    return chosen


def moved_in(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State]) -> tuple[Array, Array]:
    """Movement [mm] of every reading in every chosen state, and what these add to its variance [mm2]: (n, k, 2)."""
    change, cell = _changes(posterior, readings, chosen)
    movement = np.maximum(readings.sound + change, 0.0)
    return movement, (readings.beliefs.share_of_change * change) ** 2 + cell**2


def otherwise_in(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State], apart: Array) -> Array:
    """Log likelihood (n, k) that a state gives each reading beside what it has at the parts' mean shares, `apart`.

    What keeps a joint shut on some vehicles, presses it to one end, or hides it explains a reading where it does, and
    what all readings share must not explain it once more.
    """
    alone, shown = np.zeros_like(apart), np.zeros_like(apart)
    best, moving = np.full_like(apart, -np.inf), np.zeros(apart.shape, dtype=int)
    for number, at in _rows_of(chosen).items():
        parts = posterior.sets.parts[number]
        moving[at] += 2 * readings.beside(parts) if len(parts) > 1 else 0
    for part, where, states in _by_part(posterior, chosen):
        view = posterior.views[part]
        alone[where] += view.gain[states]
        shown[where] += view.shown[states]
        moving[where] += view.moves
        best[where] = np.maximum(best[where], np.where(view.moves, view.gain[states], -np.inf))
    together = apart - readings.sound_log
    more = np.where(moving > 1, doubted(together, alone - shown, best), alone) - together
    with np.errstate(divide="ignore"):
        return np.asarray(apart + np.log(np.expm1(np.maximum(more, 0.0))))


def _rows_of(chosen: Sequence[State]) -> dict[int, list[int]]:
    """Where the states of each explanation are in the list."""
    rows: dict[int, list[int]] = {}
    for n, (number, _) in enumerate(chosen):
        rows.setdefault(number, []).append(n)
    return rows


def _by_part(posterior: Posterior, chosen: Sequence[State]) -> Iterator[tuple[str, list[int], NDArray[np.intp]]]:
    """Each worn part, where in the list it is, and its states there: over all sets, for no state has a part twice."""
    joined: dict[str, list[tuple[list[int], NDArray[np.intp]]]] = {}
    for number, at in _rows_of(chosen).items():
        explanation = posterior.explanation(number)
        places = explanation.places[[chosen[n][1] for n in at]]
        for part, states in zip(explanation.parts, places.T, strict=True):
            joined.setdefault(part, []).append((at, states))
    for part, sets in joined.items():
        yield part, [n for at, _ in sets for n in at], np.concatenate([states for _, states in sets])


def _changes(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State]) -> tuple[Array, Array]:
    """Change and width of the severity cell (n, k, 2) [mm] of every reading in every chosen state."""
    every = np.arange(len(readings.clues))
    change, square = (np.zeros((len(chosen), len(every), 2)) for _ in range(2))
    for number, at in _rows_of(chosen).items():
        explanation = posterior.explanation(number)
        if readings.interact(explanation.parts):
            places = explanation.places[[chosen[n][1] for n in at]]
            change[at] += corrections(explanation.parts, places, readings, every)
    for part, where, states in _by_part(posterior, chosen):
        view = posterior.views[part]
        change[where] += view.change[states]
        square[where] += view.cell[states] ** 2
    return change, np.sqrt(square)


def distinct(*of_states: Array) -> tuple[list[int], list[int]]:
    """First of each kind of states (n, ...) that differ in anything, and of each state the number (n,) of its kind."""
    numbers: dict[bytes, int] = {}
    whole = np.concatenate([each.reshape(len(each), -1) for each in of_states], axis=1)
    same = [numbers.setdefault(state.tobytes(), len(numbers)) for state in whole]
    _, first = np.unique(same, return_index=True)
    return first.tolist(), same
