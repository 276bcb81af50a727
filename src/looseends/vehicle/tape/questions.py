"""What is asked of a vehicle that nobody has a drawing of, read from data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.vehicle.groups import load_groups
from looseends.vehicle.layout import layout_ids

Kind = Literal["name", "layout", "choice", "length", "mass", "angle", "tire", "vin"]
KINDS: tuple[Kind, ...] = ("name", "layout", "choice", "length", "mass", "angle", "tire", "vin")
UNITS: Mapping[str, str] = {"length": "mm", "mass": "kg", "angle": "deg"}
"""Unit of a number, by the question's kind."""

MOST_NEEDED = 12
"""So many entries at most lead from nothing to a usable vehicle."""


@dataclass(frozen=True)
class Question:
    """One question: its words, how to find the answer, what is accepted, and what an answer fixes.

    `least` and `most` are in mm, kg or degrees. `fixes` are the groups of joint centers that the answer places, with
    the spread [mm, degrees] that is left to them, None where it stays as usual. `layouts`, where there are any, are
    those it is for; `together` is the question that must be answered with it.
    """

    id: str
    words: str
    how: str
    kind: Kind
    accepted: tuple[str, ...]
    least: float
    most: float
    needed: bool
    layouts: tuple[str, ...]
    together: str | None
    fixes: tuple[str, ...]
    leaves_common_mm: float | None
    leaves_own_mm: float | None
    leaves_lean_deg: float | None

    @property
    def unit(self) -> str:
        """The unit of its answer, empty where it has none."""
        return UNITS.get(self.kind, "")


@cache
def load_questions() -> Mapping[str, Question]:
    """All questions by id, in the order in which they are asked.

    Raises
    ------
    InputError
        If the data file is not as it should be.
    """
    file = resources.files("looseends.vehicle") / "data" / "tape" / "questions.toml"
    entries = toml_entries(file.read_text(encoding="utf-8"), file.name, "question", "question")
    return by_id([_question(entry) for entry in entries], file.name, "question")


def _question(entry: Entry) -> Question:
    kind = entry.choice("kind", KINDS)
    number, groups = kind in UNITS, load_groups()
    fixes = entry.texts("fixes") if entry.has("fixes") else ()
    for group in fixes:
        if group not in groups:
            raise entry.refuse("fixes", "a list of groups of groups.toml")
    layouts = entry.texts("layouts") if entry.has("layouts") else ()
    for layout in layouts:
        if layout not in layout_ids():
            raise entry.refuse("layouts", "a list of layouts")
    question = Question(
        id=entry.text("id"),
        words=entry.text("words"),
        how=entry.text("how"),
        kind=kind,
        accepted=entry.texts("accepted", empty_allowed=False) if kind == "choice" else (),
        least=entry.number("minimum") if number else 0.0,
        most=entry.number("maximum") if number else 0.0,
        needed=entry.flag("needed") if entry.has("needed") else False,
        layouts=layouts,
        together=entry.optional_text("with"),
        fixes=fixes,
        leaves_common_mm=_positive(entry, "leaves_common_mm"),
        leaves_own_mm=_positive(entry, "leaves_own_mm"),
        leaves_lean_deg=_positive(entry, "leaves_lean_deg"),
    )
    entry.known("source", load_catalogue().sources)
    entry.finish()
    return question


def _positive(entry: Entry, key: str) -> float | None:
    return entry.positive(key) if entry.has(key) else None
