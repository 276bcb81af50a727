"""Notes of checks whose first words this program wrote: the look at the lift points, and alterations."""

from __future__ import annotations

from dataclasses import dataclass

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.opening import load_opening
from looseends.inspection.types import CheckDone
from looseends.language import AsWritten, Text, Value, joined, known_as, say


@dataclass(frozen=True)
class Mark:
    """How the record of the look is known: its check's id, and the word for each outcome at the start of its note."""

    check: str
    sound: str = "lift points: sound"
    not_sound: str = "lift points: not sound"

    def note(self, sound: bool, more: str) -> str:
        """The note of the look, with what else was written."""
        return (self.sound if sound else self.not_sound) + (f"; {more}" if more else "")


LIFT_POINTS = Mark(load_opening().check)

ALTERATIONS = "alter"
"""The check under which alterations are written down."""


def note_words(check: CheckDone) -> Value:
    """The note of a check for a reader of any language: a person's words stay as they were written."""
    if check.setup.check == LIFT_POINTS.check:
        return _lift_points(check.note)
    if check.setup.check == ALTERATIONS:
        return alterations_words(check.note)
    return AsWritten(check.note)


def alterations_words(note: str) -> Text:
    """Names of alterations with what else was written of them."""
    names = {found.name: known_as(found.name, es=found.spanish) for found in load_catalogue().alterations.values()}
    entries = note.split("; ")
    known = [names[entry] for entry in entries if entry in names]
    own = "; ".join(entry for entry in entries if entry not in names)
    return joined([*known, *([AsWritten(own)] if own else [])], "; ")


def _lift_points(note: str) -> Value:
    starts = ((LIFT_POINTS.not_sound, say("Lift points: not sound")), (LIFT_POINTS.sound, say("Lift points: sound")))
    for start, said in starts:
        if note.startswith(start):
            more = note.removeprefix(start).removeprefix("; ")
            return joined([said, AsWritten(more)], "; ") if more else said
    return AsWritten(note)
