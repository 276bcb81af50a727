"""How the states of one part change what every reading says, and what several worn parts say together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.evidence import Clue, cell_width
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.readings import Columns, ReadingSet
from looseends.diagnosis.states import PartStates
from looseends.mechanics.bodies import Array

Places = NDArray[np.intp]
"""Numbers (n, parts) of the states that a set's parts are in, one row for each joint state."""

_MOVES = 1e-3
"""A part moves a reading when it changes it by more than this [mm] in some state."""


@dataclass(frozen=True)
class PartView:
    """How one part's states change the log likelihood of each reading, against the sound vehicle.

    `gain` (s, k), over the shares that vehicles show; `shown` (s, k), at their mean; `change`, `cell` at their mean,
    (s, k, 2) [mm]; `moves` (k,) whether the part moves the reading at all.
    """

    gain: Array
    shown: Array
    change: Array
    cell: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(states: PartStates, readings: ReadingSet) -> PartView:
        """One part against all readings of a visit."""
        count, total = len(states.weight), len(readings.clues)
        gain, shown = np.zeros((count, total)), np.zeros((count, total))
        change, cell = np.zeros((count, total, 2)), np.zeros((count, total, 2))
        moves = np.array([_largest(clue.change.get(states.part.id)) >= _MOVES for clue in readings.clues], dtype=bool)
        at = np.flatnonzero(moves)
        if at.size:
            clues = [readings.clues[k] for k in at]
            nominal = np.stack([clue.change[states.part.id] for clue in clues], axis=1)
            shares, typical = _shares(states, clues)
            width = cell_width(states, nominal)
            change[:, at], cell[:, at] = typical[:, None] * nominal, typical[:, None] * width
            shown[:, at] = readings.gain(change[:, at], cell[:, at], at)
            each = shares[:, None, :, None]
            seen = log_sum_exp(readings.gain(each * nominal, each * width, at), axis=0) - np.log(len(shares))
            gain[:, at] = _with_masking(seen, np.array([clue.masked_chance(states.part.id) for clue in clues]))
        return PartView(gain, shown, change, cell, moves)


def _largest(change: Array | None) -> float:
    return 0.0 if change is None else float(np.max(np.abs(change)))


def _shares(states: PartStates, clues: Sequence[Clue]) -> tuple[Array, Array]:
    """Shares (m, c) of the nominal change that vehicles show at each reading, and their mean (c,)."""
    each = [np.asarray(clue.shares(states.part.id)) for clue in clues]
    most = max(len(shares) for shares in each)
    every = np.stack([shares if len(shares) == most else np.full(most, shares.mean()) for shares in each], axis=1)
    return every, every.mean(axis=0)


def _with_masking(seen: Array, masked: Array) -> Array:
    """Gain (s, c) where with the chance `masked` (c,) the part reads as sound."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.logaddexp(np.log1p(-masked) + seen, np.log(masked)))


def change_together(
    parts: Sequence[str], places: Places, views: Mapping[str, PartView], readings: ReadingSet, columns: Columns
) -> tuple[Array, Array]:
    """Change and width of the severity cell (n, c, 2) [mm] of some readings with several parts worn.

    Changes add up; each pair adds what it shows beyond the sum.
    """
    change = sum(views[part].change[places[:, i]][:, columns] for i, part in enumerate(parts))
    square = sum(views[part].cell[places[:, i]][:, columns] ** 2 for i, part in enumerate(parts))
    return np.asarray(change + corrections(parts, places, readings, columns)), np.sqrt(np.asarray(square))


def corrections(parts: Sequence[str], places: Places, readings: ReadingSet, columns: Columns) -> Array:
    """What the pairs of several worn parts show beyond the sum (n, c, 2) [mm], at some readings in their order."""
    beyond = np.zeros((len(places), len(columns), 2))
    for i, first in enumerate(parts):
        for j in range(i + 1, len(parts)):
            for at, watches, correction in readings.interactions(first, parts[j]):
                kept = np.isin(at, columns)
                if kept.any():
                    c = np.searchsorted(columns, at[kept])
                    beyond[:, c] += correction.of_places(places[:, i], places[:, j])[:, watches[kept]]
    return beyond


def gain_together(parts: Sequence[str], places: Places, views: Mapping[str, PartView], readings: ReadingSet) -> Array:
    """Gain (n, k) of the log likelihood of every reading with several parts worn, over the sound vehicle's.

    Where only one of them moves a reading it is that part's own. Where several do, it is that of all changes together
    at their mean shares, and what each part's doubt about its share adds alone.
    """
    own = [views[part].gain[places[:, i]] for i, part in enumerate(parts)]
    total = np.sum(own, axis=0) if own else np.zeros((len(places), len(readings.clues)))
    moving = np.sum([views[part].moves for part in parts], axis=0) if parts else np.zeros(len(readings.clues))
    shared = np.flatnonzero(moving >= 2)
    if shared.size:
        change, cell = change_together(parts, places, views, readings, shared)
        shown = sum(views[part].shown[places[:, i]][:, shared] for i, part in enumerate(parts))
        total[:, shared] += readings.gain(change, cell, shared) - shown
    return np.asarray(total)


def log_states(
    parts: Sequence[str],
    places: Places,
    states: Mapping[str, PartStates],
    views: Mapping[str, PartView],
    readings: ReadingSet,
) -> Array:
    """Log weight (n,) of joint states given that just these parts are worn: their priors and all readings."""
    prior = sum(np.log(states[part].weight)[places[:, i]] for i, part in enumerate(parts))
    return np.asarray(prior + gain_together(parts, places, views, readings).sum(axis=1))


def grid(*states: NDArray[np.intp]) -> Places:
    """Every joint state (n, parts) of some states of each part."""
    return np.stack([axis.ravel() for axis in np.meshgrid(*states, indexing="ij")], axis=1)
