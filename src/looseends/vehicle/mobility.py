"""Whether a vehicle's mechanism holds together, and whether its wheels can bounce and be steered."""

from __future__ import annotations

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.assembler import Assembler, LinearSystem
from looseends.mechanics.assembly import load_vector
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.constants import ROTATION_LENGTH
from looseends.mechanics.elements import Contact
from looseends.mechanics.model import Force, Mechanism, Poses
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import SIDES, Vehicle

_TIPPED_OVER = 1.0
"""Turn [rad] by its weight beyond which nothing but drag and rubber at rest keeps a body: assumed."""
_MOST_BOUNCE_HZ = 3.5
"""Frequency of a corner's weight on its wheel's rate above which the wheel does not bounce; an unladen truck's rear
reaches 3, from memory. Source of the formula: single-mass oscillator."""
_LEAST_STEER = 1.0 / 150.0
"""Turn of a road wheel per turn of the steering wheel below which it is not steered. Assumed."""


def refuse_immobile(vehicle: Vehicle, specimen: Specimen) -> None:
    """Refuse a vehicle of which a body is held by nothing, or a wheel cannot bounce or be steered.

    Raises
    ------
    MechanicsError
        Naming the body or the wheel.
    """
    push = {wheel.end: 0.9 for wheel in vehicle.layout.wheels}
    standing = build_mechanism(vehicle, specimen, Setup("", "wheels", None, "held", "off", 0.0), push)
    _refuse_loose(vehicle, standing)
    if "frame" in vehicle.layout.supports:
        hanging = build_mechanism(vehicle, specimen, Setup("", "frame", None, "free", "off", 0.0), push)
        _refuse_locked(vehicle, hanging)


def _refuse_loose(vehicle: Vehicle, mechanism: Mechanism) -> None:
    joined = {GROUND}
    pairs = [pair for e in mechanism.elements if not isinstance(e, Contact) for pair in e.pairs]
    while fresh := {body for pair in pairs if joined & set(pair) for body in pair} - joined:
        joined |= fresh
    loose = [body.name for body in mechanism.bodies if body.name not in joined]
    if loose:
        raise MechanicsError(
            refusal(
                "{vehicle}: the body {body} is held by nothing; it needs a joint or a spring",
                vehicle=vehicle.id,
                body=loose[0],
            )
        )
    system = Assembler(mechanism).system(dict(mechanism.design_poses()))
    stiff, pushes = _sprung(system)
    u = _moved(system, stiff, system.F + pushes)
    body = max(u, key=lambda name: float(np.linalg.norm(u[name][3:])))
    if float(np.linalg.norm(u[body][3:])) > _TIPPED_OVER * ROTATION_LENGTH:
        raise MechanicsError(
            refusal(
                "{vehicle}: the mechanism falls apart, nothing keeps the body {body} from tipping over by its "
                "weight; it needs a joint or guide that does",
                vehicle=vehicle.id,
                body=body,
            )
        )


def _refuse_locked(vehicle: Vehicle, mechanism: Mechanism) -> None:
    poses = dict(mechanism.design_poses())
    system = Assembler(mechanism).system(poses)
    for wheel in vehicle.layout.wheels:
        centers = {f"{wheel.body}-{side}": vehicle.point(f"{wheel.center}-{side}") for side in SIDES}
        up = [Force(hub, center, np.array([0.0, 0.0, 1.0])) for hub, center in centers.items()]
        u = _answer(system, load_vector(up, system.columns, poses))
        for hub in centers:
            rate, mass = 1.0 / max(float(u[hub][2]), 1e-9), vehicle.numbers[f"{wheel.end}_corner_kg"]
            bounce = float(np.sqrt(1000.0 * rate / mass)) / (2.0 * np.pi)
            if bounce > _MOST_BOUNCE_HZ:
                raise MechanicsError(
                    refusal(
                        "{vehicle}: the wheel of {hub} cannot bounce, {rate} N lift it by 1 mm, {bounce} Hz with its "
                        "{mass} kg; accepted is up to {most} Hz, look at the pivots of its arms",
                        vehicle=vehicle.id,
                        hub=hub,
                        rate=f"{rate:,.0f}",
                        bounce=f"{bounce:.1f}",
                        mass=f"{mass:g}",
                        most=f"{_MOST_BOUNCE_HZ:g}",
                    )
                )
    _refuse_unsteered(vehicle, system, poses)


def _refuse_unsteered(vehicle: Vehicle, system: LinearSystem, poses: Poses) -> None:
    rim = vehicle.layout.rim
    if rim is None:
        return
    axis = vehicle.direction(rim.axis, None)
    axis = axis / float(np.linalg.norm(axis))
    F = np.zeros(6 * len(system.columns))
    F[system.columns[rim.body]][3:] = axis
    u = _answer(system, F)
    turned = abs(float(u[rim.body][3:] @ axis))
    front = next(wheel for wheel in vehicle.layout.wheels if wheel.end == "front")
    for side in SIDES:
        hub = f"{front.body}-{side}"
        if abs(float(u[hub][5])) < _LEAST_STEER * turned:
            raise MechanicsError(
                refusal(
                    "{vehicle}: the wheel of {hub} cannot be steered, a turn at the steering wheel does not reach "
                    "it; look at its steering arm and at the linkage",
                    vehicle=vehicle.id,
                    hub=hub,
                )
            )


def _sprung(system: LinearSystem) -> tuple[Array, Array]:
    """Stiffness (n, n) of all that holds at the design pose, without open stops, and its springs' forces (n,)."""
    open_stops = [
        system.unknown_rows[block.start]
        for block in system.blocks
        if block.kind == "half-line" and system.e0[system.unknown_rows[block.start]] > 0.0
    ]
    J, e0 = (np.delete(rows, open_stops, axis=0) for rows in (system.J, system.e0))
    return J.T @ J, -J.T @ e0


def _answer(system: LinearSystem, F: Array) -> dict[str, Array]:
    """Movement of every body under a small load, every clearance locked."""
    return _moved(system, _sprung(system)[0], F)


def _moved(system: LinearSystem, stiffness: Array, F: Array) -> dict[str, Array]:
    u: Array = np.asarray(np.linalg.lstsq(stiffness, F, rcond=1e-13)[0], dtype=np.float64)
    return {name: u[columns] for name, columns in system.columns.items()}
