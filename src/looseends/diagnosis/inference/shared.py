"""Errors that readings share, put in where the leading sets are weighed: one vehicle's softness, one person's hand.

A reading's prediction is the model's and what this vehicle and this person add, g z with z standard normal and the same
for all readings. For one set of worn parts in one state the likelihood of all readings is the integral over z, taken by
Laplace's rule about the z that fits best. What a reading may owe to else than that prediction (a joint that load keeps
shut, presses to one end, or that grease hides) stays what it was, whatever z.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.counted import Counted, CountedLater
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.inference.readings import ReadingSet, Stack, expansions, log_likelihoods, stacks_of
from looseends.diagnosis.inference.views import corrections, doubted
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.likelihood import Evidence, GaugeReading, softer
from looseends.mechanics.bodies import Array

_SETS, _STATES, _FACTORS = 60, 3, 16
"""So many leading sets in so many leading states are weighed, over so many factors of the ensemble."""

_WIDENED = (1.0, 0.2, 0.03, 0.0, 0.0)
"""Share of the shared variance that is left with each reading while z is sought: from wide to none, so that no reading
is given up as wrong before z had a chance to explain it."""

_SHARP_MM = 0.05
"""Readings are not told apart more finely than this where the leading factors are chosen."""

State = tuple[int, int]
"""Number of an explanation and of one of its joint states."""


def with_shared_errors(posterior: Posterior, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with its leading sets weighed again with what readings share.

    A set's weight changes by the ratio of both likelihoods over its leading states; sets far behind change as the
    leading one does. Where a table has no ensemble nothing changes.
    """
    readings = ReadingSet.of(clues, beliefs)
    if not readings.clues or any(not clue.table.members.size for clue in readings.clues):
        return posterior
    chosen = _chosen(posterior)
    ratio = _log_ratios(posterior, readings, chosen)
    leading = chosen[0][0]
    states: dict[int, list[int]] = {}
    for n, (number, _) in enumerate(chosen):
        states.setdefault(number, []).append(n)
    means, counted = {}, {}
    for number, own in states.items():
        means[number], counted[number] = _weighed(
            posterior.explanation(number), [chosen[n][1] for n in own], ratio[own]
        )
    log_weights = posterior.log_weights + means[leading]
    log_weights[list(means)] = posterior.log_weights[list(means)] + list(means.values())
    return posterior.reweighted(log_weights, counted.get)


def _chosen(posterior: Posterior) -> list[State]:
    """The leading states of the leading sets, and of every set of no or one part."""
    order = posterior.order
    sizes = posterior.sets.sizes.tolist()
    chosen: list[State] = []
    for number in order[:_SETS] + [n for n in order[_SETS:] if sizes[n] < 2]:
        chosen += [(number, int(row)) for row in posterior.explanation(number).leading_places(_STATES)]
    return chosen


def _weighed(explanation: Explanation, rows: Sequence[int], ratio: Array) -> tuple[float, CountedLater]:
    """What the log ratios of some of its states change in a set's log weight, and its states so changed."""
    before = np.maximum(explanation.weights[rows], 1e-300)
    most = float(ratio.max())
    mean = most + log(float(before @ np.exp(ratio - most)) / float(before.sum()))

    def counted() -> Counted:
        weights = np.array(explanation.weights)
        weights[rows] *= np.exp(ratio - mean)
        return Counted(explanation.places, weights / weights.sum())

    return mean, CountedLater(counted)


def _log_ratios(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State]) -> Array:
    """Log (n,) of the likelihood of all readings with shared errors over that with each error by itself."""
    clues, beliefs = readings.clues, readings.beliefs
    movement, model = moved_in(posterior, readings, chosen)
    # States that move all readings alike are weighed once: most parts move none of what was read.
    first, same = _distinct(movement, model)
    apart = log_likelihoods(readings.stacks, movement[first], np.sqrt(readings.spread**2 + model[first]))[same]
    otherwise = _otherwise(posterior, readings, chosen, apart)
    first, same = _distinct(movement, model, otherwise)
    movement, model, apart, otherwise = movement[first], model[first], apart[first], otherwise[first]
    common, left = leading_factors(clues, beliefs)
    scattered = np.array([clue.table.spread[clue.watch] for clue in clues]) ** 2 * _softness(beliefs) ** 2
    alone = (1.0 - beliefs.shared_part) * scattered + left[:, None] + beliefs.floor_mm**2
    # What springs says only whether a reading is right: it is judged by all that vehicles differ by, shared or not.
    beside = np.maximum(softer(np.sqrt(scattered + beliefs.floor_mm**2)) - softer(np.sqrt(alone)), 0.0)
    evidence = [clue.evidence.impersonal(float(more)) for clue, more in zip(clues, beside, strict=True)]
    rows = Rows(evidence, movement, np.sqrt(alone + model), otherwise)
    integral = log_integral(rows, _loadings(clues, movement, common))
    return np.asarray(integral - np.logaddexp(apart, otherwise).sum(axis=1))[same]


