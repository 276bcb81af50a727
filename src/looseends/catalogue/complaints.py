"""What customers complain of, and the parts and checks that it points to, read from TOML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from looseends.catalogue.causes import Cause, CauseNames, named_checks, read_causes
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import Source, citation
from looseends.errors import InputError

Witness = Literal["told", "road test", "in the bay"]


@dataclass(frozen=True)
class Complaint:
    """One complaint: the customer's words for it, what is likely, and the check that decides.

    `words` and `spanish` are what customers say, for matching free words; no phrase belongs to two complaints.
    `witnesses` lists how it may come to the shop: what was seen on a road test or in the bay outweighs what was told.
    `checks` are ids of checks, the deciding one first.
    """

    id: str
    name: str
    words: tuple[str, ...]
    spanish: tuple[str, ...]
    witnesses: tuple[Witness, ...]
    causes: tuple[Cause, ...]
    checks: tuple[str, ...]
    advice: str
    source: str

    @property
    def check(self) -> str:
        """The deciding check's id."""
        return self.checks[0]


def read_complaints(
    text: str, names: CauseNames, sources: Mapping[str, Source], file: str = "complaints.toml"
) -> dict[str, Complaint]:
    """Complaints by id from the text of a complaints file.

    Raises
    ------
    InputError
        If a field is not as `Complaint` describes it, a part kind, group or check is unknown, or two complaints
        share a phrase.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    entries = toml_entries(text, file, "complaint", "complaint")
    complaints = by_id((_complaint(entry, names, sources) for entry in entries), file, "complaint")
    _refuse_shared_phrases(complaints, file)
    return complaints


def _complaint(entry: Entry, names: CauseNames, sources: Mapping[str, Source]) -> Complaint:
    complaint = Complaint(
        id=entry.identifier(),
        name=entry.text("name"),
        words=entry.texts("words", empty_allowed=False),
        spanish=entry.texts("spanish", empty_allowed=False),
        witnesses=entry.choices("witnesses", get_args(Witness)),
        causes=read_causes(entry, names.part_kinds),
        checks=named_checks(entry, names),
        advice=entry.text("advice"),
        source=citation(entry, sources),
    )
    if not complaint.witnesses:
        raise entry.refuse("witnesses", "a list with at least one of " + ", ".join(get_args(Witness)))
    entry.finish()
    return complaint


def _refuse_shared_phrases(complaints: Mapping[str, Complaint], file: str) -> None:
    owner: dict[str, str] = {}
    for complaint in complaints.values():
        for phrase in {phrase.lower() for phrase in (complaint.name, *complaint.words, *complaint.spanish)}:
            if phrase in owner:
                raise InputError(
                    f'{file}, complaint "{complaint.id}": words and spanish must belong to one complaint, '
                    f'found "{phrase}" also under "{owner[phrase]}".'
                )
            owner[phrase] = complaint.id
