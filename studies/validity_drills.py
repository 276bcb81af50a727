"""The separation drills of the trade, each looked at before and after on every vehicle that can show it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Axis
from looseends.diagnosis.observed.likelihood import FREE, TOTAL
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import reject_clearance
from looseends.mechanics.bodies import Array
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.strokes import offers
from looseends.vehicle.vehicle import SIDES, Vehicle
from studies.layout_words import fits, held_so
from studies.stamp import ROOT
from studies.validity_cells import part_of, table
from studies.validity_chances import usual_setup

VIEWS = ROOT / "tests" / "trade" / "drill_views.toml"
VANISHES, STAYS = 0.2, 0.5
"""A movement has vanished where at most so much of it is left, and stayed from so much on, before over after."""
SEEN = 0.2
"""Share of the play that must be seen beforehand, or there is nothing to vanish or to stay."""

Drill = Mapping[str, Any]


@dataclass(frozen=True)
class Looked:
    """A drill on one vehicle: what is seen before and after [mm], and the part's reject clearance [mm]."""

    drill: Drill
    vehicle: str
    before: float
    after: float
    clearance: float

    @property
    def seen(self) -> bool:
        """Whether there was a movement to begin with."""
        return self.before >= SEEN * self.clearance

    @property
    def agrees(self) -> bool:
        """Whether the movement vanishes or stays as the trade says."""
        if self.drill["movement"] == "vanishes":
            return self.seen and self.after <= VANISHES * self.before
        return self.seen and self.after >= STAYS * min(self.before, self.clearance)


def computed_drills() -> list[Drill]:
    """Drills that mechanics decides."""
    return [drill for drill in table()["drill"] if drill["computed"]]


def view_of(drill: Drill, vehicle: Vehicle) -> Mapping[str, Any] | None:
    """Where a drill is looked at on a vehicle; None where no view is for its layout."""
    views = [v for v in _views() if v["drill"] == drill["drill"] and v.get("worn", drill["worn"]) == drill["worn"]]
    return next((view for view in views if fits(vehicle, view.get("layout", "any"))), None)


@cache
def _views() -> list[Mapping[str, Any]]:
    found: list[Mapping[str, Any]] = tomllib.loads(VIEWS.read_text(encoding="utf-8"))["view"]
    return found


def looked_at(drill: Drill) -> Iterator[Looked]:
    """A drill on every vehicle that has the worn part, can be held so, and is offered the checks and watches."""
    for vehicle in load_vehicles().values():
        part, view = part_of(vehicle, drill["worn"]), view_of(drill, vehicle)
        if part is None or view is None or not held_so(vehicle, drill["support"]):
            continue
        tried = [
            _on_side({**drill, "axis": axis}, vehicle, part, view, side)
            for side in SIDES
            for axis in view.get("axes", [drill["axis"]])
            if axis in _worn_axes(vehicle, part)
        ]
        # A check with sides is done at either wheel: what shows more there counts, the left one first.
        yield from sorted((t for t in tried if t is not None), key=lambda looked: -round(looked.before, 3))[:1]


def _on_side(drill: Drill, vehicle: Vehicle, part: str, view: Mapping[str, Any], side: Side) -> Looked | None:
    before, after = (_seen(drill, vehicle, part, view[when], side) for when in ("before", "after"))
    if before is None or after is None:
        return None
    return Looked(drill, vehicle.id, before, after, reject_clearance(vehicle.parts[part], drill["axis"]))


def _worn_axes(vehicle: Vehicle, part: str) -> list[Axis]:
    figure = vehicle.parts[part].figure
    have = {"radial": figure and figure.radial.reject, "axial": figure and figure.axial.reject}
    axes: tuple[Axis, Axis] = ("radial", "axial")
    return [axis for axis in axes if have[axis]]


def _seen(drill: Drill, vehicle: Vehicle, part: str, look: Mapping[str, str], side: Side) -> float | None:
    """Movement [mm] at one place; None where the vehicle has no such check or watch."""
    clearance = reject_clearance(vehicle.parts[part], drill["axis"])
    if look["watch"] == "clearance":
        return clearance
    setup = usual_setup(look.get("check", drill["check"]), drill["support"])
    setup = setup if setup.side is None else replace(setup, side=side)
    solver = _solver(vehicle.id, replace(setup, brake="on") if look.get("brake") == "on" else setup)
    along = ".axial" if drill["axis"] == "axial" else ""
    watch = look["watch"].replace("{worn}", part).replace("{along}", along)
    if solver is None or watch not in solver.watches:
        return None
    sound, worn = solver.sound, solver.movements({(part, drill["axis"]): clearance})
    movement: Array = {"sound": sound, "worn": worn}.get(look.get("of", "change"), worn - sound)
    return float(movement[solver.watches.index(watch), TOTAL if look.get("reads") == "total" else FREE])


@cache
def _solver(vehicle_id: str, setup: Setup) -> Solver | None:
    """The nominal vehicle, set up."""
    vehicle = load_vehicles()[vehicle_id]
    if not offers(vehicle, resolve_check(load_catalogue().checks[setup.check], setup.side)):
        return None
    specimen = nominal_specimen(vehicle)
    return Solver(vehicle, specimen, prepare_check(vehicle, specimen, setup, nominal_preload(vehicle_id)))
