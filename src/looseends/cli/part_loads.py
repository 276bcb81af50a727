"""What the knuckle's joints carry in each support, from the load path: why one hides what another shows."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from looseends.cli.output import console

if TYPE_CHECKING:
    from looseends.vehicle.load_path import JointLoad
    from looseends.vehicle.vehicle import Vehicle

STATES = {
    "L": "carries the vehicle",
    "R": "shut by the spring against a stop",
    "H": "carries what hangs on it",
    "U": "free: its play can show",
}
SUPPORTS = ("wheels", "frame", "arm", "axle")
"""Supports whose loads are told, where the vehicle has them; the left side stands for both."""


def loads_record(vehicle: Vehicle) -> list[dict[str, Any]]:
    """Every load as a record for another program."""
    return [{"support": support, "role": role, **asdict(load)} for support, role, load in _loads(vehicle)]


def print_loads(vehicle: Vehicle) -> None:
    """A table of loads, and the caution for what the spring stores."""
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for heading in ("part", "support", "load N", "state", "ball in its housing"):
        table.add_column(heading)
    for support, _, load in _loads(vehicle):
        force = f"{(load.down**2 + load.across**2) ** 0.5:.0f}"
        table.add_row(load.part, support, force, STATES[load.state], load.seating or "")
    out = console()
    out.print(table)
    for words in _cautions(vehicle):
        out.print(words)


def _loads(vehicle: Vehicle) -> Iterator[tuple[str, str, JointLoad]]:
    """Support, role and load of the carrier and the follower of the left side."""
    from looseends.errors import MechanicsError
    from looseends.vehicle.load_path import carrier, follower, joint_load
    from looseends.vehicle.setup import Setup
    from looseends.vehicle.shake import hold, preload_of
    from looseends.vehicle.specimen import nominal_specimen

    specimen, preload = nominal_specimen(vehicle), preload_of(vehicle)
    held = {
        support: hold(vehicle, specimen, Setup("", support, None, "held", "off", 0.0), preload)
        for support in SUPPORTS
        if support in vehicle.layout.supports
    }
    parts = {"carrier": carrier(vehicle, held["wheels"], "left")}
    with suppress(MechanicsError):  # king pins and solid axles have none
        parts["follower"] = follower(vehicle, held["wheels"], "left")
    for role, part in parts.items():
        for support, standing in held.items():
            yield support, role, joint_load(vehicle, standing, part)


def _cautions(vehicle: Vehicle) -> tuple[str, ...]:
    """What the spring stores as the vehicle stands on its wheels."""
    from looseends.vehicle.setup import Setup
    from looseends.vehicle.shake import hold, preload_of
    from looseends.vehicle.specimen import nominal_specimen
    from looseends.vehicle.stored_spring import danger

    setup = Setup("", "wheels", None, "held", "off", 0.0)
    found = danger(vehicle, hold(vehicle, nominal_specimen(vehicle), setup, preload_of(vehicle)), "left")
    return () if found is None else (found.text,)
