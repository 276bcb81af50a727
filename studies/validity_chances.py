"""The chance to see a part at its reject clearance by a check and a gauge, over vehicles that nobody measured."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from scipy.special import ndtr

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Axis, WatchPlace
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.observed.detect import above_false
from looseends.diagnosis.observed.likelihood import FREE, GaugeReading
from looseends.diagnosis.tables.ensemble import poses_about
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import reject_clearance
from looseends.mechanics.assembly import assemble
from looseends.mechanics.bodies import Array
from looseends.mechanics.elements import PointJoint, rows
from looseends.mechanics.reduction import factor
from looseends.vehicle.build import holding_of
from looseends.vehicle.compose import FRAME
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.scatter import drawn_vehicle
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import Held, hold, nominal_preload, prepare_held
from looseends.vehicle.specimen import Specimen, drawn_specimen, nominal_specimen
from looseends.vehicle.strokes import offers, watch_places
from looseends.vehicle.vehicle import Vehicle

MEMBERS = 24
"""Vehicles drawn of each kind."""

_HELPER = 100.0
"""Stiffness [N/mm] of the arms with which a helper holds a part still; assumed."""

_NOTICED = 2.0
"""As in the diagnosis: a reading stands out when it lies so many standard deviations above a sound vehicle's."""


@dataclass(frozen=True)
class Shown:
    """How a watch shows a part at its reject clearance: the chance to see it, and the share of its play (median)."""

    watch: str
    chance: float
    share: float


@dataclass(frozen=True)
class Tried:
    """A check set up on every vehicle of an ensemble: their solvers, and what the sound ones show (m, k, 2) [mm]."""

    setup: Setup
    members: tuple[Solver, ...]
    sound: Array

    @property
    def watches(self) -> tuple[str, ...]:
        """Watches that the vehicle has, in order."""
        return self.members[0].watches


def usual_setup(check: str, support: str, **other: str) -> Setup:
    """The check as its file puts it first: on the left side, steering and brake as it says."""
    found = load_catalogue().checks[check]
    # A support may raise the worked side alone: then a check without sides needs one too.
    side: Side | None = "left" if found.sided or support == "one-wheel" else None
    setup = Setup(check, support, side, found.steer_states[0], found.brake_states[0], 0.0)
    return replace(setup, **other)  # type: ignore[arg-type]


@cache
def tried(vehicle_id: str, setup: Setup, helper: tuple[str, str] | None = None) -> Tried | None:
    """The check set up on the ensemble; None where the vehicle has nothing that it grips.

    `helper`: the body that a helper holds still besides, and the point at which he does.

    Raises
    ------
    MechanicsError
        If a vehicle of the ensemble does not settle: what it would show is then not known, so nothing is.
    """
    vehicle = load_vehicles()[vehicle_id]
    check = resolve_check(load_catalogue().checks[setup.check], setup.side)
    if not offers(vehicle, check):
        return None
    everyone = _held(vehicle_id, _as_held(vehicle, setup))
    if helper is not None:
        drawn_ones = (drawn for drawn, _ in _drawn(vehicle_id))
        everyone = tuple(_helped(d, held, *helper) for d, held in zip(drawn_ones, everyone, strict=True))
    members = tuple(
        Solver(drawn, specimen, prepare_held(drawn, held, setup, force_share=share))
        for (drawn, specimen), held, share in zip(_drawn(vehicle_id), everyone, _forces(setup), strict=True)
    )
    return Tried(setup, members, np.array([member.sound for member in members]))


@cache
def _drawn(vehicle_id: str) -> tuple[tuple[Vehicle, Specimen], ...]:
    """Vehicles of a kind, drawn as the diagnosis's ensemble draws them."""
    b, vehicle = load_beliefs(), load_vehicles()[vehicle_id]
    found = []
    for number in range(MEMBERS):
        rng = np.random.default_rng([zlib.crc32(vehicle_id.encode()), number])
        drawn = drawn_vehicle(vehicle, rng, b.geometry_common_mm, b.geometry_own_mm)
        found.append((drawn, drawn_specimen(drawn, rng)))
    return tuple(found)


def _forces(setup: Setup) -> list[float]:
    """Share of the check's force with which each vehicle is shaken: another hand every time."""
    rng, spread = np.random.default_rng(zlib.crc32(repr(setup).encode())), load_beliefs().hand_force_share
    return [float(rng.uniform(1.0 - spread, 1.0 + spread)) for _ in range(MEMBERS)]


