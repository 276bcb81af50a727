"""`looseends parts`: what can be worn on a vehicle, and where its clearance is measured."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from looseends.catalogue.types import AxisFigures
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.options import AsJson, VehicleId
from looseends.cli.output import console, print_json
from looseends.cli.part_loads import loads_record, print_loads
from looseends.cli.worn_parts import axes_of

if TYPE_CHECKING:
    from looseends.vehicle.vehicle import Part, Vehicle


Loads = Annotated[
    bool,
    typer.Option("--loads", help="Tell instead what the knuckle's joints carry in each support, and which way."),
]


def parts(vehicle: VehicleId, loads: Loads = False, as_json: AsJson = False) -> None:
    """List the parts of a vehicle.

    For each: its kind and side, where and how its clearance is measured, what a sound one may have, and from where on
    it is rejected, across its axis (radial) and along it (axial), in mm of total travel, with what the figure rests
    on. The vehicle maker's own limit comes first.
    """
    known = known_vehicle(vehicle, "parts")
    if loads:
        print_json(loads_record(known)) if as_json else print_loads(known)
    elif as_json:
        print_json([_record(part) for part in known.parts.values()])
    else:
        _print_table(known)


def _record(part: Part) -> dict[str, Any]:
    figure = part.figure
    return {
        "id": part.id,
        "name": part.name,
        "kind": part.kind.id,
        "side": part.side,
        "judged_by": "clearance and condition" if figure else "condition",
        "how_shown": part.kind.how_shown,
        "axes": {
            axis: {
                "measured": figures.measured,
                "sound_mm": [figures.sound_clearance.lo, figures.sound_clearance.hi],
                "reject_mm": figures.reject,
            }
            for axis, figures in axes_of(part).items()
        },
        "basis": figure.basis if figure else None,
        "source": figure.source if figure else part.kind.source,
    }


def _print_table(vehicle: Vehicle) -> None:
    from rich import box
    from rich.table import Table  # --json and --help need not wait for it

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("part", "axis", "sound mm", "reject mm", "measured", "basis"):
        table.add_column(heading, no_wrap=heading == "part")  # an id must stay whole to be copied
    of_kind: dict[str, list[Part]] = {}
    for part in vehicle.parts.values():
        of_kind.setdefault(part.kind.id, []).append(part)
    for alike in of_kind.values():
        figure = alike[0].figure
        # both sides share their figures, so they share their rows
        cells = ["\n".join(part.id for part in alike), f"{figure.basis} ({figure.source})" if figure else ""]
        for axis, figures in axes_of(alike[0]).items():
            table.add_row(cells[0], axis, _band(figures), _reject(figures), figures.measured, cells[1])
            cells = ["", ""]
    by_condition = [part.id for part in vehicle.parts.values() if part.figure is None]
    out = console()
    out.print(table)
    out.print(f"Judged by condition only, without a clearance: {', '.join(by_condition)}.")


def _band(figures: AxisFigures) -> str:
    return f"{figures.sound_clearance.lo:g} to {figures.sound_clearance.hi:g}"


def _reject(figures: AxisFigures) -> str:
    return "no figure" if figures.reject is None else f"over {figures.reject:g}"
