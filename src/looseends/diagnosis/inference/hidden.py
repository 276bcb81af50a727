"""Joints that grease, rust, a dry joint or a cover hides: in all checks that name the same hider of it, or in none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import exp, log, log1p

import numpy as np

from looseends.diagnosis.inference.counted import Counted, EachLater
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.logs import log_sum_exp
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.evidence import Clue
from looseends.inspection.types import Hidden

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
    sets = found[0][1].sets
    more = dict.fromkeys(parts for _, one in found[1:] for parts in one.sets.number if parts not in sets.number)
    sets = sets.joined([tuple(sorted(parts)) for parts in more]) if more else sets
    logs, solved = np.full((len(found), len(sets.parts)), -np.inf), np.zeros(len(sets.parts), dtype=bool)
    numbers = []
    for own, (chance, posterior) in zip(logs, found, strict=True):
        at = np.array([sets.number[parts] for parts in posterior.sets.number], dtype=np.intp)
        own[at] = chance + posterior.log_weights - posterior.log_weights[posterior.sets.number[frozenset()]]
        solved[at] |= posterior.solved
        numbers.append(dict(zip(at.tolist(), range(len(at)), strict=True)))
    log_weights = np.asarray(log_sum_exp(logs, axis=0))

    def counted(number: int) -> Counted:
        group = [
            (float(logs[k, number] - log_weights[number]), posterior.explanation(numbers[k][number]))
            for k, (_, posterior) in enumerate(found)
            if number in numbers[k]
        ]
        return _counted(sets.parts[number], group)

    states = EachLater(counted, len(sets.parts))
    return replace(first, sets=sets, log_weights=log_weights, counted=states, solved=solved)


def _counted(parts: Sequence[str], group: Sequence[tuple[float, Explanation]]) -> Counted:
    """One set's joint states over all choices, each by its choice's log weight."""
    places = np.concatenate([e.places[:, [e.parts.index(part) for part in parts]] for _, e in group])
    weights = np.concatenate([exp(log) * e.weights for log, e in group])
    rows, of_row = np.unique(places, axis=0, return_inverse=True)
    summed = np.bincount(of_row.ravel(), weights=weights, minlength=len(rows))
    return Counted(rows.astype(np.intp), np.asarray(summed / summed.sum()))
