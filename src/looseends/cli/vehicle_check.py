"""`looseends vehicle check`: whether a vehicle file holds, and what it leaves open."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from looseends.cli.options import AsJson
from looseends.cli.output import console, print_json

if TYPE_CHECKING:
    from looseends.vehicle.vehicle import Vehicle

VehicleFileArgument = Annotated[
    Path, typer.Argument(metavar="FILE", help="A vehicle file; docs/adding-a-vehicle.md tells how to write one.")
]
_WIDEST = 5


def vehicle_check(file: VehicleFileArgument, as_json: AsJson = False) -> None:
    """Check a vehicle file.

    Reads it, finds out how hard its springs push so that it stands at its height, and says what is not known of it:
    shafts whose direction nobody measured, and the joint centers with the widest spread, each with what to measure.
    Ends with 2 and one sentence where something in the file is wrong, and with 1 where the vehicle cannot stand.
    """
    if as_json:
        print_json({"file": file, **checked_record(file)})
    else:
        print_checked(file)


def checked_record(path: Path) -> dict[str, Any]:
    """What is to be said of a vehicle file.

    Raises
    ------
    InputError
        If it is no vehicle file.
    MechanicsError
        If the vehicle cannot stand at its height.
    """
    from looseends.vehicle.tape.known import unknown_shafts, widest_groups

    vehicle, preload = _standing(path)
    return {
        "id": vehicle.id,
        "layout": vehicle.layout.id,
        "parts": len(vehicle.parts),
        "spring_push_of_load": dict(preload),
        "by_tape": vehicle.spread is not None,
        "unknown_shafts": [{"group": g.id, "measure": g.measure} for g in unknown_shafts(vehicle)],
        "widest": [{"group": g.id, "spread_mm": mm, "measure": g.measure} for g, mm in widest_groups(vehicle, _WIDEST)],
    }


def print_checked(path: Path) -> None:
    """Say what is to be said of a vehicle file; raises as `checked_record`."""
    from looseends.vehicle.tape.known import unknown_shafts, widest_groups

    vehicle, _ = _standing(path)
    out = console()
    out.print(f"{vehicle.id}: {vehicle.description}; {len(vehicle.parts)} parts, stands at its height.", soft_wrap=True)
    if vehicle.spread is None:
        out.print("Its joint centers are taken as drawn: the file gives no [spread].")
        return
    for group in unknown_shafts(vehicle):
        out.print(f"Not known: the direction of {group.words}. To know it, {group.measure}.", soft_wrap=True)
    out.print("Known least, with the spread of each (1 sigma):")
    for group, mm in widest_groups(vehicle, _WIDEST):
        out.print(f"  {group.words}, {mm:.0f} mm: {group.measure}.", soft_wrap=True)


def _standing(path: Path) -> tuple[Vehicle, dict[str, float]]:
    from looseends.cli.first_start import compile_once
    from looseends.vehicle.loading import own_vehicle
    from looseends.vehicle.preload import carrying_preload
    from looseends.vehicle.specimen import nominal_specimen

    vehicle = own_vehicle(path)
    compile_once()
    return vehicle, dict(carrying_preload(vehicle, nominal_specimen(vehicle)))
