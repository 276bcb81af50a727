"""Sentences that remember how they were made."""

from __future__ import annotations

import copy
import datetime
import pickle
import subprocess
import sys

import pytest

from looseends.language import (
    ENGLISH,
    AsWritten,
    Capital,
    InSentence,
    Length,
    Speech,
    Text,
    either,
    joined,
    known_as,
    say,
    say_count,
)
from looseends.language import speech as speech_module

SPANISH, US = Speech("es"), Speech("en", "us")
TRANSLATED = {
    "about {play} at the {part}": "cerca de {play} en: {part}",
    "loose": "flojo",
}


class MadeTranslations:
    """What gettext would answer."""

    def gettext(self, template: str) -> str:
        return TRANSLATED.get(template, template)

    def ngettext(self, one: str, many: str, count: int) -> str:
        return "{count} pieza" if count == 1 else "{count} piezas"


@pytest.fixture(autouse=True)
def made_translations(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(speech_module, "translations", lambda language: MadeTranslations())


def test_a_sentence_is_english_text_and_can_be_said_otherwise() -> None:
    rod = known_as("tie rod", es="barra de acoplamiento")
    words = say("about {play} at the {part}", play=Length(1.5), part=rod)
    assert words == "about 1.5 mm at the tie rod"
    assert US.words(words) == "about 0.059 in at the tie rod"
    assert SPANISH.words(words) == "cerca de 1.5 mm en: barra de acoplamiento"


def test_sentences_within_sentences_and_lists_are_said_too() -> None:
    inner = say("about {play} at the {part}", play=Length(3), part=("rim", "tread"))
    words = joined([say("{words}!", words=Capital(inner)), InSentence("Loose")], "; ")
    assert words == "About 3 mm at the rim, tread!; loose"
    assert SPANISH.words(words) == "Cerca de 3 mm en: rim, tread!; loose"
    assert either(["arm", "frame", "floor"]) == "arm or frame or floor"


def test_what_a_person_wrote_is_not_translated() -> None:
    assert SPANISH.words("loose") == "flojo"
    assert SPANISH.words(AsWritten("loose")) == "loose"
    assert SPANISH.words(joined(["loose", AsWritten("loose")], ": ")) == "flojo: loose"


def test_counts_follow_the_plural_of_the_language() -> None:
    for count, english, spanish in ((1, "1 part", "1 pieza"), (0, "0 parts", "0 piezas"), (4, "4 parts", "4 piezas")):
        words = say_count("{count} part", "{count} parts", count)
        assert (words, SPANISH.words(words)) == (english, spanish)


@pytest.mark.parametrize("copied", [copy.deepcopy, lambda text: pickle.loads(pickle.dumps(text))])
def test_a_copy_can_still_be_said_otherwise(copied: object) -> None:
    assert callable(copied)
    words = copied(say("about {play} at the {part}", play=Length(1.5), part="rim"))
    assert isinstance(words, Text)
    assert SPANISH.words(words) == "cerca de 1.5 mm en: rim"


def test_dates_have_their_month_in_letters() -> None:
    day = datetime.date(2026, 3, 4)
    assert ENGLISH.date(day) == "4 March 2026"
    assert SPANISH.date(day) == "4 de marzo de 2026"


def test_numbers_are_written_as_in_the_united_states() -> None:
    assert SPANISH.number(1234.5, 1, grouped=True) == "1\u00a0234.5"
    assert Speech("es", "us").number(1234.5, 1, grouped=True) == "1,234.5"


def test_english_waits_for_no_translations() -> None:
    code = (
        "import sys; from looseends.language import Length, Speech, say;"
        "Speech('en', 'us').words(say('{play}', play=Length(1.0))); sys.exit('babel' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
