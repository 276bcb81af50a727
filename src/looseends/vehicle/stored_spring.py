"""What a spring of the front still stores as the vehicle is held, and the caution that goes with so much force."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal

import numpy as np

from looseends.mechanics.elements import rows
from looseends.mechanics.rows import turn_length
from looseends.vehicle.compose import FRAME
from looseends.vehicle.names import named
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Held
from looseends.vehicle.vehicle import Vehicle

SpringKind = Literal["coil", "coil-on-strut", "torsion-bar", "leaf"]

_FRONT = "front"


@dataclass(frozen=True)
class Danger:
    """What to beware of when a spring of this kind stores `least` [N] or more."""

    spring: SpringKind
    least: float
    text: str
    source: str


@cache
def dangers() -> Sequence[Danger]:
    """All cautions, those for the greatest forces first."""
    text = (resources.files("looseends.vehicle") / "data" / "stored_spring.toml").read_text(encoding="utf-8")
    found = [Danger(d["spring"], float(d["from_N"]), d["text"], d["source"]) for d in tomllib.loads(text)["danger"]]
    return tuple(sorted(found, key=lambda danger: -danger.least))


def spring_kind(vehicle: Vehicle) -> SpringKind:
    """What kind of spring carries the front."""
    if any(bar.carries == _FRONT for bar in vehicle.layout.torsions):
        return "torsion-bar"
    springs = [spring for spring in vehicle.layout.springs if spring.carries == _FRONT]
    if any(spring.beam is not None for spring in springs):
        return "leaf"
    return "coil" if any(FRAME in (spring.a, spring.b) for spring in springs) else "coil-on-strut"


def stored_force(vehicle: Vehicle, held: Held, side: Side) -> float:
    """Force [N] of the spring of one front corner as the vehicle is held: a coil's along its line, a pack's at its
    ends, a torsion bar's where its arm meets the knuckle."""
    elements = {element.name: element for element in held.mechanism.elements}
    total = 0.0
    for spring in vehicle.layout.springs:
        if spring.carries == _FRONT:
            part = rows(elements[named(spring.id, side)], held.poses)
            body = next(b for b in (named(spring.b, side), spring.b) if b in part.on)
            total += float(np.linalg.norm((part.on[body].T @ (part.stiffness * part.offset))[:3]))
    for bar in vehicle.layout.torsions:
        if bar.carries == _FRONT:
            outer = vehicle.point(vehicle.on_side(bar.pushes_down, side))
            pivot = vehicle.point(vehicle.on_side(str(bar.axis[0]), side))
            part = rows(elements[named(bar.id, side)], held.poses)
            couple = abs(float(part.stiffness[0] * part.offset[0])) * float(np.linalg.norm(part.on[named(bar.b, side)]))
            total += couple * turn_length() / abs(float(outer[1] - pivot[1]))
    return total


def danger(vehicle: Vehicle, held: Held, side: Side) -> Danger | None:
    """The caution for what the spring stores as the vehicle is held; None where that is little."""
    force, kind = stored_force(vehicle, held, side), spring_kind(vehicle)
    return next((d for d in dangers() if d.spring == kind and force >= d.least), None)
