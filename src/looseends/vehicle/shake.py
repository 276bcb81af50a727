"""What moves when a vehicle is held, gripped and shaken: the forward model of every check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from looseends.catalogue.types import Axis, Check, Stroke
from looseends.errors import MechanicsError
from looseends.language import Text, refusal
from looseends.mechanics.assembly import load_vector, watch_rows
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.elements import Ratio
from looseends.mechanics.model import Mechanism, Poses, Watch
from looseends.mechanics.reduction import Factors, ReducedStroke, factor, reduce_stroke
from looseends.mechanics.settle import gaps_in, settle
from looseends.mechanics.travel import StrokeAnswer, solve_stroke, stroke_clearances
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import Preload
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.mobility import refuse_immobile
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.strokes import check_on, offered, stroke_forces, stroke_watches
from looseends.vehicle.vehicle import Vehicle

Worn = Mapping[tuple[str, Axis], float]
"""Worn clearance, total travel [mm], by part id and axis."""


@dataclass(frozen=True)
class PreparedStroke:
    """One stroke of one check on one vehicle, reduced to its clearance unknowns, with its two ends."""

    stroke_id: str
    first_share: float
    last_share: float
    reduced: ReducedStroke


@dataclass(frozen=True)
class PreparedCheck:
    """A check set up on a vehicle: all its strokes, and the gaps [mm] of stops and stands, the settled poses."""

    setup: Setup
    strokes: tuple[PreparedStroke, ...]
    stop_gaps: Mapping[str, float]
    poses: Poses


@dataclass(frozen=True)
class WatchedMovement:
    """One watch: movement [mm], its free part, and its range over all least-energy states."""

    watch: str
    total: float
    free: float
    least: float
    greatest: float


@dataclass(frozen=True)
class Shaken:
    """The answer to a shake: movements, joint force [N] at the stroke's last end, joints that carry none, gaps."""

    movements: tuple[WatchedMovement, ...]
    forces: Mapping[str, float]
    slack: tuple[str, ...]
    stop_gaps: Mapping[str, float]
    scaled_gap: float


def nominal_preload(vehicle_id: str, raised_mm: float = 0.0) -> Preload:
    """Preload of the nominal specimen; see `carrying_preload`."""
    return _nominal_preload(vehicle_id, load_vehicles()[vehicle_id].content, raised_mm)


@lru_cache(maxsize=64)
def _nominal_preload(vehicle_id: str, content: str, raised_mm: float) -> Preload:
    """`content` tells a file that was changed meanwhile."""
    vehicle = load_vehicles()[vehicle_id]
    specimen = nominal_specimen(vehicle)
    refuse_immobile(vehicle, specimen)
    return carrying_preload(vehicle, specimen, raised_mm)


def preload_of(vehicle: Vehicle, raised_mm: float = 0.0) -> Preload:
    """Preload of the nominal specimen of a vehicle as it stands here, with what was altered for one question only.

    Raises
    ------
    MechanicsError
        If a body of it is held by nothing, or a wheel cannot bounce or be steered.
    """
    if load_vehicles().get(vehicle.id) == vehicle:
        return nominal_preload(vehicle.id, raised_mm)
    specimen = nominal_specimen(vehicle)
    refuse_immobile(vehicle, specimen)
    return carrying_preload(vehicle, specimen, raised_mm)


@dataclass(frozen=True)
class Held:
    """A vehicle settled as a setup holds it, ready for every check that holds it so.

    Its mechanism, poses, the factors of the linear system about them, and the gaps [mm] of stops and stands.
    """

    mechanism: Mechanism
    poses: Poses
    factors: Factors
    stop_gaps: Mapping[str, float]


def hold(vehicle: Vehicle, specimen: Specimen, setup: Setup, preload: Preload, start: Poses | None = None) -> Held:
    """Settle the vehicle in its support; with `start` poses from there and to 0.01 mm only, enough for a spread.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support.
    """
    mechanism = build_mechanism(vehicle, specimen, setup, preload)
    settled = settle(mechanism, start, tolerance=1e-6 if start is None else 0.01)
    return Held(mechanism, settled.poses, factor(settled.system), gaps_in(settled.system))


def prepare_check(
    vehicle: Vehicle,
    specimen: Specimen,
    setup: Setup,
    preload: Preload,
    *,
    force: float | None = None,
    force_share: float = 1.0,
) -> PreparedCheck:
    """Settle the vehicle in its support and reduce every stroke of the check.

    `force` [N] replaces the check's own force; `force_share` multiplies it.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support, or has nothing that the check grips.
    """
    _strokes_done(vehicle, setup, force, force_share)
    held = hold(vehicle, specimen, setup, preload)
    return prepare_held(vehicle, held, setup, force=force, force_share=force_share)


