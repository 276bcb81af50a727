"""Notes that this program began are said in the reader's language; a person's own words stay."""

from __future__ import annotations

import pytest

from looseends.inspection.types import CheckDone
from looseends.language import ENGLISH, Speech
from looseends.report.check_notes import note_words
from looseends.vehicle.setup import Setup
from looseends.web.taken.recording import alterations_seen, lift_points_seen

SPANISH = Speech("es")


@pytest.mark.parametrize(
    ("check", "english", "spanish"),
    [
        (lift_points_seen(True, "", "Tom Orrin"), "Lift points: sound", "Puntos de apoyo: en buen estado"),
        (
            lift_points_seen(False, "pad place flakes", "Tom Orrin"),
            "Lift points: not sound; pad place flakes",
            "Puntos de apoyo: en mal estado; pad place flakes",
        ),
        (
            alterations_seen(["coil-spacer"], "two fingers high", "Tom Orrin"),
            "coil spring spacer; two fingers high",
            "separador del resorte; two fingers high",
        ),
    ],
)
def test_what_the_program_wrote_is_translated_and_what_a_person_wrote_is_not(
    check: CheckDone, english: str, spanish: str
) -> None:
    assert ENGLISH.words(note_words(check)) == english
    assert SPANISH.words(note_words(check)) == spanish


def test_a_persons_note_is_never_looked_up() -> None:
    done = CheckDone(1, Setup("wheel39", "arm", "left", "held", "off", 0.0), None, "Tom Orrin", (), (), "sound")
    assert SPANISH.words(note_words(done)) == "sound"
