"""Which parts are worn, and how far: the exact posterior over no, one or two worn parts.

A reading's prediction is the sound vehicle's plus each worn part's change plus the pair's correction. A pair's
likelihood differs from the product of its parts only in readings that both move, so only those are computed anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.evidence import Clue, cell_width
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.repeated import grouped
from looseends.diagnosis.states import PartStates
from looseends.mechanics.bodies import Array

_BEYOND_REACH = 30.0
"""A pair that cannot come within this of the leading set, in log weight, is not computed in its states."""

_MOVES = 1e-3
"""A part moves a reading when it changes it by more than this [mm] in some state."""


@dataclass(frozen=True)
class Explanation:
    """One set of worn parts: its log weight, and the posterior weight of its states, (1,), (s,) or (s, t)."""

    parts: tuple[str, ...]
    log_weight: float
    states: Array
    solved_exactly: bool = False


@dataclass(frozen=True)
class Posterior:
    """All explanations, their probabilities, and the states they are counted in."""

    explanations: tuple[Explanation, ...]
    probabilities: Array
    states: Mapping[str, PartStates]
    views: Mapping[str, PartView] = field(default_factory=dict)

    def marginal(self, part_id: str) -> float:
        """Chance that a part is worn."""
        return float(sum(p for e, p in self._weighted() if part_id in e.parts))

    def state_weights(self, part_id: str) -> Array:
        """Posterior weight (s,) of a part's worn states; sums to its marginal."""
        total = np.zeros(len(self.states[part_id].weight))
        for explanation, p in self._weighted():
            if part_id in explanation.parts:
                axis = explanation.parts.index(part_id)
                weights = explanation.states
                total += p * (weights if weights.ndim == 1 else weights.sum(axis=1 - axis))
        return total

    def leading(self, count: int) -> list[tuple[Explanation, float]]:
        """The most probable explanations with their probabilities."""
        order = np.argsort(-self.probabilities)[:count]
        return [(self.explanations[i], float(self.probabilities[i])) for i in order]

    def _weighted(self) -> Sequence[tuple[Explanation, float]]:
        return list(zip(self.explanations, self.probabilities.tolist(), strict=True))

    def reweighted(self, explanations: Sequence[Explanation]) -> Posterior:
        """The same with other log weights."""
        return normalized(explanations, self.states, self.views)


def normalized(
    explanations: Sequence[Explanation], states: Mapping[str, PartStates], views: Mapping[str, PartView]
) -> Posterior:
    """A posterior from explanations with log weights up to a constant."""
    log_weights = np.array([explanation.log_weight for explanation in explanations])
    return Posterior(tuple(explanations), np.exp(log_weights - log_sum_exp(log_weights)), states, views)


def posterior(
    states: Sequence[PartStates], log_odds: Mapping[str, float], clues: Sequence[Clue], beliefs: Beliefs
) -> Posterior:
    """Posterior over all sets of at most two worn parts.

    Source: Bayes' rule; derived in docs/diagnosis.md.
    """
    clues = grouped(clues)
    views = {s.part.id: PartView.of(s, clues, beliefs) for s in states}
    explanations = [Explanation((), 0.0, np.ones(1))]
    for s in states:
        view = views[s.part.id]
        log_state = np.log(s.weight) + view.gain.sum(axis=1)
        evidence = log_sum_exp(log_state)
        explanations.append(Explanation((s.part.id,), log_odds[s.part.id] + evidence, np.exp(log_state - evidence)))
    worth = max(explanation.log_weight for explanation in explanations) - _BEYOND_REACH
    most = np.array([clue.evidence.most(clue.spread) - float(clue.sound_log_likelihood) for clue in clues])
    for a, b in combinations(states, 2):
        odds = log_odds[a.part.id] + log_odds[b.part.id]
        at_most, log_a, log_b = _at_most(a, b, views[a.part.id], views[b.part.id], most)
        if odds + at_most < worth or not np.any(views[a.part.id].moves & views[b.part.id].moves):
            # Exact where no reading is moved by both; else so far behind that the bound will do.
            weights = np.multiply.outer(np.exp(log_a - log_sum_exp(log_a)), np.exp(log_b - log_sum_exp(log_b)))
            explanations.append(Explanation((a.part.id, b.part.id), odds + at_most, weights))
            continue
        log_state = _pair_log_states(a, b, views[a.part.id], views[b.part.id], clues, beliefs)
        evidence = log_sum_exp(log_state)
        explanations.append(Explanation((a.part.id, b.part.id), odds + evidence, np.exp(log_state - evidence)))
    return normalized(explanations, {s.part.id: s for s in states}, views)


def _at_most(
    a: PartStates, b: PartStates, view_a: PartView, view_b: PartView, most: Array
) -> tuple[float, Array, Array]:
    """No evidence for the pair is larger than this, and the log weights of each one's states that lead to it.

    Readings that only one of them moves count as they are; those that both move as if the pair met them.
    """
    shared = view_a.moves & view_b.moves
    each = [
        np.log(s.weight) + view.gain[:, ~shared].sum(axis=1) + (view.gain - view.shown)[:, shared].sum(axis=1)
        for s, view in ((a, view_a), (b, view_b))
    ]
    return log_sum_exp(each[0]) + log_sum_exp(each[1]) + float(most[shared].sum()), each[0], each[1]


