"""Readings and looks of people who still learn count for less: of those said to learn, and of those who read so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from looseends.catalogue.types import Observer
from looseends.diagnosis.beliefs import Beliefs, Learner
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.leading_states import ChosenStates
from looseends.diagnosis.inference.readings import ReadingSet, log_likelihoods
from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import Evidence, GaugeReading
from looseends.diagnosis.observed.looked import Look

_READINGS, _SURPRISING, _SHARE = 12, 0.05, 0.05
"""Of somebody who took so many readings, and so large a share of them that the leading set gives less than this chance,
it is asked whether they read like a learner; others are not asked."""


def taken_as_learners(clues: Sequence[Clue], learners: Collection[str], beliefs: Beliefs) -> tuple[Clue, ...]:
    """The clues with the readings of some observers taken as those of people who still learn."""
    if not learners:
        return tuple(clues)
    return tuple(
        replace(clue, evidence=_by_learner(clue.evidence, beliefs)) if clue.check.observer in learners else clue
        for clue in clues
    )


def look_by_learner(look: Look, learner: Learner) -> Look:
    """A look as somebody takes it who still learns: more of what is there is missed, more is found that is not."""
    return replace(
        look,
        chance=learner.look_sees_share * look.chance,
        false_call=min(learner.look_false_calls_factor * look.false_call, 0.5),
    )


def reading_like_learners(
    found: Posterior, clues: Sequence[Clue], beliefs: Beliefs, said: Collection[str]
) -> tuple[str, ...]:
    """Observers, beside those `said` to learn, many of whose readings surprise where the leading set is worn."""
    given = Counter(clue.check.observer for clue in clues if isinstance(clue.evidence, Grade))
    if all(name in said or count < _READINGS for name, count in given.items()):
        return ()
    by_observer = _surprises(found, clues, beliefs)
    return tuple(
        name
        for name, surprises in by_observer.items()
        if name not in said and len(surprises) >= _READINGS and sum(surprises) >= _SHARE * len(surprises)
    )


def _by_learner(evidence: Evidence, beliefs: Beliefs) -> Evidence:
    if isinstance(evidence, GaugeReading):
        return replace(evidence, beliefs=beliefs.of_learner)
    if isinstance(evidence, Grade):
        return replace(
            evidence,
            observer=_learning(evidence.observer, beliefs.learner),
            threshold_spread=beliefs.learner.threshold_spread_factor * evidence.threshold_spread,
        )
    return evidence


def _learning(observer: Observer, learner: Learner) -> Observer:
    return replace(
        observer,
        spread=learner.spread_factor * observer.spread,
        lapse=max(observer.lapse, learner.wrong_chance),
    )


def _surprises(found: Posterior, clues: Sequence[Clue], beliefs: Beliefs) -> dict[str, list[bool]]:
    """By observer, whether each grade has little chance in the leading set's leading state."""
    readings = ReadingSet.of(clues, beliefs)
    leading = found.order[0]
    row = int(found.explanation(leading).leading_places(1)[0])
    movement, model = ChosenStates(found, readings, [(leading, row)]).moved()
    log_chance = log_likelihoods(readings.stacks, movement, np.sqrt(readings.spread**2 + model))[0]
    by_observer: dict[str, list[bool]] = {}
    for clue, log in zip(readings.clues, log_chance.tolist(), strict=True):
        if isinstance(clue.evidence, Grade):
            by_observer.setdefault(clue.check.observer, []).append(log < np.log(_SURPRISING))
    return by_observer
