"""Names of a mechanism's bodies and elements, from those of a layout and a side."""

from __future__ import annotations

from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import SIDES, Vehicle


def sides_of(sided: bool) -> tuple[Side | None, ...]:
    """Both sides of what is sided, else the one that is none."""
    return SIDES if sided else (None,)


def named(name: str, side: Side | None) -> str:
    """The name with its side behind it."""
    return name if side is None else f"{name}-{side}"


def body_name(vehicle: Vehicle, name: str, side: Side | None) -> str:
    """Name of a body as seen from a sided element: its own side's body where there is one."""
    sided = {body.id for body in vehicle.layout.bodies if body.sided}
    return named(name, side) if name in sided and side is not None else name
