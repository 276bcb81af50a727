"""The look at the lift points, which comes before anything is raised: how it is recorded, and what was seen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from looseends.report.check_notes import ALTERATIONS, LIFT_POINTS
from looseends.store.rebuild import Fact


@dataclass(frozen=True)
class LiftPoints:
    """What is known of the lift points of a vehicle."""

    found: Literal["not looked at", "sound", "not sound"]
    note: str = ""


LOOKS = (LIFT_POINTS.check, ALTERATIONS)
"""Looks that are recorded as checks and grip nothing."""


def lift_points_found(facts: Iterable[Fact]) -> LiftPoints:
    """By the last look that holds among the facts of a visit."""
    return lift_points_noted(
        fact.content.note for fact in facts if fact.kind == "check" and fact.content.setup.check == LIFT_POINTS.check
    )


def lift_points_noted(notes: Iterable[str]) -> LiftPoints:
    """By the notes of the looks that hold, the last of which counts."""
    found = LiftPoints("not looked at")
    for note in notes:
        for word, start in (("not sound", LIFT_POINTS.not_sound), ("sound", LIFT_POINTS.sound)):
            if note.startswith(start):
                found = LiftPoints(word, note.removeprefix(start).removeprefix("; "))  # type: ignore[arg-type]
    return found
