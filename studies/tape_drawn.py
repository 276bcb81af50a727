"""Vehicles for the study of those known by tape: what their files state, and how drawn ones differ from them."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path

import numpy as np

from looseends.errors import LooseEndsError, MechanicsError
from looseends.vehicle.groups import groups_of, stem_of
from looseends.vehicle.lean import turned
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.scatter import drawn_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part, Vehicle
from studies.truth import StandingVehicle, draw_vehicle, shifted

TEMPLATE = "yard-pickup"
COUNT = 300
"""Vehicles a row."""

FEWER = 100
"""Vehicles of the row that only tells what structure is worth."""

TRIES = 20
"""So often a vehicle is drawn until one can rest in every support."""

OWN_MM, LEAN_DEG = 3.0, 1.0
SHAFT_SPAN_MM = 62.0
"""How far the two ends of an idler shaft or a sector shaft stand apart."""


@dataclass(frozen=True)
class Row:
    """One row: the spread that the file states [mm] (None: the template as it ships), and whether axes are kept."""

    stated_mm: float | None
    axes_kept: bool = True
    count: int = COUNT

    @property
    def vehicle_id(self) -> str:
        """The vehicle that the diagnosis believes in."""
        return TEMPLATE if self.stated_mm is None else f"taped-{self.stated_mm:g}"


KNOWN = "geometry known"
ROWS = {
    KNOWN: Row(None),
    "10 mm, structure kept": Row(10.0),
    "20 mm, structure kept": Row(20.0),
    "10 mm, ends of axes apart": Row(10.0, axes_kept=False, count=FEWER),
}


@contextmanager
def taped() -> Iterator[None]:
    """The template with each stated spread, as vehicles of a user's own for as long as the block lasts."""
    before = os.environ.get(FOLDER_VARIABLE)
    with tempfile.TemporaryDirectory() as folder:
        for row in ROWS.values():
            if row.stated_mm is not None:
                (Path(folder) / f"{row.vehicle_id}.toml").write_text(_text(row), encoding="utf-8")
        os.environ[FOLDER_VARIABLE] = folder
        try:
            yield
        finally:
            os.environ.pop(FOLDER_VARIABLE)
            if before is not None:
                os.environ[FOLDER_VARIABLE] = before


def _text(row: Row) -> str:
    text = (resources.files("looseends.vehicle") / "data" / "vehicles" / f"{TEMPLATE}.toml").read_text(encoding="utf-8")
    lines = [text.replace(f'id = "{TEMPLATE}"', f'id = "{row.vehicle_id}"', 1), "[spread]"]
    for name, group in groups_of(load_vehicles()[TEMPLATE].points).items():
        lean = f", lean_deg = {LEAN_DEG}" if group.lean_deg is not None else ""
        lines.append(f"{name} = {{ common_mm = {row.stated_mm}, own_mm = {OWN_MM}{lean} }}")
    return "\n".join(lines) + "\n"


def drawn(believed: Vehicle, row: Row, seed: int, setups: Sequence[Setup], among: Sequence[Part]) -> StandingVehicle:
    """A drawn vehicle, shaken in every setup, some of whose parts `among` these are worn.

    One that cannot rest is drawn again.

    Raises
    ------
    LooseEndsError
        If none of many can rest.
    """

    def elsewhere(vehicle: Vehicle, rng: np.random.Generator) -> Vehicle:
        return _elsewhere(vehicle, row, rng)

    for number in range(TRIES):
        try:
            return draw_vehicle(believed, setups, np.random.default_rng([seed, 1, number]), elsewhere, among)
        except MechanicsError:
            continue
    raise LooseEndsError(f"vehicle {seed} of {row} cannot rest in {TRIES} draws")


def _elsewhere(vehicle: Vehicle, row: Row, rng: np.random.Generator) -> Vehicle:
    """The vehicle with its joint centers moved as the row says."""
    if row.stated_mm is None:
        return shifted(vehicle, rng)
    drawn = drawn_vehicle(vehicle, rng, 0.0, 0.0)
    return drawn if row.axes_kept else _ends_apart(drawn, row.stated_mm, rng)


def _ends_apart(vehicle: Vehicle, apart_mm: float, rng: np.random.Generator) -> Vehicle:
    """The vehicle with each end of every shaft and axis moved for itself, both sides alike."""
    points, layout = dict(vehicle.points), vehicle.layout
    for group in (group for group in groups_of(vehicle.points).values() if group.lean_deg is not None):
        layout = turned(layout, group.turned, rng.normal(0.0, np.sqrt(2.0) * apart_mm / SHAFT_SPAN_MM, 2))
        moves = {stem: rng.normal(0.0, apart_mm, 3) for stem in group.points}
        for name in (name for name in vehicle.points if stem_of(name) in moves and not group.turned):
            mirror = np.array([1.0, -1.0 if name.endswith("-right") else 1.0, 1.0])
            x, y, z = (float(v) for v in vehicle.point(name) + mirror * moves[stem_of(name)])
            points[name] = (x, y, z)
    return replace(vehicle, points=points, layout=layout)
