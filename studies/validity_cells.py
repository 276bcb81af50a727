"""The trade's table of what a check can show under a support, each computed cell laid against the model."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Axis
from looseends.vehicle.load_path import carrier, follower
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import hold, nominal_preload
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle
from studies.layout_words import meant
from studies.stamp import ROOT
from studies.validity_chances import Shown, Tried, both_sides, own_watches, shown, tried, usual_setup

TABLE = ROOT / "tests" / "trade" / "validity_cells.toml"
SHOWS, HIDES = 0.9, 0.1
"""From which chance on a check shows a part (V), and up to which it cannot (X)."""
ADDS = 0.2
"""Share of its own clearance by which another part must move the tread to count as adding its play (P)."""
BORDER = 0.05
"""Chance by which a vehicle may miss a letter's bound and still count as lying on the border."""

_AS_FOLLOWER = {"lower-ball-joint": "lower-follower-ball-joint"}
"""What a part is called where it carries nothing."""
_AT_LINK_END = {"idler-arm": "idler-arm-second"}
"""What a part is called where two of it carry the center link: the one at the link's free end is meant."""


@dataclass(frozen=True)
class Answer:
    """What the model says of one cell on one vehicle: the best of the part's own watches, and what else adds."""

    cell: Mapping[str, Any]
    vehicle: str
    part: str
    seen: Shown
    adds: Mapping[str, float]

    @property
    def refused(self) -> bool:
        """Whether the check's file leaves this support out, so that no visit can record the check there."""
        return self.cell["support"] not in load_catalogue().checks[self.cell["check"]].supports

    @property
    def as_computed(self) -> bool:
        """Whether the chance alone is what the letter says: V from 0.9, X up to 0.1, P more than 0.1.

        A P that is seen for certain is one under its named condition: others' play adds, or something in `why`.
        """
        expected = self.cell["expected"]
        if expected == "V":
            return self.seen.chance >= SHOWS
        if expected == "X":
            return self.seen.chance <= HIDES
        return self.seen.chance > HIDES and all(share > ADDS for share in self.adds.values())

    @property
    def agrees(self) -> bool:
        """Whether the program says what the letter says: an X also by refusing the check, a V only by taking it."""
        if self.cell["expected"] == "X":
            return self.as_computed or self.refused
        return self.as_computed and not (self.cell["expected"] == "V" and self.refused)


@cache
def table() -> Mapping[str, Any]:
    """The table's file."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def on_the_border(found: Mapping[str, Any]) -> bool:
    """Whether a recorded answer that disagrees misses its letter's bound by chance alone, and by BORDER at most."""
    chance: float = found["chance"]
    missed = {"V": SHOWS - chance, "X": chance - HIDES, "P": HIDES - chance}[found["expected"]]
    return -1e-9 <= missed <= BORDER + 1e-9


def computed_cells() -> list[Mapping[str, Any]]:
    """Cells that mechanics decides."""
    return [cell for cell in table()["cell"] if cell["computed"]]


def place(cell: Mapping[str, Any]) -> str:
    """Row, layout, support and check of a cell in words."""
    return f"{cell['row']} | {cell['layout']} | {cell['support']} | {cell['check']}"


def part_of(vehicle: Vehicle, kind: str) -> str | None:
    """The left or only part of a kind, or of a role, that the vehicle has; None where there is none."""
    if kind in ("carrier", "follower"):
        return _by_load_path(vehicle.id, kind)
    names = (_AT_LINK_END.get(kind, kind), f"{kind}-left", kind)
    return next((name for name in names if name in vehicle.parts), None)


@cache
def _by_load_path(vehicle_id: str, role: str) -> str | None:
    vehicle = load_vehicles()[vehicle_id]
    setup = Setup("", "wheels", None, "held", "off", 0.0)
    standing = hold(vehicle, nominal_specimen(vehicle), setup, nominal_preload(vehicle_id))
    carries = carrier(vehicle, standing, "left").id
    return carries if role == "carrier" else follower(vehicle, standing, "left").id


def vehicles_of(cell: Mapping[str, Any]) -> list[tuple[Vehicle, str]]:
    """Vehicles that a cell means, with the part in question."""
    found = [(vehicle, part_of(vehicle, cell["part"])) for vehicle in meant(cell["layout"], cell["support"])]
    return [(vehicle, part) for vehicle, part in found if part is not None]


def waits(cell: Mapping[str, Any]) -> bool:
    """Whether no vehicle yet has the cell's layout."""
    return not vehicles_of(cell)


def answers(cell: Mapping[str, Any]) -> Iterator[Answer]:
    """What the model says of a cell, on every vehicle that it means."""
    for vehicle, part in vehicles_of(cell):
        yield answer(cell, vehicle, part)


def answer(cell: Mapping[str, Any], vehicle: Vehicle, part: str) -> Answer:
    """What the model says of a cell on one vehicle."""
    axis: Axis = cell.get("axis_here", cell["axis"])
    nothing, seen = Shown("", 0.0, 0.0), []
    adds: dict[str, float] = {}
    # What a P asks for may be another support: then that one stands for it.
    for setup in both_sides(usual_setup(cell["check"], cell.get("condition_support", cell["support"]))):
        found = tried(vehicle.id, setup, tuple(cell["condition_held"]) if "condition_held" in cell else None)
        if found is not None:
            seen.append(shown(vehicle, found, part, axis, own_watches(found, part, axis)))
            adds = adds or _adds(cell, vehicle, found)
    return Answer(cell, vehicle.id, part, max(seen, key=lambda each: each.chance, default=nothing), adds)


def _adds(cell: Mapping[str, Any], vehicle: Vehicle, found: Tried) -> dict[str, float]:
    """By how much of their own radial clearance other parts move the tread."""
    others = [part_of(vehicle, kind) or part_of(vehicle, _AS_FOLLOWER[kind]) for kind in cell.get("also_shows", ())]
    return {other: shown(vehicle, found, other, "radial", ("tread",)).share for other in others if other is not None}