def _distinct(*of_states: Array) -> tuple[list[int], list[int]]:
    """First of each kind of states (n, ...) that differ in anything, and of each state the number (n,) of its kind."""
    numbers: dict[bytes, int] = {}
    whole = np.concatenate([each.reshape(len(each), -1) for each in of_states], axis=1)
    same = [numbers.setdefault(state.tobytes(), len(numbers)) for state in whole]
    _, first = np.unique(same, return_index=True)
    return first.tolist(), same


def moved_in(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State]) -> tuple[Array, Array]:
    """Movement [mm] of every reading in every chosen state, and what these add to its variance [mm2]: (n, k, 2)."""
    change, cell = _changes(posterior, readings, chosen)
    movement = np.maximum(readings.sound + change, 0.0)
    return movement, (readings.beliefs.share_of_change * change) ** 2 + cell**2


def _otherwise(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State], apart: Array) -> Array:
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


def leading_factors(clues: Sequence[Clue], beliefs: Beliefs) -> tuple[Array, Array]:
    """Loadings (k, f) [mm] of the leading factors in which vehicles differ, and the variance (k,) [mm^2] left to each.

    The factors are the singular vectors of the ensemble's deviations, each reading by its own sharpness.
    """
    softness = _softness(beliefs)
    every = np.array([clue.deviations @ (softness * clue.evidence.parts_read) for clue in clues])
    every *= np.sqrt(beliefs.shared_part)
    sharpness = np.hypot(_SHARP_MM, np.sqrt(1.0 / beliefs.shared_part - 1.0) * np.linalg.norm(every, axis=1))[:, None]
    left, size, _ = np.linalg.svd(every / sharpness, full_matrices=False)
    kept = (left * size)[:, :_FACTORS] * sharpness
    return kept, np.maximum(np.sum(every**2, axis=1) - np.sum(kept**2, axis=1), 0.0)


def _softness(beliefs: Beliefs) -> Array:
    """By how much more (2,) vehicles scatter than the ensemble, in total and free movement."""
    return np.array([beliefs.shared_softness, 1.0])


def _loadings(clues: Sequence[Clue], movement: Array, common: Array) -> Array:
    """Loadings (n, k, f) [mm]: the vehicle's factors, and two of every person who took readings."""
    people = list(dict.fromkeys(clue.check.observer for clue in clues))
    loadings = np.zeros((*movement.shape[:2], common.shape[1] + 2 * len(people)))
    loadings[..., : common.shape[1]] = common
    for k, clue in enumerate(clues):
        first = common.shape[1] + 2 * people.index(clue.check.observer)
        loadings[:, k, first], loadings[:, k, first + 1] = clue.evidence.personal(movement[:, k])
    return loadings


@dataclass(frozen=True)
class Rows:
    """All readings in n states: evidence (k), movement (n, k, 2) [mm] and the spread (n, k, 2) [mm] of each alone.

    `otherwise` (n, k): log likelihood that each has besides, whatever all readings share.
    """

    evidence: Sequence[Evidence]
    movement: Array
    own: Array
    otherwise: Array | float = -np.inf

    @cached_property
    def _stacks(self) -> tuple[Stack, ...]:
        return stacks_of(self.evidence)

    @cached_property
    def _least(self) -> Array:
        """Least movement (k, 1) [mm]: none; but a gauge's shift may take back what is read into a dead zone."""
        return np.array([[-np.inf if isinstance(one, GaugeReading) else 0.0] for one in self.evidence])

    def expanded(self, shift: Array, more: Array) -> tuple[Array, Array, Array]:
        """Log likelihood, slope and information (n, k) with movements shifted [mm] and variances widened [mm^2]."""
        movement = np.maximum(self.movement + shift[..., None], self._least)
        value, slope, information = expansions(self._stacks, movement, np.sqrt(self.own**2 + more[..., None]))
        every = np.logaddexp(value, self.otherwise)
        share = np.exp(value - every)
        return every, share * slope, share * information


def log_integral(rows: Rows, loadings: Array) -> Array:
    """Log of the integral (n,) of all readings' likelihood over z, with loadings (n, k, f) [mm].

    Source: Laplace's rule; D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms, 2003, chapter 27
    (from memory). Slopes and information as in Fisher's scoring.
    """
    transposed = loadings.transpose(0, 2, 1)
    shared: Array = np.sum(loadings**2, axis=2)
    z: Array = np.zeros((len(loadings), loadings.shape[2], 1))
    for widened in _WIDENED:
        shift = np.matmul(loadings, z)[..., 0]
        _, slope, information = rows.expanded(shift, widened * shared)
        pull = np.matmul(transposed, (slope + information * shift)[..., None])
        z = np.asarray(np.linalg.solve(_precision(loadings, information), pull), dtype=float)
    shift = np.matmul(loadings, z)[..., 0]
    value, _, information = rows.expanded(shift, np.zeros_like(shared))
    _, log_determinant = np.linalg.slogdet(_precision(loadings, information))
    return np.asarray(value.sum(axis=1) - 0.5 * np.sum(z**2, axis=(1, 2)) - 0.5 * log_determinant)


def _precision(loadings: Array, information: Array) -> Array:
    """Inverse covariance (n, f, f) of z after the readings."""
    weighted = loadings.transpose(0, 2, 1) * information[:, None, :]
    return np.asarray(np.eye(loadings.shape[2]) + np.matmul(weighted, loadings))
