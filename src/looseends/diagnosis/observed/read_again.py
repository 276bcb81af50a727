"""What a watch that was read would be called when it is read again, given what was read there."""

from __future__ import annotations

from itertools import product

import numpy as np
from scipy.special import ndtr

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.repeated import Repeated, left_by, log_all_right, off_chance
from looseends.mechanics.bodies import Array

_STEPS = np.array([-1.0, 1.0, 2.0, 4.0, 8.0, 16.0])
"""Where a gauge's readings are parted, in its own errors beyond a sound vehicle's reading."""

_AS_BEFORE = 2.5
"""It reads the same again within so many of its own errors."""

_AT, _WEIGHT = np.polynomial.hermite_e.hermegauss(9)
_SHARE = _WEIGHT / _WEIGHT.sum()
"""Where the model's error is looked at, in its own deviations, and the share of each."""


def calls_again(clue: Clue, movement: Array, spread: Array, beliefs: Beliefs) -> tuple[Array, Array]:
    """Log likelihood (...) of what was read, and chance (..., calls) of each call when it is read once more.

    A gauge is read again where one was read, else the same observer's grade. The model errs alike in all recordings
    of a watch: what was read, if right, tells what will be.
    """
    read = clue.evidence
    before = read if isinstance(read, Repeated) else Repeated.of([read], off_chance(clue))
    logs, calls = [], []
    for log_chance, error in before.errors(spread):
        if before.gauges:
            log_read, found = _gauged(before, clue, movement, error, beliefs)
        else:
            log_read, found = _graded(before, before.grades[-1], movement, error)
        logs.append(log_chance + log_read)
        calls.append(found)
    every, weights = _weights(np.array(logs))
    return every, np.einsum("r...,r...c->...c", weights, np.array(calls))


def _gauged(before: Repeated, clue: Clue, movement: Array, spread: Array, beliefs: Beliefs) -> tuple[Array, Array]:
    edges = _edges(before, clue)
    parts = [gauge.error_parts(movement, spread) for gauge in before.gauges]
    mean, shared, own = parts[-1]
    logs, means, errors = [], [], []
    for right in product((True, False), repeat=len(before.gauges)):
        kept = [(g, p) for g, p, is_right in zip(before.gauges, parts, right, strict=True) if is_right]
        wrong = sum(g.log_wrong for g, is_right in zip(before.gauges, right, strict=True) if not is_right)
        value, t, deviation = left_by(kept, movement.shape[:-1])
        value = value + log_all_right([gauge for gauge, _ in kept], movement, spread)
        logs.append(value + wrong + before.graded(movement, spread, t, deviation))
        means.append(mean + t * shared)
        errors.append(np.hypot(own, shared * deviation))
    below = ndtr((edges - np.array(means)[..., None]) / np.array(errors)[..., None])
    calls = np.diff(below, axis=-1, prepend=0.0, append=1.0)
    log_read, weights = _weights(np.array(logs))
    anywhere = np.diff(np.clip([0.0, *edges, beliefs.wrong_reach_mm], 0.0, beliefs.wrong_reach_mm))
    found = (1.0 - beliefs.wrong_chance) * np.einsum("r...,r...c->...c", weights, calls)
    return log_read, np.maximum(found + beliefs.wrong_chance * anywhere / beliefs.wrong_reach_mm, 1e-12)


def _edges(before: Repeated, clue: Clue) -> Array:
    """Ends [mm] of the steps that readings are parted into: about a sound vehicle's, and about what was read."""
    gauge = before.gauges[-1]
    sound, error = gauge.expected(clue.sound, clue.spread)
    steps = list(float(sound) + float(error) * _STEPS)
    for one in before.gauges:
        own = float(one.error_parts(np.full(2, float(one.reading)), np.zeros(2))[2])
        steps += [float(one.reading) - _AS_BEFORE * own, float(one.reading) + _AS_BEFORE * own]
    return np.array(sorted(steps))


def _graded(before: Repeated, grade: Grade, movement: Array, spread: Array) -> tuple[Array, Array]:
    """As by Gauss-Hermite over the model's error."""
    t = _AT.reshape(-1, *(1 for _ in movement.shape[:-1])) * np.ones(movement.shape[:-1])
    movement, spread = movement[None], spread[None]
    logs = sum(one.log_likelihood(*one.shifted(movement, spread, t)) for one in before.grades)
    log_read, weights = _weights(logs + np.log(_SHARE).reshape(-1, *(1 for _ in movement.shape[1:-1])))
    calls = grade.chances(*grade.shifted(movement, spread, t))
    return log_read, np.maximum(np.einsum("r...,r...c->...c", weights, calls), 1e-12)


def _weights(logs: Array) -> tuple[Array, Array]:
    """Log sum (...) of logs (r, ...), and the share (r, ...) of each."""
    total = log_sum_exp(logs, axis=0)
    return np.asarray(total), np.exp(logs - total)
