"""Bodies of a vehicle: those of its layout, and the frame with all that its springs carry."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.bodies import Array, Body
from looseends.vehicle.compose import FRAME
from looseends.vehicle.names import named, sides_of
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import SIDES, Vehicle


def body_centers(vehicle: Vehicle) -> dict[str, Array]:
    """Center (3,) [mm] of every body at the design pose, by name."""
    return {body.name: body.center for body in mechanism_bodies(vehicle)}


def body_names(vehicle: Vehicle) -> frozenset[str]:
    """Name of every body."""
    return frozenset(
        {FRAME, *(named(body.id, side) for body in vehicle.layout.bodies for side in sides_of(body.sided))}
    )


def corner_weights(vehicle: Vehicle) -> dict[str, float]:
    """Mass [kg] on each tire, standing level, by the name of its hub."""
    return {
        named(wheel.body, side): vehicle.numbers[f"{wheel.end}_corner_kg"]
        for wheel in vehicle.layout.wheels
        for side in SIDES
    }


def mechanism_bodies(vehicle: Vehicle) -> tuple[Body, ...]:
    """The frame first, then the bodies of the layout."""
    others = [_body(vehicle, number, side) for number, side in _sided(vehicle)]
    return (_frame(vehicle, others), *others)


def _sided(vehicle: Vehicle) -> list[tuple[int, Side | None]]:
    return [(n, side) for n, body in enumerate(vehicle.layout.bodies) for side in sides_of(body.sided)]


def _body(vehicle: Vehicle, number: int, side: Side | None) -> Body:
    body = vehicle.layout.bodies[number]
    return Body(named(body.id, side), body.mass, vehicle.place(body.at, side))


def _frame(vehicle: Vehicle, others: list[Body]) -> Body:
    """What is left of the corners' weight, with its center where the tires then carry that weight each.

    Balance of moments about the ground: Σ corner × place of its tire = Σ mass × center, along and across.
    """
    corners = corner_weights(vehicle)
    total, moment = sum(corners.values()), np.zeros(3)
    for wheel in vehicle.layout.wheels:
        for side in SIDES:
            moment += corners[named(wheel.body, side)] * vehicle.point(f"{wheel.prefix}tire-contact-{side}")
    mass = total - sum(body.mass for body in others)
    center = (moment - sum((body.mass * body.center for body in others), np.zeros(3))) / mass
    return Body(FRAME, mass, np.array([center[0], center[1], vehicle.numbers["frame_center_height_mm"]]))
