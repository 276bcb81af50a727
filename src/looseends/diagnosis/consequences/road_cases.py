"""Road load cases: what the road does to the wheels, read from data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal, get_args

from looseends.catalogue import load_catalogue
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.sources import citation
from looseends.language import refusal, say
from looseends.vehicle.layout_types import ENDS

Sides = Literal["together", "against"]
Body = Literal["rides", "stays"]
Brake = Literal["off", "on"]


@dataclass(frozen=True)
class RoadCase:
    """One load case; see data/road_cases.toml for the meaning of each field.

    `along_of_load`, `across_of_load` are shares of the load on each wheel, forward and to the left; `bump_mm` [mm].
    """

    id: str
    name: str
    words: str
    across_of_load: float
    along_of_load: float
    bump_mm: float
    sides: Sides
    from_share: float
    to_share: float
    body: Body
    brake: Brake
    ends: tuple[str, ...]
    source: str


def read_road_cases(text: str, file: str = "road_cases.toml") -> dict[str, RoadCase]:
    """Road load cases by id from the text of their file.

    Raises
    ------
    InputError
        If a field is not as `RoadCase` describes it, or nothing changes between its two ends.

    Source
    ------
    Own format; see docs/consequences.md.
    """
    return by_id((_case(entry) for entry in toml_entries(text, file, "road_case", "road case")), file, "road case")


def _case(entry: Entry) -> RoadCase:
    case = RoadCase(
        id=entry.identifier(),
        name=entry.text("name"),
        words=entry.text("words"),
        across_of_load=entry.number("across_of_load", minimum=-1.0, maximum=1.0),
        along_of_load=entry.number("along_of_load", minimum=-1.0, maximum=1.0),
        bump_mm=entry.number("bump_mm", minimum=0.0, maximum=50.0),
        sides=entry.choice("sides", get_args(Sides)),
        from_share=entry.number("from_share", minimum=-1.0, maximum=1.0),
        to_share=entry.number("to_share", minimum=-1.0, maximum=1.0),
        body=entry.choice("body", get_args(Body)),
        brake=entry.choice("brake", get_args(Brake)),
        ends=entry.choices("ends", ENDS),
        source=citation(entry, load_catalogue().sources),
    )
    if case.to_share <= case.from_share:
        raise entry.refuse("to_share", refusal("greater than from_share = {least}", least=f"{case.from_share:g}"))
    if not (case.across_of_load or case.along_of_load or case.bump_mm):
        raise entry.refuse("bump_mm", say("greater than 0 where no force along or across is given"))
    entry.finish()
    return case


@cache
def load_road_cases() -> dict[str, RoadCase]:
    """The road load cases that ship with the package."""
    text = (resources.files("looseends.diagnosis.consequences") / "data" / "road_cases.toml").read_text(
        encoding="utf-8"
    )
    return read_road_cases(text)
