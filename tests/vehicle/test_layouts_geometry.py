"""The three other vehicles against the figures that follow from their points.

Proportions from memory of typical vehicles, the figures computed from the points; worked beforehand, not by this code.
"""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import PointJoint, rows
from looseends.mechanics.model import Force
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.other_vehicles import (
    NAMES,
    held,
    no_clearance,
    seen,
    shake_126,
    spring_force,
    vehicle,
    wheel_drop,
    without_rubber_torsion,
)

AXES = {
    "harbour-runabout": ("lower-ball-joint", "strut-top"),
    "pilots-sedan": ("lower-ball-joint", "upper-ball-joint"),
    "crew-van": ("king-pin-lower", "king-pin-upper"),
}
"""The two points of each steering axis."""

SUPPORTS = [(name, support) for name in NAMES for support in vehicle(name).layout.supports]


def steering_axis(whole: Vehicle) -> tuple[Array, Array]:
    """Lower and upper point of the left steering axis (3,) [mm]."""
    lower, upper = AXES[whole.id]
    return whole.point(f"{lower}-left"), whole.point(f"{upper}-left")


@pytest.mark.parametrize(
    ("name", "inclination", "caster", "scrub", "trail"),
    [
        ("harbour-runabout", 13.0, 4.5, -7.0, 25.0),
        ("pilots-sedan", 10.6, 4.05, 23.0, 21.0),
        ("crew-van", 8.0, 3.5, 45.0, 24.0),
    ],
)
def test_the_steering_axis_lies_as_its_points_say(
    name: str, inclination: float, caster: float, scrub: float, trail: float
) -> None:
    """Inclination, caster [deg], scrub radius and trail [mm] as ISO 8855 defines them."""
    lower, upper = steering_axis(vehicle(name))
    across, up = upper - lower, upper[2] - lower[2]
    at_ground, center = lower - across * lower[2] / up, vehicle(name).point("wheel-center-left")
    assert np.degrees(np.arctan(-across[1] / up)) == pytest.approx(inclination, abs=0.06)
    assert np.degrees(np.arctan(-across[0] / up)) == pytest.approx(caster, abs=0.06)
    assert center[1] - at_ground[1] == pytest.approx(scrub, abs=0.6)
    assert at_ground[0] - center[0] == pytest.approx(trail, abs=0.6)


@pytest.mark.parametrize(
    ("name", "spring", "force"),
    [
        ("harbour-runabout", "coil", 3753.0),
        ("pilots-sedan", "coil", 9032.0),
        ("harbour-runabout", "rear-coil", 2485.0),
        ("pilots-sedan", "rear-coil", 3286.0),
    ],
)
@pytest.mark.parametrize("side", SIDES)
def test_coils_push_with_the_force_that_carries_the_corner(name: str, spring: str, force: float, side: str) -> None:
    """Corner less what hangs outside the spring, over the motion ratio. Half of the arms counts as outside: assumed."""
    assert spring_force(held(name, "wheels"), f"{spring}-{side}") == pytest.approx(force, rel=0.015)


def test_front_leaves_of_the_van_carry_12_6_kilonewtons_each() -> None:
    """1450 kg less 165 kg unsprung. What their eyes and shackles carry: the upright force at both ends of the pack."""
    state, upright = held("crew-van", "wheels"), 0.0
    for name in ("front-leaf-front-eye-bushing-left", "front-leaf-shackle-upper-bushing-left"):
        joint = next(e for e in state.mechanism.elements if e.name == name)
        assert isinstance(joint, PointJoint)
        part = rows(joint, state.poses)
        upright += float(abs((part.on[joint.body_b].T @ (part.stiffness * part.offset))[2]))
    assert upright == pytest.approx(12606.0, rel=0.02)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("side", SIDES)
