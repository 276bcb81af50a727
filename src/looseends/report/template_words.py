"""The sentences that stand in the templates of pages and sheets, written there as say("...") with named fields."""

from __future__ import annotations

import re
from collections.abc import Callable
from importlib.resources import files

from looseends.language import AsWritten, Speech, say

_SAID = re.compile(r'\bsay\("([^"]*)"')


def template_sentences(template: str) -> tuple[str, ...]:
    """The sentences of a template file of this room, each once, in order."""
    text = (files("looseends.report") / "templates" / template).read_text(encoding="utf-8")
    return tuple(dict.fromkeys(_SAID.findall(text)))


def said_sentences(template: str, speech: Speech) -> dict[str, str]:
    """The sentences of a template by their English text, in the reader's language, their fields still open."""
    return {sentence: speech.template(sentence) for sentence in template_sentences(template)}


def template_sayer(speech: Speech) -> Callable[..., str]:
    """The function `say` of a page's template; what fills the fields is in the reader's language already."""

    def said(sentence: str, **values: object) -> str:
        return speech.words(say(sentence, **{name: AsWritten(str(value)) for name, value in values.items()}))

    return said