def _as_held(vehicle: Vehicle, setup: Setup) -> Setup:
    """The setup with only what holds the vehicle.

    Whoever turns the steering holds it himself, and the floor holds it against him. Where the wheels hang or stand on
    turn plates nothing does but the friction of column and gear, so that counts, as with the rim let go.
    """
    held = holding_of(vehicle, setup)
    if held.check and vehicle.layout.supports[setup.support].ends["front"].tires != "floor":
        return replace(held, check="", steer="free")
    return held


@cache
def _held(vehicle_id: str, setup: Setup) -> tuple[Held, ...]:
    """Every vehicle settled as it is held."""
    vehicle, preload = load_vehicles()[vehicle_id], nominal_preload(vehicle_id)
    nominal = hold(vehicle, nominal_specimen(vehicle), setup, preload).poses
    return tuple(
        hold(drawn, specimen, setup, preload, poses_about(drawn, nominal)) for drawn, specimen in _drawn(vehicle_id)
    )


def _helped(vehicle: Vehicle, held: Held, body: str, at: str) -> Held:
    """The vehicle with a helper who takes hold of a body as it rests, and so leaves its pose as it is."""
    hand = PointJoint("helper", FRAME, body, vehicle.point(at), np.eye(3), np.full(3, _HELPER), np.zeros(3))
    hand = replace(hand, offset=-rows(hand, held.poses).offset)
    mechanism = replace(held.mechanism, elements=(*held.mechanism.elements, hand))
    return replace(held, mechanism=mechanism, factors=factor(assemble(mechanism, held.poses)))


def places_of(setup: Setup) -> dict[str, WatchPlace]:
    """Watches of a check as it is done, by name."""
    check = resolve_check(load_catalogue().checks[setup.check], setup.side)
    return {place.id: place for _, place in watch_places(check)}


def own_watches(found: Tried, part: str, axis: Axis) -> list[str]:
    """Watches at the part itself along its axis or at its body; where the check has none, the points it watches."""
    places = {name: place for name, place in places_of(found.setup).items() if name in found.watches}
    across = [n for n, p in places.items() if _is_own(p, part, axis)]
    return across or [n for n, p in places.items() if p.kind == "point" and p.part is None]


def _is_own(place: WatchPlace, part: str, axis: Axis) -> bool:
    if place.kind == "point":
        return part in (place.part, place.body)
    return place.part == part and place.component == axis


def shown(vehicle: Vehicle, found: Tried, part: str, axis: Axis, watches: Sequence[str]) -> Shown:
    """What some watches show of one part at its reject clearance, dead zones read by gauge.

    The watch is the best of them; the chance is that any of them shows it, grease and rust hiding all alike, as in the
    diagnosis. Looks at one vehicle go together: what presses its joint shut hides it from all of them.
    """
    clearance = reject_clearance(vehicle.parts[part], axis)
    change = np.array([member.changes([{(part, axis): clearance}])[0] for member in found.members])
    places = places_of(found.setup)
    best, missed = Shown("", 0.0, 0.0), np.ones(len(found.members))
    for name in watches:
        k = found.watches.index(name)
        share = float(np.median(change[:, k, FREE]) / clearance)
        called = _called(found.sound[:, k], change[:, k], places[name].gauge_resolution_mm)
        missed = missed * (1.0 - called)
        found_here = Shown(name, float(np.mean(called)), share)
        best = max(best, found_here, key=lambda each: (round(each.chance, 3), each.share))
    return replace(best, chance=(1.0 - load_beliefs().masked_chance) * float(np.mean(1.0 - missed)))


def _called(sound: Array, change: Array, resolution: float) -> Array:
    """Chance (m,) of each vehicle from what sound ones show (m, 2) and by how much each changes worn (m, 2) [mm].

    The reading must lie above those of sound vehicles by two of their standard deviations, as in the diagnosis.
    """
    b = load_beliefs()
    gauge = GaugeReading(0.0, resolution, b, FREE)
    spread = np.hypot(np.std(sound, axis=0, ddof=1), b.floor_mm)
    foreseen, uncertain = gauge.expected(sound.mean(axis=0), spread)
    worn_spread = np.hypot(spread, b.share_of_change * change)
    read, deviation = gauge.expected(np.maximum(sound.mean(axis=0) + change, 0.0), worn_spread)
    called = ndtr((read - foreseen - _NOTICED * uncertain) / deviation)
    return np.asarray(above_false(called, ndtr(-_NOTICED)))


def both_sides(setup: Setup) -> tuple[Setup, ...]:
    """A check that has sides is done at either wheel, the left one first."""
    return (setup,) if setup.side is None else (setup, replace(setup, side="right"))
