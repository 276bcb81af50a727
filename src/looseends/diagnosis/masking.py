"""Joints that grease, rust or dirt hides in every reading of a visit: worn, and reading as if they were sound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.explanation import Counted, CountedLater, Explanation, Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.rows import Numbers, segment_log_sums
from looseends.diagnosis.views import Places
from looseends.mechanics.bodies import Array

_COUNTS = 7.0
"""A choice that has less than this of a set's log weight is left out of its joint states."""

_TOLD_APART = 9.0
"""Of sets further behind the leading one than this, in log weight, the joint states stay as they are."""

_FEW = 12
"""So many joint states of what shows, and so many of each hidden part, carry a masked choice's states."""


def with_masked_joints(posterior: Posterior, beliefs: Beliefs) -> Posterior:
    """The posterior with every worn part masked or not, each with the chance of it.

    What a masked part's readings say is what they say without it: its states keep their prior weights.
    """
    explanations, choices = posterior.explanations, _choices(posterior, beliefs)
    believed = posterior.prior.log_weights([e.parts for e in explanations])
    totals = segment_log_sums(choices.log, choices.first)
    weights = believed + totals
    least = weights.max() - _TOLD_APART
    return posterior.reweighted(
        [
            _mixed(posterior, e, weight, choices.of(n, explanations), total) if weight > least else e.weighing(weight)
            for n, (e, weight, total) in enumerate(zip(explanations, weights.tolist(), totals.tolist(), strict=True))
        ]
    )


_Choice = tuple[Explanation, float]
"""The set of parts that are not hidden, and the log likelihood with this choice's chance."""


@dataclass(frozen=True)
class _Choices:
    """Every choice of which of a set's parts are hidden, set after set.

    `shown` (n,) numbers of the sets that show, `log` (n,) log likelihoods with the choices' chances; `first` (e + 1,)
    where each set's choices begin.
    """

    shown: Numbers
    log: Array
    first: Numbers

    def of(self, number: int, explanations: Sequence[Explanation]) -> list[_Choice]:
        """The choices of one set."""
        own = slice(int(self.first[number]), int(self.first[number + 1]))
        return [(explanations[n], log) for n, log in zip(self.shown[own].tolist(), self.log[own].tolist(), strict=True)]


def _choices(posterior: Posterior, beliefs: Beliefs) -> _Choices:
    explanations = posterior.explanations
    # A set as a number with one bit for each part.
    bits = {part: 1 << n for n, part in enumerate(posterior.prior.log_odds)}
    own = [[bits[part] for part in e.parts] for e in explanations]
    number = {sum(of_set): n for n, of_set in enumerate(own)}
    shown: list[int] = []
    hidden: list[int] = []
    first = [0]
    for of_set in own:
        for count in range(len(of_set), -1, -1):
            for parts in combinations(of_set, count):
                at = number.get(sum(parts))
                if at is not None:  # a smaller set that was too far behind to be kept says nothing here
                    shown.append(at)
                    hidden.append(len(of_set) - count)
        first.append(len(shown))
    sizes = np.array([len(e.parts) for e in explanations])
    told = np.array([e.log_weight for e in explanations])
    told -= posterior.prior.log_weights([e.parts for e in explanations])
    hide, show = float(np.log(beliefs.masked_chance)), float(np.log1p(-beliefs.masked_chance))
    of_choice = np.array(shown)
    return _Choices(of_choice, told[of_choice] + np.array(hidden) * hide + sizes[of_choice] * show, np.array(first))


def _mixed(
    posterior: Posterior, explanation: Explanation, log_weight: float, choices: list[_Choice], total: float
) -> Explanation:
    """One set with its joint states over all choices."""

    def counted() -> Counted:
        kept = [(shown, log) for shown, log in choices if log >= total - _COUNTS]
        of_kept = float(log_sum_exp(np.array([log for _, log in kept])))
        states = [_states(posterior, explanation, shown) for shown, _ in kept]
        return Counted(
            np.concatenate([places for places, _ in states]),
            np.concatenate([np.exp(log - of_kept) * w for (_, w), (_, log) in zip(states, kept, strict=True)]),
        )

    return explanation.weighing(log_weight, CountedLater(counted))


def _states(posterior: Posterior, explanation: Explanation, shown: Explanation) -> tuple[Places, Array]:
    """Joint states where only `shown` of a set's parts show: those weighed by readings, hidden ones as before."""
    if len(shown.parts) == len(explanation.parts):
        return explanation.places, explanation.weights
    hidden = [part for part in explanation.parts if part not in shown.parts]
    rows = shown.leading_places(_FEW if len(explanation.parts) > 1 else 1)
    places, weights = shown.places[rows], shown.weights[rows]
    for part in hidden:
        prior = posterior.states[part].weight
        states = np.arange(len(prior)) if len(explanation.parts) < 3 else np.argsort(-prior)[:_FEW]
        places = np.concatenate(
            [np.repeat(places, len(states), axis=0), np.tile(states[:, None], (len(places), 1))], axis=1
        )
        weights = np.multiply.outer(weights, prior[states]).ravel()
    order = [(*shown.parts, *hidden).index(part) for part in explanation.parts]
    return places[:, order].astype(np.intp), weights / weights.sum()
