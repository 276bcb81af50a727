"""Refusals of a command that has a language are said in that language."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

from looseends.errors import LooseEndsError
from looseends.language import Speech, Text


def refused_in_its_language(command: Callable[..., None]) -> Callable[..., None]:
    """The command, whose refusals come in the language and units of its own options; English where it has none."""

    @functools.wraps(command)
    def spoken(*arguments: Any, **options: Any) -> None:
        try:
            command(*arguments, **options)
        except LooseEndsError as error:
            speech = Speech(options.get("language", "en"), options.get("units", "metric"))
            if not isinstance(error.sentence, Text) or speech == Speech():
                raise
            raise type(error)(speech.words(error.sentence)) from error

    return spoken
