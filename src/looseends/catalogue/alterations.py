"""Alterations of a vehicle that are recorded like parts, read from TOML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.records import status_of
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import LimitStatus, PartGroup, PartKind


@dataclass(frozen=True)
class Alteration:
    """Something changed from what the maker built: a fact to record, by itself no fault unless `reject` says so.

    `changes` says what it changes in what checks can show; `affects` lists the part kinds or groups that it strains
    or moves. `grounds` and `status` say on what a reject rests; None where it is none.
    """

    id: str
    name: str
    spanish: str
    synonyms: tuple[str, ...]
    what: str
    changes: str
    affects: tuple[str, ...]
    reject: bool
    caution: str
    source: str
    grounds: str | None = None
    status: LimitStatus | None = None


def read_alterations(
    text: str, kinds: Mapping[str, PartKind], sources: Mapping[str, Source], file: str = "alterations.toml"
) -> dict[str, Alteration]:
    """Alterations by id from the text of an alterations file.

    Raises
    ------
    InputError
        If a field is not as `Alteration` describes it, a part kind or group is unknown, or a reject has no grounds.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = toml_entries(text, file, "alteration", "alteration")
    return by_id((_alteration(entry, kinds, sources) for entry in entries), file, "alteration")


def _alteration(entry: Entry, kinds: Mapping[str, PartKind], sources: Mapping[str, Source]) -> Alteration:
    reject = entry.flag("reject")
    for key in ("grounds", "status"):
        if entry.has(key) != reject:
            raise entry.refuse(key, "given exactly when reject is true")
    alteration = Alteration(
        id=entry.identifier(),
        name=entry.text("name"),
        spanish=entry.text("spanish"),
        synonyms=entry.texts("synonyms"),
        what=entry.text("what"),
        changes=entry.text("changes"),
        affects=entry.choices("affects", (*kinds, *get_args(PartGroup))),
        reject=reject,
        caution=entry.text("caution"),
        source=citation(entry, sources),
        grounds=entry.optional_text("grounds"),
        status=status_of(entry, sources) if reject else None,
    )
    entry.finish()
    return alteration
