"""Trials that tell two causes of the same movement apart, read from TOML."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.records import GROUPS
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import Check, Drill


def read_drills(
    text: str,
    checks: Mapping[str, Check],
    kinds: Collection[str],
    sources: Mapping[str, Source],
    file: str = "drills.toml",
) -> dict[str, Drill]:
    """Drills by id from the text of a drills file.

    Raises
    ------
    InputError
        If a field is not as `Drill` describes it, names a check, support, part kind or group that is not there, or
        both causes are told by the same words.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    known = {*kinds, *GROUPS}
    entries = toml_entries(text, file, "drill", "drill")
    return by_id((_drill(entry, checks, known, sources) for entry in entries), file, "drill")


def _drill(entry: Entry, checks: Mapping[str, Check], known: Collection[str], sources: Mapping[str, Source]) -> Drill:
    check = checks[entry.known("check", checks)]
    drill = Drill(
        id=entry.identifier(),
        first=entry.text("first"),
        second=entry.text("second"),
        first_parts=entry.choices("first_parts", tuple(known)),
        second_parts=entry.choices("second_parts", tuple(known)),
        do=entry.text("do"),
        if_gone=entry.text("if_gone"),
        if_stays=entry.text("if_stays"),
        check=check.id,
        supports=entry.choices("supports", check.supports),
        caution=entry.text("caution"),
        source=citation(entry, sources),
    )
    if drill.first == drill.second:
        raise entry.refuse("second", "another cause than first")
    if not drill.supports:
        raise entry.refuse("supports", "at least one support state of the check")
    entry.finish()
    return drill
