"""Errors that readings share, put in where the leading sets are weighed: one vehicle's softness, one person's hand.

A reading's prediction is the model's and what this vehicle and this person add, g z with z standard normal and the same
for all readings. For one set of worn parts in one state the likelihood of all readings is the integral over z, taken by
Laplace's rule about the z that fits best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.likelihood import Evidence
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.posterior import Explanation, Posterior
from looseends.diagnosis.repeated import grouped
from looseends.mechanics.bodies import Array

_SETS, _STATES, _FACTORS = 60, 3, 16
"""So many leading sets in so many leading states are weighed, over so many factors of the ensemble."""

_WIDENED = (1.0, 0.2, 0.03, 0.0, 0.0)
"""Share of the shared variance that is left with each reading while z is sought: from wide to none, so that no reading
is given up as wrong before z had a chance to explain it."""

_SHARP_MM = 0.05
"""Readings are not told apart more finely than this where the leading factors are chosen."""

State = tuple[int, tuple[int, ...]]
"""Number of an explanation and the place of one state in its weights."""


def with_shared_errors(posterior: Posterior, clues: Sequence[Clue], beliefs: Beliefs) -> Posterior:
    """The posterior with its leading sets weighed again with what readings share.

    A set's weight changes by the ratio of both likelihoods over its leading states; sets far behind change as the
    leading one does. Where a table has no ensemble nothing changes.
    """
    clues = grouped(clues)
    if not clues or any(not clue.table.members.size for clue in clues):
        return posterior
    chosen = _chosen(posterior)
    ratio = _log_ratios(posterior, clues, chosen, beliefs)
    leading = chosen[0][0]
    weighed = {
        number: _weighed(
            posterior.explanations[number],
            [place for other, place in chosen if other == number],
            ratio[[n for n, (other, _) in enumerate(chosen) if other == number]],
        )
        for number in dict.fromkeys(number for number, _ in chosen)
    }
    rest = weighed[leading].log_weight - posterior.explanations[leading].log_weight
    return posterior.reweighted(
        [weighed.get(n) or replace(e, log_weight=e.log_weight + rest) for n, e in enumerate(posterior.explanations)]
    )


def _chosen(posterior: Posterior) -> list[State]:
    """The leading states of the leading sets, and of every set of no or one part."""
    order = [int(n) for n in np.argsort(-posterior.probabilities)]
    sets = order[:_SETS] + [n for n in order[_SETS:] if len(posterior.explanations[n].parts) < 2]
    chosen: list[State] = []
    for number in sets:
        weights = posterior.explanations[number].states
        for flat in np.argsort(-weights, axis=None)[:_STATES]:
            chosen.append((number, tuple(int(k) for k in np.unravel_index(int(flat), weights.shape))))
    return chosen


def _weighed(explanation: Explanation, places: Sequence[tuple[int, ...]], ratio: Array) -> Explanation:
    """One set with its log weight and its states changed by the log ratios of these states."""
    before = np.log(np.maximum([explanation.states[place] for place in places], 1e-300))
    mean = float(log_sum_exp(before + ratio) - log_sum_exp(before))
    states = np.array(explanation.states)
    for place, change in zip(places, ratio - mean, strict=True):
        states[place] *= np.exp(change)
    return replace(explanation, log_weight=explanation.log_weight + mean, states=states / states.sum())


def _log_ratios(posterior: Posterior, clues: Sequence[Clue], chosen: Sequence[State], beliefs: Beliefs) -> Array:
    """Log (n,) of the likelihood of all readings with shared errors over that with each error by itself."""
    change, cell = _changes(posterior, clues, chosen)
    movement = np.maximum(np.array([clue.sound for clue in clues]) + change, 0.0)
    model = (beliefs.share_of_change * change) ** 2 + cell**2
    alone = np.sqrt(np.array([clue.spread for clue in clues]) ** 2 + model)
    apart = sum(clue.evidence.log_likelihood(movement[:, k], alone[:, k]) for k, clue in enumerate(clues))
    common, left = leading_factors(clues, beliefs)
    scattered = np.array([clue.table.spread[clue.watch] for clue in clues]) ** 2 * _softness(beliefs) ** 2
    own = (1.0 - beliefs.shared_part) * scattered + left[:, None] + beliefs.floor_mm**2 + model
    rows = Rows([clue.evidence.impersonal() for clue in clues], movement, np.sqrt(own))
    return np.asarray(log_integral(rows, _loadings(clues, movement, common)) - apart)


def _changes(posterior: Posterior, clues: Sequence[Clue], chosen: Sequence[State]) -> tuple[Array, Array]:
    """Change and width of the severity cell (n, k, 2) [mm] of every reading in every chosen state."""
    change, cell = np.zeros((len(chosen), len(clues), 2)), np.zeros((len(chosen), len(clues), 2))
    for n, (number, place) in enumerate(chosen):
        parts = posterior.explanations[number].parts
        for name, state in zip(parts, place, strict=False):
            view = posterior.views[name]
            change[n] += view.change[:, state]
            cell[n] = np.hypot(cell[n], view.cell[:, state])
        if len(parts) == 2:
            change[n] += _corrections(clues, parts, place)
    return change, cell


def _corrections(clues: Sequence[Clue], parts: tuple[str, ...], place: tuple[int, ...]) -> Array:
    """What two worn parts show beyond the sum (k, 2) [mm] in one pair of states, of every reading."""
    tables = {id(clue.table): clue.table for clue in clues}
    beyond = {key: table.correction(parts[0], parts[1]) for key, table in tables.items()}
    shown = {key: found.of_states(place[0], place[1]) for key, found in beyond.items() if found is not None}
    none = np.zeros(2)
    return np.array([shown[id(c.table)][c.watch] if id(c.table) in shown else none for c in clues])


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
    """All readings in n states: evidence (k), movement (n, k, 2) [mm] and the spread (n, k, 2) [mm] of each alone."""

    evidence: Sequence[Evidence]
    movement: Array
    own: Array

    def expanded(self, shift: Array, more: Array) -> tuple[Array, Array, Array]:
        """Log likelihood, slope and information (n, k) with movements shifted [mm] and variances widened [mm^2]."""
        value, slope, information = (np.zeros(shift.shape) for _ in range(3))
        for k, evidence in enumerate(self.evidence):
            movement = np.maximum(self.movement[:, k] + shift[:, k, None], 0.0)
            spread = np.sqrt(self.own[:, k] ** 2 + more[:, k, None])
            value[:, k], slope[:, k], information[:, k] = evidence.expanded(movement, spread)
        return value, slope, information


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
