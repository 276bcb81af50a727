"""The trade's texts in Spanish: every text that is shown has one, none is stale, and numbers are the same in both."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from babel.messages.pofile import read_po

SOURCE = Path(__file__).parents[2] / "src" / "looseends"
FILE = SOURCE / "language" / "locale" / "es" / "trade.po"

# file, table ("" for the file's own top), key that names an entry, fields that are shown
SHOWN = [
    ("catalogue/data/conditions.toml", "condition", "id", ("words", "plain", "grounds", "caution")),
    ("catalogue/data/part_kinds/*.toml", "part_kind", "id", ("effect",)),
    ("catalogue/data/part_kinds/*.toml", "part_kind", "id", ("how_shown",)),
    ("catalogue/data/part_kinds/*.toml", "part_kind", "id", ("purpose",)),
    ("catalogue/data/wear_patterns.toml", "wear_pattern", "id", ("where", "feel", "first_look")),
    ("catalogue/data/complaints.toml", "complaint", "id", ("name", "advice")),
    ("catalogue/data/alterations.toml", "alteration", "id", ("what", "changes", "grounds", "caution")),
    ("catalogue/data/failure_words.toml", "failure_word", "id", ("plain",)),
    ("vehicle/data/stored_spring.toml", "danger", "spring", ("text",)),
    ("vehicle/data/tape/questions.toml", "question", "id", ("words", "how")),
    ("vehicle/data/tape/templates.toml", "template", "id", ("words",)),
    ("vehicle/data/tape/groups.toml", "group", "id", ("words", "measure")),
    ("vehicle/data/layouts/*.toml", "", "id", ("name",)),
    ("vehicle/data/vehicles/*.toml", "", "id", ("name", "description")),
]
CAUSE = ("words", "direction")

# Spanish that is written as the English is
ALIKE: set[str] = set()


class Text(NamedTuple):
    """A text that is shown, with the file, the entry and the field that it stands in."""

    file: str
    entry: str
    field: str
    english: str


def shown_texts() -> Iterator[Text]:
    """Every text of the trade data that is shown, in the order of SHOWN."""
    for pattern, table, key, fields in SHOWN:
        for path in sorted(SOURCE.glob(pattern)):
            file = path.relative_to(SOURCE).as_posix()
            whole = tomllib.loads(path.read_text(encoding="utf-8"))
            for entry in whole[table] if table else [whole]:
                yield from _texts_of(entry, fields, file, entry[key], "")
                for number, cause in enumerate(entry.get("cause", []), start=1):
                    yield from _texts_of(cause, CAUSE, file, entry[key], f"cause {number} ")


def _texts_of(entry: dict[str, Any], fields: tuple[str, ...], file: str, name: str, place: str) -> Iterator[Text]:
    return (Text(file, name, place + field, entry[field]) for field in fields if field in entry)


def spanish_of() -> dict[str, str]:
    """The Spanish of every English text in the file."""
    with FILE.open("rb") as file:
        return {str(message.id): str(message.string) for message in read_po(file, locale="es") if message.id}


def numbers(text: str) -> Counter[str]:
    """The numbers of a text, written in digits, with how often each stands."""
    return Counter(re.findall(r"\d+(?:\.\d+)*", text))


def sentence_ends(text: str) -> tuple[bool, bool]:
    """Whether a text begins with a capital, as names of rules and numbers do not, and whether it ends with a period."""
    return text.partition(" ")[0].istitle(), text.endswith(".")


TEXTS = list(shown_texts())
SPANISH = spanish_of()


def test_every_list_of_shown_texts_is_found() -> None:
    missing = [pattern for pattern, *_ in SHOWN if not list(SOURCE.glob(pattern))]
    fields = {(pattern, field) for pattern, _, _, names in SHOWN for field in names}
    found = {(pattern, text.field) for pattern, *_ in SHOWN for text in TEXTS if Path(text.file).match(pattern)}
    assert (missing, fields - found) == ([], set())


def test_every_shown_text_has_spanish() -> None:
    assert [text for text in TEXTS if not SPANISH.get(text.english, "").strip()] == []


def test_no_spanish_is_left_of_a_text_that_changed() -> None:
    assert SPANISH.keys() - {text.english for text in TEXTS} == set()


def test_numbers_are_the_same_in_both_languages() -> None:
    assert [(e, s) for e, s in SPANISH.items() if numbers(e) != numbers(s)] == []


def test_spanish_is_not_the_english_once_more() -> None:
    assert {english for english, spanish in SPANISH.items() if english == spanish} == ALIKE


def test_a_sentence_stays_a_sentence() -> None:
    """A fragment that is put into a sentence has no period and no capital of its own in either language."""
    assert [(e, s) for e, s in SPANISH.items() if sentence_ends(e) != sentence_ends(s)] == []
