"""Every sentence of the program has its Spanish, none is left over, and none loses what is filled in."""

from __future__ import annotations

from io import BytesIO

import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

from looseends.language.translations import translation_files
from tests.language.sentences import fields, not_literal, sentences

OWN_FILES = ("sentences.po", "refusals.po", "measures.po", "web.po")
"""The files that hold what `sentences` finds; the others hold the catalogue's texts."""


def messages(*names: str) -> dict[str, Message]:
    """The entries of the Spanish files by their English text; of all files if none is named."""
    found: dict[str, Message] = {}
    for file in translation_files("es"):
        if not names or file.name in names:
            for message in read_po(BytesIO(file.read_bytes()), locale="es"):
                if message.id:
                    found[english(message)[0]] = message
    return found


def english(message: Message) -> tuple[str, ...]:
    """The English text, and that for more than one where there is one."""
    return message.id if isinstance(message.id, tuple) else (message.id,)


def spanish(message: Message) -> tuple[str, ...]:
    """The Spanish text, and that for more than one where there is one."""
    return message.string if isinstance(message.string, tuple) else (message.string,)


def test_every_sentence_has_its_spanish() -> None:
    known = messages()
    assert [f"{found.where}: {text}" for text, found in sentences().items() if text not in known] == []


def test_every_sentence_that_counts_has_both_its_forms() -> None:
    known = messages()
    counted = {text: found.many for text, found in sentences().items() if found.many}
    assert counted
    for text, many in counted.items():
        assert english(known[text]) == (text, many)
        assert len(spanish(known[text])) == 2


@pytest.mark.parametrize("name", OWN_FILES)
def test_no_translation_is_left_over(name: str) -> None:
    assert [text for text in messages(name) if text not in sentences()] == []


def test_no_translation_is_empty_or_doubtful() -> None:
    for message in messages().values():
        assert all(spanish(message)) and not message.fuzzy, message.id


@pytest.mark.parametrize("message", messages(*OWN_FILES).values(), ids=lambda message: english(message)[0][:40])
def test_a_translation_has_the_fields_of_its_sentence(message: Message) -> None:
    for text in spanish(message):
        assert fields(text) == fields(english(message)[0])


def test_sentences_are_whole_texts_that_a_translator_can_find() -> None:
    assert not_literal() == []
