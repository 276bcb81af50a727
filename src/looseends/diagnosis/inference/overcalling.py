"""People who call everything at least slight: told from their grades, and taken so before anything is blamed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from looseends.diagnosis.observed.evidence import Clue
from looseends.diagnosis.observed.grade import Grade

CALLED_UP = 0.9
"""Share of what is nothing to others that such a person calls slight. Assumed."""

CHANCE = 0.03
"""Chance that somebody is such a person. Assumed."""

_GRADES, _NONE = 8, 0.25
"""Who gave so many grades, and calls no more than this share of them nothing, may be one; others are not asked."""


def suspected(clues: Sequence[Clue]) -> tuple[str, ...]:
    """Observers whose grades hardly ever say nothing."""
    given: dict[str, list[int]] = {}
    for clue in clues:
        if isinstance(clue.evidence, Grade) and clue.reading.by in ("hand", "eye"):
            given.setdefault(clue.check.observer, []).append(clue.evidence.grade)
    return tuple(
        name
        for name, grades in given.items()
        if len(grades) >= _GRADES and sum(grade == 0 for grade in grades) <= _NONE * len(grades)
    )


def taken_as_overcalled(clues: Sequence[Clue], observer: str) -> tuple[Clue, ...]:
    """The clues with this observer's grades taken as those of a person who calls everything at least slight."""
    return tuple(
        replace(clue, evidence=replace(clue.evidence, called_up=CALLED_UP))
        if clue.check.observer == observer and isinstance(clue.evidence, Grade) and clue.reading.by in ("hand", "eye")
        else clue
        for clue in clues
    )
