"""Where each fact of the catalogue comes from, and how that was seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from looseends.catalogue.entry import Entry, by_id, toml_entries

Seen = Literal["read", "read in part", "read in another rule that repeats it", "from memory", "no source", "assumed"]
SEEN: tuple[Seen, ...] = get_args(Seen)


@dataclass(frozen=True)
class Source:
    """A source of the catalogue: its citation, how it was seen, and what was left out."""

    id: str
    citation: str
    seen: Seen
    note: str


def read_sources(text: str, file: str = "sources.toml") -> dict[str, Source]:
    """Sources by id from the text of a sources file.

    Raises
    ------
    InputError
        If an entry is not as `Source` describes it, or an id stands twice.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    return by_id((_source(entry) for entry in toml_entries(text, file, "source", "source")), file, "source")


def citation(entry: Entry, sources: Mapping[str, Source]) -> str:
    """The citation that an entry's `source` field names by id."""
    return sources[entry.known("source", sources)].citation


def _source(entry: Entry) -> Source:
    source = Source(entry.identifier(), entry.text("citation"), entry.choice("seen", SEEN), entry.text("note"))
    entry.finish()
    return source
