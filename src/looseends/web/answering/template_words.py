"""The functions that templates say things with, and the sentences that stand in templates."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import cast

from looseends.language import AsWritten, Sayable, Speech, Text, Value, say, say_count

_SAID = re.compile(r'\bt\(\s*"([^"]*)"')
_COUNTED = re.compile(r'\btn\(\s*"([^"]*)",\s*"([^"]*)"')


def template_sentences() -> Iterator[tuple[str, str, str]]:
    """Every sentence in this room's templates, that for more than one where it counts, and the template's name."""
    for file in _templates(files("looseends.web") / "templates"):
        text = file.read_text(encoding="utf-8")
        yield from ((sentence, "", file.name) for sentence in _SAID.findall(text))
        yield from ((one, many, file.name) for one, many in _COUNTED.findall(text))


def _templates(folder: Traversable) -> Iterator[Traversable]:
    for entry in folder.iterdir():
        if entry.is_dir():
            yield from _templates(entry)
        elif entry.name.endswith(".j2"):
            yield entry


def sayers(speech: Speech) -> dict[str, Callable[..., str]]:
    """The functions of every template.

    `t("Opened by {who}.", who=...)` says a sentence that stands in the template; a plain text that fills a field stays
    as a person wrote it. `tn("{count} check", "{count} checks", count)` counts. `words(value)` says a catalogue's text,
    a quantity or a sentence made elsewhere.
    """

    def t(sentence: str, **values: object) -> str:
        return speech.words(say(sentence, **_filled(values)))

    def tn(one: str, many: str, count: int, **values: object) -> str:
        return speech.words(say_count(one, many, count, **_filled(values)))

    return {"t": t, "tn": tn, "words": lambda value: speech.words(cast(Value, value))}


def _filled(values: dict[str, object]) -> dict[str, Value]:
    return {
        name: value if isinstance(value, Sayable | Text | int) else AsWritten(str(value))
        for name, value in values.items()
    }
