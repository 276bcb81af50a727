"""How a request is spoken to: language, units and light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from litestar.connection import Request

from looseends.errors import LooseEndsError
from looseends.language import LANGUAGES, UNITS, Language, Speech, Text, Units
from looseends.web.accounts.access import Person

THEMES = ("auto", "yard", "bay")
SPEECH_COOKIES = {"language": LANGUAGES, "units": UNITS, "theme": THEMES}
"""Where a device remembers what was chosen, and what may be chosen; an account's own choice comes first."""


@dataclass(frozen=True)
class Manner:
    """How a page speaks and looks."""

    speech: Speech
    theme: str


def manner_of(request: Request[Any, Any, Any]) -> Manner:
    """By the person's account, else by the device's cookies, else by the browser's languages."""
    theme = _chosen(request, "theme", "auto")
    person = request.scope.get("user")
    if isinstance(person, Person):
        return Manner(person.speech, theme)
    language = _chosen(request, "language", _of_browser(request.headers.get("accept-language", "")))
    return Manner(Speech(cast(Language, language), cast(Units, _chosen(request, "units", "metric"))), theme)


def _chosen(request: Request[Any, Any, Any], name: str, default: str) -> str:
    value = request.cookies.get(f"looseends-{name}", default)
    return value if value in SPEECH_COOKIES[name] else default


def _of_browser(accepted: str) -> str:
    for entry in accepted.split(","):
        language = entry.split(";")[0].strip().lower()[:2]
        if language in LANGUAGES:
            return language
    return LANGUAGES[0]


def sentence_of(error: LooseEndsError, speech: Speech) -> str:
    """What an error says, in the reader's language where the sentence was made for it."""
    said = error.sentence
    return speech.words(said) if isinstance(said, Text) else said
