"""Springs that carry the vehicle: torsion bars, leaves, coils, and how hard they push at the design pose."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from looseends.mechanics.bodies import Array, axes_along
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Spring, TorsionSpring
from looseends.mechanics.springs import beam_stiffness
from looseends.vehicle.layout_types import LayoutAirSpring, LayoutSpring, LayoutTorsion
from looseends.vehicle.names import body_name, named
from looseends.vehicle.setup import Side
from looseends.vehicle.vehicle import Vehicle

Preload = Mapping[str, float]
"""How hard the springs of each end push, as a multiple of the load of its tires, by end."""

AIR_MPA = 0.101325
"""Pressure of the air outside [MPa]. Source: standard atmosphere, ISO 2533."""

_UPRIGHT = 0.99
"""Share of a direction that points up, from which on up is no help to tell its axes."""


def torsion_rate(vehicle: Vehicle) -> float:
    """Rate of a torsion bar [N·mm/rad]: G π d⁴ / 32 L. Source: strength of materials, round bar in torsion."""
    n = vehicle.numbers
    polar = np.pi * n["torsion_bar_diameter_mm"] ** 4 / 32.0
    return float(n["torsion_bar_shear_modulus_MPa"] * polar / n["torsion_bar_active_length_mm"])


def torsion_torque(vehicle: Vehicle, torsion: LayoutTorsion, preload: Preload) -> float:
    """Torque [N·mm] of a torsion bar at the design pose: the tire's load at the arm's length, times its preload."""
    outer, pivot = (vehicle.point(f"{name}-left") for name in (torsion.pushes_down, str(torsion.axis[0])))
    return preload[torsion.carries] * _load(vehicle, torsion.carries) * abs(float(outer[1] - pivot[1]))


def _load(vehicle: Vehicle, end: str) -> float:
    return vehicle.numbers[f"{end}_corner_kg"] * GRAVITY


def torsion_element(vehicle: Vehicle, torsion: LayoutTorsion, side: Side | None, preload: Preload) -> TorsionSpring:
    """The torsion bar of one side."""
    axis = vehicle.direction(torsion.axis, side)
    axis = axis / float(np.linalg.norm(axis))
    outer = vehicle.point(vehicle.on_side(torsion.pushes_down, side))
    pivot = vehicle.point(vehicle.on_side(str(torsion.axis[0]), side))
    down = -np.sign(np.cross(axis, outer - pivot)[2])
    a, b = body_name(vehicle, torsion.a, side), body_name(vehicle, torsion.b, side)
    torque = float(down * (torsion_torque(vehicle, torsion, preload) + torsion_rate(vehicle) * torsion.wound))
    return TorsionSpring(named(torsion.id, side), a, b, axis, torsion_rate(vehicle), torque)


def spring_element(vehicle: Vehicle, spring: LayoutSpring, side: Side | None, preload: Preload) -> Spring:
    """The spring of one side; one that carries an end pushes with its share of that end's preload."""
    along = vehicle.direction(spring.axis, side)
    axes = upright_axes(along)
    stiffness = _stiffness(vehicle, spring, float(np.linalg.norm(along)))
    force = np.zeros(3)
    if spring.carries is not None:
        push = vehicle.direction(spring.push, side)
        size = preload[spring.carries] * spring.share * _load(vehicle, spring.carries) + spring.packed * stiffness[2, 2]
        force = size * axes.T @ push / float(np.linalg.norm(push))
    return Spring(
        name=named(spring.id, side),
        body_a=body_name(vehicle, spring.a, side),
        body_b=body_name(vehicle, spring.b, side),
        point=vehicle.place(spring.at, side),
        axes=axes,
        stiffness=stiffness,
        preload=np.concatenate([force, np.zeros(3)]),
        bows=float(np.linalg.norm(along)) if spring.bows else 0.0,
    )


def air_spring_element(
    vehicle: Vehicle, air: LayoutAirSpring, side: Side | None, preload: Preload, vented: bool
) -> Contact:
    """The air spring of one side: it presses by what it carries, and is slack when it is drawn out past its force.

    `vented`: where the axle hangs, the height valve has let the air out, and nothing presses.

    Rate (F + p₀ A) / h of a column of air of area A and height h that presses with F over the pressure p₀ outside.
    Source: Boyle's law, for a movement slow enough to stay as warm as it was; the height valve shut.
    """
    force = 0.0 if vented else preload[air.carries] * air.share * _load(vehicle, air.carries)
    rate = (force + AIR_MPA * vehicle.number(air.area)) / vehicle.number(air.height)
    push = vehicle.direction(air.push, side)
    a, b = body_name(vehicle, air.a, side), body_name(vehicle, air.b, side)
    at = vehicle.place(air.at, side)
    return Contact(named(air.id, side), a, b, at, push / float(np.linalg.norm(push)), -force / rate, rate)


def _stiffness(vehicle: Vehicle, spring: LayoutSpring, length: float) -> Array:
    if spring.rates is not None:
        return np.diag([vehicle.number(rate) for rate in spring.rates])
    assert spring.beam is not None
    tension, upright, level, torsion = (vehicle.number(value) for value in spring.beam)
    # x is up: bending upright turns about y, bending level about x.
    return beam_stiffness(length, tension, level, upright, torsion)


def upright_axes(along: Array) -> Array:
    """Right-handed axes (3, 3), columns x, y, z: z along, x as near up as can be."""
    z = along / float(np.linalg.norm(along))
    if abs(z[2]) > _UPRIGHT:
        return axes_along(along)
    x = np.array([0.0, 0.0, 1.0]) - z[2] * z
    x /= float(np.linalg.norm(x))
    return np.column_stack([x, np.cross(z, x), z])
