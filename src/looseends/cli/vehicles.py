"""`looseends vehicles`: the vehicles that are known."""

from __future__ import annotations

from looseends.cli.options import AsJson
from looseends.cli.output import console, print_json


def vehicles(as_json: AsJson = False) -> None:
    """List the vehicles that are known.

    For each: its id, its name and how it is built.
    """
    from looseends.vehicle.loading import load_vehicles  # numpy: --help need not wait for it

    known = load_vehicles().values()
    if as_json:
        print_json(
            [
                {"id": v.id, "name": v.name, "description": v.description, "layout": v.layout.id, "source": v.source}
                for v in known
            ]
        )
        return
    for vehicle in known:
        console().print(f"{vehicle.id}: {vehicle.name}, {vehicle.description}", soft_wrap=True)
