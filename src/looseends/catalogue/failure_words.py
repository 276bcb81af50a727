"""The fixed words for how a part fails, read from TOML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import Source, citation


@dataclass(frozen=True)
class FailureWord:
    """A word for how a part fails, its Spanish word, and what it means in a sentence; `id` is the word itself."""

    id: str
    spanish: str
    plain: str
    source: str


def read_failure_words(
    text: str, sources: Mapping[str, Source], file: str = "failure_words.toml"
) -> dict[str, FailureWord]:
    """Failure words by word from the text of a failure-words file.

    Raises
    ------
    InputError
        If a field is not as `FailureWord` describes it, or a word stands twice.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = toml_entries(text, file, "failure_word", "failure word")
    return by_id((_failure_word(entry, sources) for entry in entries), file, "failure word")


def _failure_word(entry: Entry, sources: Mapping[str, Source]) -> FailureWord:
    word = FailureWord(entry.text("id"), entry.text("spanish"), entry.text("plain"), citation(entry, sources))
    entry.finish()
    return word
