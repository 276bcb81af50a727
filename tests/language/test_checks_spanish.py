"""Whatever a check, support, drill or limit says is there in Spanish too, with the same numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

import looseends
from looseends.catalogue import load_catalogue

PO_FILE = Path(looseends.__file__).parent / "language" / "locale" / "es" / "trade-checks.po"
CATALOGUE = load_catalogue()
ALIKE: frozenset[str] = frozenset()
"""Texts that are the same word in both languages; none so far."""

AMBIGUOUS = {
    "bieleta": r"(?!)",
    "llanta": r"(?!)",
    "muelle": r"muelles? de hojas",
    "bolsa de aire": r"bolsas? de aire (?:de suspensión|del volante)",
    "perno rey": r"perno rey del remolque",
}
"""Words that mean another part in another country, and the wording in which alone they may stand."""


def check_texts() -> Iterator[tuple[str, str]]:
    """Each text of the checks with the check it stands in."""
    for check in CATALOGUE.checks.values():
        own = (check.name, check.do, check.sound_shows, check.caution)
        strokes = [stroke.words for stroke in check.strokes]
        watches = [watch.words for stroke in check.strokes for watch in stroke.watches]
        for text in (*own, *check.false_calls, *check.watch_words, *check.meter, *strokes, *watches):
            yield f"check {check.id}", text


def support_texts() -> Iterator[tuple[str, str]]:
    """Each text of the supports with its support."""
    for support in CATALOGUE.supports.values():
        for text in (support.name, support.how, support.proof, support.caution):
            yield f"support {support.id}", text


def drill_texts() -> Iterator[tuple[str, str]]:
    """Each text of the drills with its drill."""
    for drill in CATALOGUE.drills.values():
        for text in (drill.first, drill.second, drill.do, drill.if_gone, drill.if_stays, drill.caution):
            yield f"drill {drill.id}", text


def limit_texts() -> Iterator[tuple[str, str]]:
    """Each text of the limits with its limit; the citation and the printed words stay in the law's own language."""
    for limit in CATALOGUE.limits.values():
        for text in (limit.quantity, limit.precondition, limit.condition):
            if text:
                yield f"limit {limit.id}", text


KINDS = {"checks": check_texts, "supports": support_texts, "drills": drill_texts, "limits": limit_texts}


@cache
def spanish() -> dict[str, Message]:
    """Every entry of the PO file by its English text."""
    with PO_FILE.open("rb") as file:
        return {str(message.id): message for message in read_po(file, abort_invalid=True) if message.id}


def translated() -> list[tuple[str, str]]:
    """English and Spanish of every entry."""
    return [(english, str(message.string)) for english, message in spanish().items()]


def numbers(text: str) -> Sequence[str]:
    """The numbers that a text gives in figures, in no order."""
    return sorted(re.findall(r"\d+(?:[.,]\d+)*", text))


@pytest.mark.parametrize("kind", KINDS)
def test_every_text_has_its_spanish(kind: str) -> None:
    known = {english for english, said in translated() if said}
    assert [(entry, text) for entry, text in KINDS[kind]() if text not in known] == []


def test_no_entry_is_left_over_from_an_earlier_text() -> None:
    said = {text for texts in KINDS.values() for _, text in texts()}
    assert [english for english in spanish() if english not in said] == []


def test_every_number_stands_in_the_spanish_too() -> None:
    assert [pair for pair in translated() if numbers(pair[0]) != numbers(pair[1])] == []


def test_the_spanish_is_not_the_english() -> None:
    assert {english for english, said in translated() if english.casefold() == said.casefold()} == ALIKE


def test_a_sentence_stays_a_sentence_and_a_phrase_a_phrase() -> None:
    assert [pair for pair in translated() if pair[0].endswith(".") != pair[1].endswith(".")] == []


def test_no_entry_is_marked_as_a_guess() -> None:
    """A fuzzy entry is left out when the file is compiled, so that the reader would see English."""
    assert [english for english, message in spanish().items() if message.fuzzy] == []


@pytest.mark.parametrize(("word", "allowed"), AMBIGUOUS.items(), ids=AMBIGUOUS)
def test_a_word_of_two_meanings_stands_with_what_makes_it_plain(word: str, allowed: str) -> None:
    plural = word.replace("bolsa", "bolsas?")
    rest = [re.sub(allowed, "", said, flags=re.IGNORECASE) for _, said in translated()]
    assert [said for said in rest if re.search(plural, said, re.IGNORECASE)] == []
