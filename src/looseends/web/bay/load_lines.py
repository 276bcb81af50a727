"""Where the weight runs as a vehicle is held: lines through its bodies from what stands on the ground to its frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, PointJoint
from looseends.mechanics.springs import Spring
from looseends.vehicle.compose import FRAME
from looseends.vehicle.load_path import JointLoad, carrier, follower, force_on, joint_load
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, hold, preload_of
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.supports import one_sided
from looseends.vehicle.vehicle import SIDES, Part, Vehicle
from looseends.web.judged.of_vehicle import usual_setups_of

_LEAST_SHARE = 0.06
"""Below this share of a front tire's load nothing is drawn; assumed, for the picture only."""


@dataclass(frozen=True)
class LoadLine:
    """A stretch of the way of the weight in one body, between two places (3,) [mm], with the force [N] up or down."""

    body: str
    start: Array
    end: Array
    force: float


@dataclass(frozen=True)
class Standing:
    """A vehicle as a support holds it: settled, with the ways of the weight and what the knuckles' joints carry.

    `places` (3,) [mm] are those of the joints, by part.
    """

    setup: Setup
    held: Held
    lines: tuple[LoadLine, ...]
    joints: tuple[JointLoad, ...]
    places: Mapping[str, Array]


def standing_key(setup: Setup) -> str:
    """A support as pages name it; with the side where the two sides are held otherwise."""
    return f"{setup.support}.{setup.side}" if setup.side else setup.support


def standings(vehicle_id: str) -> dict[str, Standing]:
    """Every support of a known vehicle's checks, by its key; one in which the vehicle does not settle is left out."""
    return _standings(vehicle_id, load_vehicles()[vehicle_id].content)


@lru_cache(maxsize=16)
def _standings(vehicle_id: str, content: str) -> dict[str, Standing]:
    """`content` tells a file that was changed meanwhile."""
    vehicle = load_vehicles()[vehicle_id]
    specimen, preload = nominal_specimen(vehicle), preload_of(vehicle)
    found: dict[str, Standing] = {}
    parts: list[Part] | None = None
    for setup in _holdings(vehicle):
        with suppress(MechanicsError):
            held = hold(vehicle, specimen, setup, preload)
            parts = _knuckle_parts(vehicle, held) if parts is None else parts
            joints = tuple(joint_load(vehicle, held, part) for part in parts)
            places = {part.id: _place_of(held, part) for part in parts}
            found[standing_key(setup)] = Standing(setup, held, tuple(load_lines(vehicle, held)), joints, places)
    return found


def _holdings(vehicle: Vehicle) -> list[Setup]:
    """One setup for each way of holding, that on its wheels first: it tells which joint carries."""
    layout = vehicle.layout.supports
    used = {setup.support for setup in usual_setups_of(vehicle)} | {"wheels"}
    names = sorted(used & set(layout), key=lambda name: (name != "wheels", name))
    return [
        Setup("", name, side, "held", "off", 0.0)
        for name in names
        for side in (SIDES if one_sided(layout[name]) else (None,))
    ]


def _knuckle_parts(vehicle: Vehicle, standing: Held) -> list[Part]:
    """The parts whose joints carry and hold the knuckles."""
    found: list[Part] = []
    for side in SIDES:
        for role in (carrier, follower):
            with suppress(MechanicsError):  # king pins and solid axles have no follower
                found.append(role(vehicle, standing, side))
    return found


def _place_of(held: Held, part: Part) -> Array:
    return place_of_element(held, next(e for e in held.mechanism.elements if e.name in part.joints))


def load_lines(vehicle: Vehicle, held: Held) -> list[LoadLine]:
    """The ways of the weight: in each body, on each side, from where it presses hardest to wherever it goes on."""
    least = _LEAST_SHARE * vehicle.numbers["front_corner_kg"] * GRAVITY
    joined: dict[tuple[str, bool], list[tuple[float, Array]]] = {}
    for element in held.mechanism.elements:
        if isinstance(element, PointJoint | Contact | Spring):
            for body in {element.body_a, element.body_b} - {GROUND, FRAME}:
                force, place = float(force_on(held, element, body)[2]), place_of_element(held, element)
                joined.setdefault((body, bool(place[1] > 0.0)), []).append((force, place))
    lines: list[LoadLine] = []
    for (body, _), ends in joined.items():
        first, *others = sorted(ends, key=lambda end: -abs(end[0]))
        lines += [LoadLine(body, first[1], place, abs(force)) for force, place in others if abs(force) >= least]
    return lines


def place_of_element(held: Held, element: Element) -> Array:
    """Where a joint, spring or contact is (3,) [mm] as the vehicle is held."""
    assert isinstance(element, PointJoint | Contact | Spring)
    pose = held.poses.get(element.body_b) or held.poses[element.body_a]
    return pose.point(element.point)


def greatest(lines: Sequence[LoadLine]) -> float:
    """The greatest force [N] of all lines, against which their widths are drawn."""
    return max((line.force for line in lines), default=1.0)