def test_each_corner_carries_its_weight(name: str, side: str) -> None:
    state = held(name, "wheels")
    for wheel in vehicle(name).layout.wheels:
        tire = next(e for e in state.mechanism.elements if e.name == f"{wheel.prefix}tire-{side}")
        part = rows(tire, state.poses)
        load = vehicle(name).numbers[f"{wheel.end}_corner_kg"] * GRAVITY
        assert float(-part.stiffness[2] * part.offset[2]) == pytest.approx(load, rel=0.01)


def wheel_rate(whole: Vehicle) -> float:
    """Rate [N/mm] of one front corner: load on the frame over the axle over its travel against the wheels."""
    drawn = nominal_specimen(whole)
    mechanism = build_mechanism(
        whole, drawn, Setup("", "wheels", None, "held", "off", 0.0), carrying_preload(whole, drawn)
    )
    over = np.mean([whole.point(f"wheel-center-{side}") for side in SIDES], axis=0)
    travels = []
    for load in (-250.0, 250.0):
        poses = settle(mechanism, forces=(Force("frame", over, np.array([0.0, 0.0, -2.0 * load])),)).poses
        centers = [(poses[f"hub-{side}"], whole.point(f"wheel-center-{side}")) for side in SIDES]
        travels.append(poses["frame"].point(over)[2] - np.mean([pose.point(center)[2] for pose, center in centers]))
    return float(500.0 / (travels[0] - travels[1]))


@pytest.mark.parametrize(
    ("name", "rate"),
    [
        # k m² = 23.2 · 0.951² = 21.0; the motion ratio grows from 0.945 to 0.958 over 20 mm: 3753 N · 0.013 / 20 more
        ("harbour-runabout", 21.0 + 3753.0 * 0.0127 / 20.0),
        ("pilots-sedan", 23.0),
        ("crew-van", 180.0),
    ],
)
def test_the_springs_alone_give_the_wheel_its_rate(name: str, rate: float) -> None:
    assert wheel_rate(without_rubber_torsion(vehicle(name))) == pytest.approx(rate, rel=0.035)


@pytest.mark.parametrize(("name", "support"), SUPPORTS)
def test_every_support_settles_with_only_the_stops_closed_that_hanging_closes(name: str, support: str) -> None:
    """On stands or wheels all stops are open; hanging from the frame, what ends the travel downward is closed."""
    side = "left" if support == "one-wheel" else None
    gaps = held(name, support, side).stop_gaps
    pressed = {contact for contact, gap in gaps.items() if gap < 0.0 and "stand" not in contact}
    if support == "frame":
        front = {contact for contact in pressed if not contact.startswith("rear-")}
        assert front == {f"rebound-stop-{at}" for at in SIDES}
    else:
        assert not pressed


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("side", SIDES)
def test_front_wheels_droop_by_what_the_vehicle_states(name: str, side: Side) -> None:
    drop = wheel_drop(name, held(name, "frame"), side)
    assert drop == pytest.approx(vehicle(name).numbers["droop_mm"], abs=4.0)


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_vehicle_shows_the_same_on_both_sides(name: str) -> None:
    """Left is right mirrored, but for the steering's own sides."""
    state = held(name, "axle" if name == "crew-van" else "arm")
    for mark in ("tread-top", "tread-bottom"):
        left, right = (
            seen(name, state, shake_126(side), no_clearance(name), point=(f"hub-{side}", f"{mark}-{side}"))
            for side in SIDES
        )
        assert left.total == pytest.approx(right.total, rel=0.06)
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        for prefix in ("", "rear-"):
            center = vehicle(name).point(f"{prefix}wheel-center-{side}")
            moved = state.poses[f"{prefix}hub-{side}"].point(center) - center
            other = "right" if side == "left" else "left"
            far = vehicle(name).point(f"{prefix}wheel-center-{other}")
            there = state.poses[f"{prefix}hub-{other}"].point(far) - far
            assert moved[2] == pytest.approx(there[2], abs=0.1)
            assert sign * moved[1] == pytest.approx(-sign * there[1], abs=0.2)
