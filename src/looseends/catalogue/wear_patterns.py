"""Patterns of tire wear and what they point to, read from TOML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from looseends.catalogue.causes import Cause, CauseNames, named_checks, read_causes
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import Source, citation

PatternStatus = Literal["seen", "from memory"]


@dataclass(frozen=True)
class WearPattern:
    """One pattern of tire wear: where on which tires, how it feels, what causes it, what to look at first.

    `checks` are ids of checks, the first one first. `status` says whether the relation was read anywhere or recalled.
    """

    id: str
    name: str
    spanish: str
    where: str
    feel: str
    causes: tuple[Cause, ...]
    first_look: str
    checks: tuple[str, ...]
    status: PatternStatus
    source: str


def read_wear_patterns(
    text: str, names: CauseNames, sources: Mapping[str, Source], file: str = "wear_patterns.toml"
) -> dict[str, WearPattern]:
    """Wear patterns by id from the text of a wear-patterns file.

    Raises
    ------
    InputError
        If a field is not as `WearPattern` describes it, a part kind, group or check is unknown, or a pattern is called
        seen whose source was not read.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = toml_entries(text, file, "wear_pattern", "wear pattern")
    return by_id((_wear_pattern(entry, names, sources) for entry in entries), file, "wear pattern")


def _wear_pattern(entry: Entry, names: CauseNames, sources: Mapping[str, Source]) -> WearPattern:
    pattern = WearPattern(
        id=entry.identifier(),
        name=entry.text("name"),
        spanish=entry.text("spanish"),
        where=entry.text("where"),
        feel=entry.text("feel"),
        causes=read_causes(entry, names.part_kinds),
        first_look=entry.text("first_look"),
        checks=named_checks(entry, names),
        status=entry.choice("status", get_args(PatternStatus)),
        source=citation(entry, sources),
    )
    seen = sources[entry.text("source")].seen
    if (pattern.status == "seen") != seen.startswith("read"):
        raise entry.refuse("status", f"seen exactly when its source was read ({seen})")
    entry.finish()
    return pattern
