"""Joints that grease, rust, a dry joint or a cover hides: in all checks that name the same hider of it, or in none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import log, log1p

import numpy as np

from looseends.diagnosis.circumstances import load_circumstances
from looseends.diagnosis.evidence import Clue
from looseends.diagnosis.explanation import Counted, CountedLater, Explanation, Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.inspection.types import Hidden
from looseends.mechanics.bodies import Array

MOST = 4
"""Hidden joints that are counted so, those with the most readings; of more, each reading is hidden by itself."""


def with_hidden_joints(
    first: Posterior, clues: Sequence[Clue], weighed: Callable[[Sequence[Clue]], Posterior]
) -> Posterior:
    """The mean over every choice of which joints are hidden, each in all readings that name the same hider of it.

    `weighed` gives the posterior of clues; `first` is the one with each reading hidden by itself, whose views are kept.
    Sets are held against that of no worn part, which no hider changes.
    """
    joints = hidden_joints(clues)
    if not joints:
        return weighed(clues)
    return _mean([(chance, weighed(shown)) for chance, shown in _choices(clues, joints)], first)


def hidden_joints(clues: Sequence[Clue]) -> tuple[Hidden, ...]:
    """The joints that a check names as hidden and whose play would move one of its readings, each with its hider."""
    found = Counter(entry for clue in clues for entry in clue.check.hidden if entry.part in clue.change)
    return tuple(entry for entry, _ in found.most_common(MOST))


def _choices(clues: Sequence[Clue], joints: Sequence[Hidden]) -> Iterator[tuple[float, tuple[Clue, ...]]]:
    """The log chance of every choice of hidden joints, and the clues as they are in it."""
    chances = load_circumstances().hidden
    for choice in product((False, True), repeat=len(joints)):
        hidden = {joint for joint, is_hidden in zip(joints, choice, strict=True) if is_hidden}
        chance = sum(log(chances[j.by]) if j in hidden else log1p(-chances[j.by]) for j in joints)
        yield chance, tuple(_known(clue, joints, hidden) for clue in clues)


def _known(clue: Clue, joints: Sequence[Hidden], hidden: Collection[Hidden]) -> Clue:
    """A clue where it is known which of some joints are hidden: those change nothing, the others show."""
    named = [entry for entry in clue.check.hidden if entry in joints]
    if not named:
        return clue
    gone = {entry.part for entry in named if entry in hidden}
    settled = {entry.part for entry in named}
    return replace(
        clue,
        change={part: change for part, change in clue.change.items() if part not in gone},
        hidden={part: chance for part, chance in clue.hidden.items() if part not in settled},
    )


def _mean(found: Sequence[tuple[float, Posterior]], first: Posterior) -> Posterior:
    """One posterior of several, each with its log chance."""
    by_set: dict[frozenset[str], list[tuple[float, Explanation]]] = {}
    for chance, posterior in found:
        none = next(e.log_weight for e in posterior.explanations if not e.parts)
        for explanation in posterior.explanations:
            weight = chance + explanation.log_weight - none
            by_set.setdefault(frozenset(explanation.parts), []).append((weight, explanation))
    return first.reweighted([_joined(group) for group in by_set.values()])


def _joined(group: Sequence[tuple[float, Explanation]]) -> Explanation:
    """One set of worn parts with its joint states over all choices."""
    parts = group[0][1].parts
    logs = np.array([weight for weight, _ in group])
    total = float(log_sum_exp(logs))
    exact = any(e.solved_exactly for _, e in group)
    return Explanation(parts, total, CountedLater(lambda: _counted(parts, logs - total, group)), exact)


def _counted(parts: Sequence[str], logs: Array, group: Sequence[tuple[float, Explanation]]) -> Counted:
    """The set's joint states over all choices, each by its choice's log weight."""
    places = np.concatenate([e.places[:, [e.parts.index(part) for part in parts]] for _, e in group])
    weights = np.concatenate([np.exp(log) * e.weights for log, (_, e) in zip(logs, group, strict=True)])
    rows, of_row = np.unique(places, axis=0, return_inverse=True)
    summed = np.bincount(of_row.ravel(), weights=weights, minlength=len(rows))
    return Counted(rows.astype(np.intp), np.asarray(summed / summed.sum()))
