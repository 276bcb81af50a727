"""How every body moves over a stroke, on a sound vehicle and on the worn one, from the mechanical model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.mechanics.answers import Answers
from looseends.mechanics.assembly import load_vector
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ClearanceArrays
from looseends.mechanics.constants import ROTATION_LENGTH
from looseends.mechanics.elements import Ratio
from looseends.mechanics.model import Force, Watch
from looseends.mechanics.reduction import ReducedStroke, displacement, reduce_stroke
from looseends.mechanics.travel import Movement, stroke_clearances
from looseends.vehicle.build import holding_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import (
    Held,
    PreparedStroke,
    answer_stroke,
    hold,
    nominal_preload,
    preload_of,
    watched_rows,
)
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.strokes import stroke_forces, stroke_watches
from looseends.vehicle.vehicle import Vehicle
from looseends.web.motion.asked import MotionRequest
from looseends.web.motion.forces import element_forces

STEPS = 21
SLACK_N = 1.0
"""A joint that carries less hangs loose; as in `vehicle.shake`."""
_EASY = 3.0
"""So many times more easily than against its stop a thing moves in its dead zone. Assumed, for the words only."""
_LEAST_FREE_MM = 0.02

_one_at_a_time = Lock()


@dataclass(frozen=True)
class Curve:
    """One watch over the steps: moved (n,) [mm] from the first, its total and free movement [mm] as `vehicle.shake`
    tells them, and free_steps (n - 1,) which intervals lie in the dead zone."""

    moved: Array
    movement: Movement
    free_steps: NDArray[np.bool_]


@dataclass(frozen=True)
class Course:
    """A stroke in n steps: displacements (n, bodies, 6) [mm, rad] from where the vehicle rests without hands.

    Forces (n, 3) [N] by element, with which it presses its second body; slack (n,) by joint; curves by watch.
    """

    displacements: Array
    forces: Mapping[str, Array]
    slack: Mapping[str, NDArray[np.bool_]]
    curves: Mapping[str, Curve]


@dataclass(frozen=True)
class Motion:
    """A held vehicle and both its courses over the same shares (n,) of the hand's force; `rest` is the step nearest to
    none."""

    held: Held
    shares: Array
    rest: int
    hands: tuple[Force, ...]
    watches: Mapping[str, tuple[Watch | Ratio, ...]]
    sound: Course
    worn: Course


def motion_of(request: MotionRequest) -> Motion:
    """Everything that moves, sound and worn.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support, or a step has no certified answer.
    """
    vehicle, stroke = request.vehicle, request.stroke
    held = held_vehicle(vehicle, request.setup)
    columns = held.factors.system.columns
    hands = stroke_forces(vehicle, stroke, request.setup.side)
    hand = load_vector(hands, columns, held.poses)
    watches = stroke_watches(vehicle, held.mechanism, stroke)
    reduced = reduce_stroke(held.factors, hand, watched_rows(watches, columns, held.poses))
    shares = np.linspace(stroke.from_share, stroke.to_share, STEPS)
    rest = int(np.argmin(np.abs(shares)))
    prepared = PreparedStroke(stroke.id, stroke.from_share, stroke.to_share, reduced)
    sound, worn = (
        _course(vehicle, held, prepared, shares, rest, hand, clearances) for clearances in ({}, request.worn)
    )
    return Motion(held, shares, rest, hands, watches, sound, worn)


def held_vehicle(vehicle: Vehicle, setup: Setup) -> Held:
    """The vehicle settled as a setup holds it; kept, because settling takes longer than all the rest."""
    holding = holding_of(vehicle, setup)
    if load_vehicles().get(vehicle.id) != vehicle:
        return hold(vehicle, nominal_specimen(vehicle), holding, preload_of(vehicle))
    with _one_at_a_time:  # asked for twice at once it is settled once
        return _held(vehicle.id, vehicle.content, holding)


@lru_cache(maxsize=24)
def _held(vehicle_id: str, content: str, holding: Setup) -> Held:
    """`content` tells a file that was changed meanwhile."""
    vehicle = load_vehicles()[vehicle_id]
    return hold(vehicle, nominal_specimen(vehicle), holding, nominal_preload(vehicle_id))


def _course(
    vehicle: Vehicle,
    held: Held,
    stroke: PreparedStroke,
    shares: Array,
    rest: int,
    hand: Array,
    worn: Mapping[tuple[str, Axis], float],
) -> Course:
    clearances = nominal_specimen(vehicle).clearances(vehicle, worn)
    answers = _solved(stroke.reduced, stroke_clearances(stroke.reduced, clearances), shares)
    system = held.factors.system
    u = np.array(
        [displacement(held.factors, system.F + share * hand, g) for share, g in zip(shares, answers.g, strict=True)]
    )
    forces, sizes = {}, {}
    for element in held.mechanism.elements:
        unknowns = system.joints.get(element.name)
        g = None if unknowns is None else answers.g[:, unknowns]
        forces[element.name], sizes[element.name] = element_forces(element, held.poses, system.columns, u, g)
    moved = (u - u[rest]).reshape(len(shares), -1, 6)
    moved[:, :, 3:] /= ROTATION_LENGTH
    totals = answer_stroke(stroke, clearances).movements
    return Course(
        moved,
        forces,
        {name: size < SLACK_N for name, size in sizes.items() if name in system.joints},
        _curves(stroke.reduced, answers, shares, totals),
    )


def _solved(stroke: ReducedStroke, clearances: ClearanceArrays, shares: Array) -> Answers:
    from looseends.mechanics.kernel import solve_many  # numba: only where something moves

    n = len(shares)
    return solve_many(
        stroke.S,
        stroke.f_base + shares[:, None] * stroke.f_hand,
        stroke.blocks,
        np.tile(clearances.semi, (n, 1)),
        seats=np.tile(clearances.seats, (n, 1)),
        softness=np.tile(clearances.softness, (n, 1)),
        df=stroke.f_hand,
    )


def _curves(stroke: ReducedStroke, answers: Answers, shares: Array, totals: Mapping[str, Movement]) -> dict[str, Curve]:
    """Along the direction between the two ends, as `mechanics.ramp.force_ramp`."""
    found = {}
    for name, on_g, hand in zip(stroke.watch_names, stroke.watch_on_g, stroke.watch_hand, strict=True):
        place = answers.g @ on_g.T + shares[:, None] * hand
        along = (place[-1] - place[0]) / max(float(np.linalg.norm(place[-1] - place[0])), 1e-300)
        moved, slope = (place - place[0]) @ along, (answers.slope[[0, -1]] @ on_g.T + hand) @ along
        steps = np.diff(moved) / np.diff(shares)
        dead = totals[name].free > _LEAST_FREE_MM
        found[name] = Curve(moved, totals[name], dead & (steps > _EASY * max(float(np.min(slope)), 0.0)))
    return found