def prepare_held(
    vehicle: Vehicle, held: Held, setup: Setup, *, force: float | None = None, force_share: float = 1.0
) -> PreparedCheck:
    """Reduce every stroke of a check on a vehicle that is held as the setup says already.

    Raises
    ------
    MechanicsError
        If the vehicle has nothing that the check grips.
    """
    columns, strokes = held.factors.system.columns, []
    for stroke in _strokes_done(vehicle, setup, force, force_share):
        F = load_vector(stroke_forces(vehicle, stroke, setup.side), columns, held.poses)
        watches = watched_rows(stroke_watches(vehicle, held.mechanism, stroke), columns, held.poses)
        reduced = reduce_stroke(held.factors, F, watches)
        strokes.append(PreparedStroke(stroke.id, stroke.from_share, stroke.to_share, reduced))
    return PreparedCheck(setup, tuple(strokes), held.stop_gaps, held.poses)


def _strokes_done(vehicle: Vehicle, setup: Setup, force: float | None, force_share: float) -> list[Stroke]:
    check = _check(vehicle, setup, force, force_share)
    done = [stroke for stroke in check.strokes if offered(vehicle, stroke)]
    if not done:
        raise MechanicsError(_nothing_done(vehicle, check))
    return done


def _nothing_done(vehicle: Vehicle, check: Check) -> Text:
    if check.kind != "movement":
        return refusal(
            '{vehicle}: check "{check}" is one of {kind}, which mechanics does not compute',
            vehicle=vehicle.id,
            check=check.id,
            kind=check.kind,
        )
    return refusal('{vehicle}: check "{check}" grips nothing that this vehicle has', vehicle=vehicle.id, check=check.id)


def watched_rows(
    watches: Mapping[str, Sequence[Watch | Ratio]], columns: Mapping[str, slice], poses: Poses
) -> list[tuple[str, Array]]:
    """Rows (k, n) per watch name; the length of their product with u is the root mean square over its spots [mm]."""
    return [
        (name, np.vstack([_spot_rows(spot, columns, poses) for spot in spots]) / np.sqrt(len(spots)))
        for name, spots in watches.items()
    ]


def _spot_rows(spot: Watch | Ratio, columns: Mapping[str, slice], poses: Poses) -> Array:
    """Rows (k, n) of a movement, or the one of what a ratio leaves unmatched."""
    if isinstance(spot, Watch):
        return watch_rows(spot, columns, poses)
    W = np.zeros((1, 6 * len(columns)))
    for body, on_body in spot.rows(poses).on.items():
        if body != GROUND:
            W[:, columns[body]] += on_body
    return W


def _check(vehicle: Vehicle, setup: Setup, force: float | None, share: float) -> Check:
    check = check_on(vehicle, setup.check, setup.side)
    strokes = (replace(stroke, force=share * (force or stroke.force)) for stroke in check.strokes)
    return replace(check, strokes=tuple(strokes))


def answer_stroke(stroke: PreparedStroke, clearances: Mapping[str, Clearance], *, few: bool = False) -> StrokeAnswer:
    """Solve both ends of one stroke for given joint clearances; `few` as in `mechanics.travel.solve_strokes`."""
    arrays = stroke_clearances(stroke.reduced, clearances)
    return solve_stroke(stroke.reduced, arrays, stroke.first_share, stroke.last_share, few=few)


def shake(vehicle: Vehicle, specimen: Specimen, prepared: PreparedCheck, worn: Worn) -> Shaken:
    """Everything that a check shows on a vehicle with these worn clearances."""
    from looseends.mechanics.movement_range import movement_range  # the cone solver: only where something is shaken

    clearances = specimen.clearances(vehicle, worn)
    movements: list[WatchedMovement] = []
    forces: dict[str, float] = {}
    gap = 0.0
    for stroke in prepared.strokes:
        arrays = stroke_clearances(stroke.reduced, clearances)
        answer = answer_stroke(stroke, clearances)
        for name, movement in answer.movements.items():
            least, greatest = movement_range(
                stroke.reduced, arrays, answer, name, stroke.first_share, stroke.last_share
            )
            movements.append(WatchedMovement(name, movement.total, movement.free, least, greatest))
        for name, part in stroke.reduced.joints.items():
            forces[name] = max(forces.get(name, 0.0), float(np.linalg.norm(answer.last.f[part])))
        gap = max(gap, answer.first.certificate.scaled_gap, answer.last.certificate.scaled_gap)
    slack = tuple(name for name, force in forces.items() if force < 1.0)
    return Shaken(tuple(movements), forces, slack, prepared.stop_gaps, gap)
