"""Spanish words for parts: read with their region, and told apart where one word means two parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import get_args

from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import PartGroup, PartKind, Region, RegionalWord
from looseends.errors import InputError
from looseends.language import Text, known_as

REGIONS: tuple[Region, ...] = get_args(Region)


@dataclass(frozen=True)
class Meaning:
    """What a word means in one region; `means_kinds` are part kinds or groups, none where no part of ours is meant."""

    region: Region
    means: str
    means_kinds: tuple[str, ...]


@dataclass(frozen=True)
class SpanishTrap:
    """A Spanish word that means different things in different countries; `id` is the word with hyphens."""

    id: str
    word: str
    meanings: tuple[Meaning, ...]
    source: str


def regional_words(entry: Entry, key: str) -> tuple[RegionalWord, ...]:
    """A list of { word, region } tables, which may be empty.

    Raises
    ------
    InputError
        If it is not such a list, or a region is not known.
    """
    value = entry.values.get(key)
    if not isinstance(value, list) or not all(isinstance(word, dict) for word in value):
        raise entry.refuse(key, "a list of { word, region } tables, which may be empty")
    if not value:
        entry.read.add(key)
        return ()
    return tuple(_regional_word(word) for word in entry.entries(key, "Spanish synonym"))


def _regional_word(entry: Entry) -> RegionalWord:
    word = RegionalWord(entry.text("word"), entry.choice("region", REGIONS))
    entry.finish()
    return word


def kind_name(kind: PartKind) -> Text:
    """The name of a part kind, in Spanish the word that is understood best in a US shop."""
    return known_as(kind.name, es=kind.spanish)


def spanish_words(kind: PartKind) -> Iterator[RegionalWord]:
    """Every Spanish word of a part kind, in lower case; its name and plural hold in any region."""
    yield RegionalWord(kind.spanish.lower(), "any")
    yield RegionalWord(kind.spanish_plural.lower(), "any")
    for synonym in kind.spanish_synonyms:
        yield RegionalWord(synonym.word.lower(), synonym.region)


def kinds_in_spanish(word: str, kinds: Mapping[str, PartKind], region: Region = "any") -> tuple[str, ...]:
    """Ids of the part kinds that a word means in a region; more than one where the region would have to be asked.

    Parameters
    ----------
    word : str
        For example "bieleta".
    kinds : mapping
        Part kinds by id.
    region : str
        Where the speaker learned the trade; "any" if that is not known.

    Source
    ------
    Spanish synonyms of the catalogue's part kinds.
    """
    said = " ".join(word.lower().split())
    return tuple(
        kind.id
        for kind in kinds.values()
        if any(known.word == said and _overlap(known.region, region) for known in spanish_words(kind))
    )


def refuse_shared_spanish(kinds: Mapping[str, PartKind], file: str) -> None:
    """Refuse a Spanish word that two kinds would own in one region.

    Raises
    ------
    InputError
        If there is one.
    """
    owners: dict[str, list[tuple[Region, str]]] = {}
    for kind in kinds.values():
        for word in spanish_words(kind):
            for region, owner in owners.get(word.word, []):
                if owner != kind.id and _overlap(region, word.region):
                    raise InputError(
                        f'{file}, part kind "{kind.id}": a Spanish word must mean one kind in one region, '
                        f'found "{word.word}" ({word.region}) also under "{owner}" ({region}).'
                    )
            owners.setdefault(word.word, []).append((word.region, kind.id))


def _overlap(one: Region, other: Region) -> bool:
    return one == other or "any" in (one, other)


def read_spanish_traps(
    text: str, kinds: Mapping[str, PartKind], sources: Mapping[str, Source], file: str = "spanish_traps.toml"
) -> dict[str, SpanishTrap]:
    """Words that mislead, by id, from the text of a traps file.

    Raises
    ------
    InputError
        If a field is not as `SpanishTrap` describes it, or a part kind uses such a word for a region in which the
        trap says that it means something else.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = toml_entries(text, file, "trap", "trap")
    traps = by_id((_trap(entry, kinds, sources) for entry in entries), file, "trap")
    for trap in traps.values():
        _refuse_contradiction(trap, kinds, file)
    return traps


def _trap(entry: Entry, kinds: Mapping[str, PartKind], sources: Mapping[str, Source]) -> SpanishTrap:
    known = (*kinds, *get_args(PartGroup))
    meanings = tuple(_meaning(meaning, known) for meaning in entry.entries("meaning", "meaning"))
    trap = SpanishTrap(entry.identifier(), entry.text("word").lower(), meanings, citation(entry, sources))
    if len(meanings) < 2:
        raise InputError(f"{entry.where}: meanings must be two or more, else the word is no trap, found 1.")
    entry.finish()
    return trap


def _meaning(entry: Entry, known: tuple[str, ...]) -> Meaning:
    region = entry.choice("region", REGIONS)
    meaning = Meaning(region, entry.text("means"), entry.choices("means_kinds", known))
    entry.finish()
    return meaning


def _refuse_contradiction(trap: SpanishTrap, kinds: Mapping[str, PartKind], file: str) -> None:
    meant = {(meaning.region, name) for meaning in trap.meanings for name in meaning.means_kinds}
    for kind in kinds.values():
        for word in spanish_words(kind):
            if word.word == trap.word and not {(word.region, kind.id), (word.region, kind.group)} & meant:
                raise InputError(
                    f'{file}, trap "{trap.id}": meanings must agree with the part kinds, '
                    f'found "{trap.word}" ({word.region}) under part kind "{kind.id}".'
                )
