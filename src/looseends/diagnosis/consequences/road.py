"""What worn parts do on the road: how far each wheel's toe and camber swing, and what the axle's toe makes of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.consequences.road_cases import RoadCase
from looseends.diagnosis.consequences.rolling import (
    road_forces,
    rolling_mechanism,
    wheel_turns,
    with_body_staying,
)
from looseends.diagnosis.consequences.slip import side_slip_ft_per_mile, side_slip_m_per_km, toe_mm
from looseends.diagnosis.consequences.wear import Cases, clearances, refuse_unfit
from looseends.mechanics.assembly import assemble, load_vector
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ClearanceArrays
from looseends.mechanics.reduction import ReducedStroke, factor, reduce_stroke
from looseends.mechanics.settle import settle
from looseends.mechanics.travel import StrokeAnswers, solve_strokes, stroke_clearances
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import nominal_preload, watched_rows
from looseends.vehicle.specimen import Specimen, nominal_specimen
from looseends.vehicle.vehicle import SIDES, Vehicle


@dataclass(frozen=True)
class PreparedRoad:
    """A load case on a vehicle that rolls, reduced to its clearance unknowns."""

    vehicle: Vehicle
    specimen: Specimen
    case: RoadCase
    reduced: ReducedStroke


@dataclass(frozen=True)
class Swing:
    """An angle [rad] from one end of a load case to the other, on a sound and on the worn vehicle.

    Positive toe is toe-in, positive camber top out; a swing is last end less first. `free` is the part of its size that
    costs no force. `shift` is how much further the worn one stands at the middle of the two ends.
    """

    sound: float
    worn: float
    sound_free: float
    worn_free: float
    shift: float

    @property
    def added(self) -> float:
        """What wear adds to the swing [rad]; it may be against the way in which a sound one springs."""
        return self.worn - self.sound


@dataclass(frozen=True)
class WheelOnRoad:
    """Toe and camber of one wheel; `diameter_mm` is where its toe is told as a distance, its rim if that is known."""

    end: str
    side: Side
    toe: Swing
    camber: Swing
    diameter_mm: float
    at_rim: bool

    def toe_swing_mm(self, angle_rad: float) -> float:
        """A toe angle as a distance [mm] at the wheel's diameter."""
        return toe_mm(angle_rad, self.diameter_mm)


@dataclass(frozen=True)
class AxleOnRoad:
    """Total toe of an axle, left and right wheel together, as a swing [rad] and as side slip."""

    end: str
    total_toe: Swing

    def slip_m_per_km(self, angle_rad: float) -> float:
        """Side slip [m per km] that goes with a total toe."""
        return side_slip_m_per_km(angle_rad)

    def slip_ft_per_mile(self, angle_rad: float) -> float:
        """Side slip [feet per mile] that goes with a total toe."""
        return side_slip_ft_per_mile(angle_rad)


@dataclass(frozen=True)
class RoadEffects:
    """What one load case does on the worn vehicle beside the sound one; means over the cases of wear."""

    case: RoadCase
    wheels: tuple[WheelOnRoad, ...]
    axles: tuple[AxleOnRoad, ...]
    covered: float


def prepare_road(vehicle: Vehicle, case: RoadCase) -> PreparedRoad:
    """Let the vehicle roll, settle it, and reduce the load case.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest on its wheels.
    """
    specimen = nominal_specimen(vehicle)
    mechanism = rolling_mechanism(vehicle, specimen, nominal_preload(vehicle.id), case)
    settled = settle(mechanism)
    system, poses = settled.system, settled.poses
    if case.body == "stays":
        system = assemble(with_body_staying(vehicle, mechanism, poses), poses)
    F = load_vector(road_forces(vehicle, case), system.columns, poses)
    watches = watched_rows(wheel_turns(vehicle), system.columns, poses)
    return PreparedRoad(vehicle, specimen, case, reduce_stroke(factor(system), F, watches))


def road_effects(road: PreparedRoad, cases: Cases) -> RoadEffects:
    """How every wheel's toe and camber swing with these worn parts, and with none.

    Raises
    ------
    InputError
        If a part has no joint, or more than 8 parts are worn.
    MechanicsError
        If the clearances have no certified answer.

    Source
    ------
    Derived in docs/consequences.md.
    """
    refuse_unfit(road.vehicle, cases.parts)
    angles, free = _angles(road, cases)
    # Row 0 is the sound vehicle, the others are the cases.
    weights = np.array([case.weight for case in cases.cases])
    names = road.reduced.watch_names

    def swing(*watches: str) -> Swing:
        at = [names.index(watch) for watch in watches]
        first, last = angles[:, 0, at].sum(axis=1), angles[:, 1, at].sum(axis=1)
        moved, middle, loose = last - first, 0.5 * (first + last), free[:, at].sum(axis=1)
        return Swing(
            sound=float(moved[0]),
            worn=float(weights @ moved[1:]),
            sound_free=float(loose[0]),
            worn_free=float(weights @ loose[1:]),
            shift=float(weights @ middle[1:] - middle[0]),
        )

    ends = tuple(dict.fromkeys(wheel.end for wheel in road.vehicle.layout.wheels))
    diameter, at_rim = _toe_diameter(road.vehicle)
    wheels = tuple(
        WheelOnRoad(end, side, swing(f"toe {end} {side}"), swing(f"camber {end} {side}"), diameter, at_rim)
        for end in ends
        for side in SIDES
    )
    axles = tuple(AxleOnRoad(end, swing(*(f"toe {end} {side}" for side in SIDES))) for end in ends)
    return RoadEffects(road.case, wheels, axles, cases.covered)


def _toe_diameter(vehicle: Vehicle) -> tuple[float, bool]:
    rim = vehicle.numbers.get("wheel_rim_diameter_mm")
    return (2.0 * vehicle.numbers["wheel_radius_mm"], False) if rim is None else (rim, True)


def _angles(road: PreparedRoad, cases: Cases) -> tuple[Array, Array]:
    """Angles (1 + cases, 2, watches) [rad] at both ends, sound first, and the free part (1 + cases, watches)."""
    worn_sets = [{}, *(clearances(case.worn) for case in cases.cases)]
    each = [stroke_clearances(road.reduced, road.specimen.clearances(road.vehicle, worn)) for worn in worn_sets]
    arrays = ClearanceArrays(
        np.stack([one.semi for one in each]),
        np.stack([one.seats for one in each]),
        np.stack([one.softness for one in each]),
    )
    shares = (road.case.from_share, road.case.to_share)
    answers = solve_strokes(road.reduced, arrays, *shares)
    return np.stack([_at_end(road.reduced, answers, end, shares[end]) for end in (0, 1)], axis=1), answers.free


def _at_end(reduced: ReducedStroke, answers: StrokeAnswers, end: int, share: float) -> Array:
    g = (answers.first, answers.last)[end].g
    rows = zip(reduced.watch_on_g, reduced.watch_base, reduced.watch_hand, strict=True)
    # A turn is told as mm at a lever of 1 mm, which is the angle in radians.
    return np.column_stack([g @ on_g[0] + base[0] + share * hand[0] for on_g, base, hand in rows])
