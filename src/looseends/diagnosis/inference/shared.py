"""Errors that readings share, put in where the leading sets are weighed: one vehicle's softness, one person's hand.

A reading's prediction is the model's and what this vehicle and this person add, g z with z standard normal and the same
for all readings. For one set of worn parts in one state the likelihood of all readings is the integral over z, taken by
Laplace's rule about the z that fits best. What a reading may owe to else than that prediction (a joint that load keeps
shut, presses to one end, or that grease hides) stays what it was, whatever z.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.counted import Counted, CountedLater, States
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.integral import Loadings, Rows, log_integral
from looseends.diagnosis.inference.leading_states import ChosenStates, State, distinct, leading_states
from looseends.diagnosis.inference.readings import ReadingSet, log_likelihoods
from looseends.diagnosis.inference.rows import segment_log_sums
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.likelihood import softer
from looseends.mechanics.bodies import Array

_FACTORS = 16
"""Over so many factors of the ensemble the leading states are weighed."""

_SHARP_MM = 0.05
"""Readings are not told apart more finely than this where the leading factors are chosen."""


def with_shared_errors(posterior: Posterior, readings: ReadingSet) -> Posterior:
    """The posterior with its leading sets weighed again with what readings share.

    A set's weight changes by the ratio of both likelihoods over its leading states; sets far behind change as the
    leading one does. Where a table has no ensemble nothing changes.
    """
    if not readings.clues or any(not clue.table.members.size for clue in readings.clues):
        return posterior
    chosen = leading_states(posterior)
    ratio = _log_ratios(posterior, readings, chosen)
    numbers = np.array([number for number, _ in chosen])
    first = np.flatnonzero(np.diff(numbers, prepend=-1))
    sets, ends = numbers[first], np.append(first, len(chosen))
    log_before = np.log([max(posterior.counted[number].weights[row], 1e-300) for number, row in chosen])
    means = segment_log_sums(log_before + ratio, ends) - segment_log_sums(log_before, ends)
    log_weights = posterior.log_weights + means[0]
    log_weights[sets] = posterior.log_weights[sets] + means
    place = {number: n for n, number in enumerate(sets.tolist())}

    def counted(number: int) -> CountedLater | None:
        if number not in place:
            return None
        own = slice(ends[place[number]], ends[place[number] + 1])
        before, rows = posterior.counted[number], [row for _, row in chosen[own]]
        return CountedLater(partial(_changed, before, rows, ratio[own] - means[place[number]]))

    return posterior.reweighted(log_weights, counted)


def _changed(before: States, rows: Sequence[int], log_factors: Array) -> Counted:
    """Joint states of which some rows have their weights changed by factors given as logarithms."""
    weights = np.array(before.weights)
    weights[rows] *= np.exp(log_factors)
    return Counted(before.places, weights / weights.sum())


def _log_ratios(posterior: Posterior, readings: ReadingSet, chosen: Sequence[State]) -> Array:
    """Log (n,) of the likelihood of all readings with shared errors over that with each error by itself."""
    clues, beliefs = readings.clues, readings.beliefs
    states = ChosenStates(posterior, readings, chosen)
    movement, model = states.moved()
    # States that move all readings alike are weighed once: most parts move none of what was read.
    first, same = distinct(movement, model)
    apart = log_likelihoods(readings.stacks, movement[first], np.sqrt(readings.spread**2 + model[first]))[same]
    otherwise = states.otherwise(apart)
    first, same = distinct(movement, model, otherwise)
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


def _loadings(clues: Sequence[Clue], movement: Array, common: Array) -> Loadings:
    """The vehicle's factors, and two of every person who took readings."""
    people = list(dict.fromkeys(clue.check.observer for clue in clues))
    own = np.zeros((*movement.shape[:2], 2 * len(people)))
    for k, clue in enumerate(clues):
        first = 2 * people.index(clue.check.observer)
        own[:, k, first], own[:, k, first + 1] = clue.evidence.personal(movement[:, k])
    return Loadings(common, own)
