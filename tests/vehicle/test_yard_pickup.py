"""The yard pickup's own geometry, spring and travel, each against a formula worked by hand in the test."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.model import Force, Poses
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import torsion_rate, torsion_torque
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import nominal_preload
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.front_end import nominal, yard_pickup

LOADS_N = (-250.0, 250.0)


def test_steering_axis_inclination_caster_and_scrub_radius_are_those_of_its_points() -> None:
    """Steering axis through both ball joints (ISO 8855): inclination, caster and the axis's point at the ground.

    inclination = atan(Δy / Δz), caster = atan(Δx / Δz), scrub radius = y of the wheel - y of the axis at z = 0.
    """
    vehicle = yard_pickup()
    lower, upper = vehicle.point("lower-ball-joint-left"), vehicle.point("upper-ball-joint-left")
    across, up = upper - lower, upper[2] - lower[2]
    at_ground = lower - across * lower[2] / up
    assert np.degrees(np.arctan(-across[1] / up)) == pytest.approx(10.0, abs=0.05)
    assert np.degrees(np.arctan(-across[0] / up)) == pytest.approx(3.6, abs=0.05)
    assert vehicle.point("wheel-center-left")[1] - at_ground[1] == pytest.approx(28.0, abs=0.5)


def test_the_right_side_mirrors_the_left() -> None:
    points = yard_pickup().points
    for name, (x, y, z) in points.items():
        if name.endswith("-left"):
            assert points[name.removesuffix("-left") + "-right"] == (x, -y, z)


def test_torsion_bars_carry_the_corner_with_about_2320_newton_metres() -> None:
    """Corner less what hangs outside the arm, times the arm's length and the wheel's lever over the ball joint's.

    The lever follows from the instant center of both arms: wheel rate and torque alike count from there.
    """
    vehicle = yard_pickup()
    (bar,) = vehicle.layout.torsions
    torque = torsion_torque(vehicle, bar, nominal_preload(vehicle.id))
    assert torque == pytest.approx(2320e3, rel=0.01)
    mass = {body.id: body.mass or 0.0 for body in vehicle.layout.bodies}
    outside = mass["knuckle"] + mass["hub"] + mass["lower-arm"] / 3 + mass["upper-arm"] / 3
    carried = (vehicle.numbers["front_corner_kg"] * lever_ratio(vehicle) - outside) * GRAVITY * arm_length(vehicle)
    assert torque == pytest.approx(carried, rel=0.02)


def arm_length(vehicle: Vehicle) -> float:
    """Lower arm from pivot to ball joint, across the vehicle [mm]."""
    return float(vehicle.point("lower-ball-joint-left")[1] - vehicle.point("lower-arm-front-left")[1])


def lever_ratio(vehicle: Vehicle) -> float:
    """Travel of the wheel per travel of the lower ball joint, about the arms' instant center in the front view."""

    def line(inner: tuple[str, str], outer: str) -> tuple[float, float]:
        start = np.mean([vehicle.point(name) for name in inner], axis=0)
        end = vehicle.point(outer)
        slope = float((end[2] - start[2]) / (end[1] - start[1]))
        return slope, float(end[2] - slope * end[1])

    slope, height = line(("lower-arm-front-left", "lower-arm-rear-left"), "lower-ball-joint-left")
    upper_slope, upper_height = line(("upper-arm-front-left", "upper-arm-rear-left"), "upper-ball-joint-left")
    center = (upper_height - height) / (slope - upper_slope)
    wheel, ball = vehicle.point("wheel-center-left")[1], vehicle.point("lower-ball-joint-left")[1]
    return float((wheel - center) / (ball - center))


def settled_rate(vehicle: Vehicle) -> float:
    """Wheel rate [N/mm]: load on the frame over the front axle, per corner, over its travel against the wheels."""
    over_axle = np.mean([vehicle.point(f"wheel-center-{side}") for side in SIDES], axis=0)
    preload = carrying_preload(vehicle, nominal())
    setup = Setup("", "wheels", None, "held", "off", 0.0)
    travels = []
    for load in LOADS_N:
        push = Force("frame", over_axle, np.array([0.0, 0.0, -2.0 * load]))
        poses = settle(build_mechanism(vehicle, nominal(), setup, preload), forces=(push,)).poses
        rise = poses["frame"].point(over_axle)[2] - over_axle[2]
        travels.append(rise - np.mean([_wheel_rise(vehicle, poses, side) for side in SIDES]))
    return float((LOADS_N[1] - LOADS_N[0]) / (travels[0] - travels[1]))


def _wheel_rise(vehicle: Vehicle, poses: Poses, side: Side) -> float:
    center = vehicle.point(f"wheel-center-{side}")
    return float(poses[f"hub-{side}"].point(center)[2] - center[2])


def without_rubber_torsion(vehicle: Vehicle) -> Vehicle:
    """The vehicle with arm bushings that turn freely, so that the torsion bar alone is the spring."""
    parts = {
        name: replace(part, figure=replace(part.figure, torsion_stiffness=0.0))
        if part.figure is not None and "arm" in part.kind.id and part.kind.group == "bushing"
        else part
        for name, part in vehicle.parts.items()
    }
    return replace(vehicle, parts=parts)


def test_the_torsion_bar_alone_gives_a_wheel_rate_of_29_to_32_newton_per_millimetre() -> None:
    """Bar rate over the square of the wheel's travel per turn of the arm: usual for a light truck, from memory."""
    vehicle = without_rubber_torsion(yard_pickup())
    measured = settled_rate(vehicle)
    by_hand = torsion_rate(vehicle) / (arm_length(vehicle) * lever_ratio(vehicle)) ** 2
    assert 29.0 < measured < 32.0
    assert measured == pytest.approx(by_hand, rel=0.04)


def test_the_rubber_of_the_arm_bushings_adds_its_torsion_to_the_wheel_rate() -> None:
    """Each bushing's torsion over the square of the wheel's travel per turn of its arm, added to the bar's rate."""
    vehicle = yard_pickup()
    upper = vehicle.point("upper-ball-joint-left")[1] - vehicle.point("upper-arm-front-left")[1]
    added = 0.0
    for kind, length in (("lower", arm_length(vehicle)), ("upper", upper)):
        for place in ("front", "rear"):
            figure = vehicle.parts[f"{kind}-arm-{place}-bushing-left"].figure
            assert figure is not None
            added += figure.torsion_stiffness / (length * lever_ratio(vehicle)) ** 2
    difference = settled_rate(vehicle) - settled_rate(without_rubber_torsion(vehicle))
    assert difference == pytest.approx(added, rel=0.15)


@pytest.mark.parametrize("side", SIDES)
def test_wheels_droop_by_what_the_vehicle_states_when_the_frame_is_held(side: Side) -> None:
    vehicle = yard_pickup()
    setup = Setup("", "frame", None, "held", "off", 0.0)
    poses = settle(build_mechanism(vehicle, nominal(), setup, nominal_preload(vehicle.id))).poses
    center = vehicle.point(f"wheel-center-{side}")
    droop = poses["frame"].point(center)[2] - poses[f"hub-{side}"].point(center)[2]
    assert droop == pytest.approx(vehicle.numbers["droop_mm"], abs=3.0)


def test_a_height_far_beyond_the_stops_is_refused() -> None:
    with pytest.raises(MechanicsError, match=r"^the vehicle does not settle in this support: "):
        carrying_preload(yard_pickup(), nominal(), 400.0)