@dataclass(frozen=True)
class PartView:
    """How one part's states change the log likelihood of each reading, against the sound vehicle.

    `gain` (s, k), over the shares that vehicles show; `shown` (s, k), at their mean; `change`, `cell` at their mean,
    (k, s, 2) [mm]; `moves` (k,) whether the part moves the reading at all.
    """

    gain: Array
    shown: Array
    change: Array
    cell: Array
    moves: NDArray[np.bool_]

    @staticmethod
    def of(states: PartStates, clues: Sequence[Clue], beliefs: Beliefs) -> PartView:
        count = len(states.weight)
        gain, shown = np.zeros((count, len(clues))), np.zeros((count, len(clues)))
        changes, cells, moves = [], [], np.zeros(len(clues), dtype=bool)
        for k, clue in enumerate(clues):
            change = clue.change.get(states.part.id)
            if change is None or float(np.max(np.abs(change))) < _MOVES:
                changes.append(np.zeros((count, 2)))
                cells.append(np.zeros((count, 2)))
                continue
            moves[k] = True
            cell = cell_width(states, change)
            gain[:, k] = mixed_gain(clue, states, change, cell, beliefs)
            # What the pair's joint likelihood starts from: the change as vehicles show it on the average.
            typical = float(clue.shares(states.part.id).mean())
            shown[:, k] = likelihood_gain(clue, typical * change, typical * cell, beliefs)
            changes.append(typical * change)
            cells.append(typical * cell)
        return PartView(
            gain, shown, np.array(changes).reshape(-1, count, 2), np.array(cells).reshape(-1, count, 2), moves
        )


def mixed_gain(clue: Clue, states: PartStates, change: Array, cell: Array, beliefs: Beliefs) -> Array:
    """Gain (s,) of log likelihood by a part's states, over the shares of their change that vehicles show.

    With the chance that grease, rust or a dry joint masks it the part reads as sound.
    """
    shares = clue.shares(states.part.id)
    each = shares[:, None, None]
    gains = likelihood_gain(clue, each * change, each * cell, beliefs)
    shown = log_sum_exp(gains, axis=0) - np.log(len(shares))
    if not clue.table.shares:
        return np.asarray(shown)
    return np.asarray(np.logaddexp(np.log1p(-beliefs.masked_chance) + shown, np.log(beliefs.masked_chance)))


def likelihood_gain(clue: Clue, change: Array, cell: Array, beliefs: Beliefs) -> Array:
    """Log likelihood (...) of a reading with a change (..., 2) of its prediction, less that of a sound vehicle."""
    movement = np.maximum(clue.sound + change, 0.0)
    with_part = clue.evidence.log_likelihood(movement, clue.spread_at(change, cell, beliefs))
    return np.asarray(with_part - clue.sound_log_likelihood)


def _pair_log_states(
    a: PartStates, b: PartStates, view_a: PartView, view_b: PartView, clues: Sequence[Clue], beliefs: Beliefs
) -> Array:
    """Log weight (s, t) of all pairs of states: priors, own gains, and the joint gain of readings that both move."""
    log_state = (np.log(a.weight) + view_a.gain.sum(axis=1))[:, None] + (np.log(b.weight) + view_b.gain.sum(axis=1))
    for k in np.flatnonzero(view_a.moves & view_b.moves).tolist():
        log_state = log_state + _beyond_own_gains(a, b, view_a, view_b, clues, k, beliefs)
    return np.asarray(log_state)


def _beyond_own_gains(
    a: PartStates, b: PartStates, view_a: PartView, view_b: PartView, clues: Sequence[Clue], k: int, beliefs: Beliefs
) -> Array:
    """What a reading that both parts move says (s, t) of the pair beyond both parts' own gains."""
    change = pair_change(clues[k], a.part.id, b.part.id, view_a.change[k], view_b.change[k])
    cell = np.hypot(view_a.cell[k][:, None], view_b.cell[k][None, :])
    joint = likelihood_gain(clues[k], change, cell, beliefs)
    return np.asarray(joint - view_a.shown[:, k][:, None] - view_b.shown[:, k][None, :])


def gain_of_reading(
    found: Posterior, explanation: Explanation, clues: Sequence[Clue], k: int, beliefs: Beliefs
) -> Array | None:
    """Gain of log likelihood by one reading in every state of a set, against the sound vehicle; None where it has none.

    `clues` are those that the posterior was taken from, recordings of one watch as one (`repeated.grouped`).
    """
    views = [found.views[name] for name in explanation.parts]
    if not any(view.moves[k] for view in views):
        return None
    if len(views) == 1:
        return views[0].gain[:, k]
    gain = views[0].gain[:, k][:, None] + views[1].gain[:, k][None, :]
    if views[0].moves[k] and views[1].moves[k]:
        a, b = (found.states[name] for name in explanation.parts)
        gain = gain + _beyond_own_gains(a, b, views[0], views[1], clues, k, beliefs)
    return np.asarray(gain)


def pair_change(clue: Clue, first: str, second: str, change_a: Array, change_b: Array) -> Array:
    """Change (s, t, 2) [mm] of a reading with two worn parts: the sum, and what the pair shows beyond it."""
    total = change_a[:, None, :] + change_b[None, :, :]
    correction = clue.table.correction(first, second)
    return np.asarray(total if correction is None else total + correction.of_watch(clue.watch))
