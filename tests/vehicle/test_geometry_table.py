"""The vehicles' geometry in figures that other tests leave out, worked by hand from their points.

Where the rest is tested: steering axis and springs in test_yard_pickup and test_layouts_geometry, play at the tread of
the other three in test_layouts_linkage, stands in test_carrier_play and test_layouts_sedan, forces in test_load_path.
"""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.load_path import joint_load
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import hold
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.other_vehicles import held, no_clearance, seen, shake_39, specimen, vehicle


def front_view(whole: Vehicle, name: str) -> Array:
    """A left point (y, z) [mm] as seen from ahead."""
    return whole.point(f"{name}-left")[1:]


def pivot(whole: Vehicle, arm: str, ball: str) -> Array:
    """Where an arm's axis passes the fore-aft place of its ball joint (y, z) [mm]."""
    front, rear = whole.point(f"{arm}-front-left"), whole.point(f"{arm}-rear-left")
    share = (whole.point(f"{ball}-left")[0] - front[0]) / (rear[0] - front[0])
    return np.asarray((front + share * (rear - front))[1:])


def crossing(a: Array, along_a: Array, b: Array, along_b: Array) -> Array:
    """Where two lines (y, z) cross."""
    share = np.linalg.solve(np.column_stack([along_a, -along_b]), b - a)
    return np.asarray(a + share[0] * along_a)


def instant_center(whole: Vehicle) -> Array:
    """About which the knuckle turns, seen from ahead: both arms' lines meet there; a strut's line is square to it."""
    lower = front_view(whole, "lower-ball-joint")
    along = lower - pivot(whole, "lower-arm", "lower-ball-joint")
    if "strut-top-left" in whole.points:
        top = front_view(whole, "strut-top")
        rod = top - front_view(whole, "strut-lower")
        return crossing(lower, along, top, np.array([-rod[1], rod[0]]))
    upper = front_view(whole, "upper-ball-joint")
    return crossing(lower, along, upper, upper - pivot(whole, "upper-arm", "upper-ball-joint"))


@pytest.mark.parametrize(
    ("name", "y", "z", "roll_center"),
    [
        ("yard-pickup", -1340.0, 354.0, 135.0),
        ("harbour-runabout", -2518.0, 353.0, 83.0),
        ("pilots-sedan", -1430.0, 301.0, 107.0),
    ],
)
def test_arms_meet_at_the_instant_center_and_give_the_roll_center(
    name: str, y: float, z: float, roll_center: float
) -> None:
    """Roll center: where the line from the tire's contact to the instant center passes the vehicle's middle."""
    found = instant_center(vehicle(name))
    assert found == pytest.approx([y, z], rel=0.02)
    half_track = float(vehicle(name).point("wheel-center-left")[1])
    assert half_track * found[1] / (half_track - found[0]) == pytest.approx(roll_center, abs=2.5)


def test_the_pickups_steering_axis_meets_the_ground_25_millimetres_ahead_of_the_wheel() -> None:
    """Mechanical trail, ISO 8855."""
    lower, upper = (vehicle("yard-pickup").point(f"{at}-ball-joint-left") for at in ("lower", "upper"))
    ground = lower - (upper - lower) * lower[2] / (upper[2] - lower[2])
    assert ground[0] - vehicle("yard-pickup").point("wheel-center-left")[0] == pytest.approx(25.0, abs=0.6)


@pytest.mark.parametrize("joint", ["outer-tie-rod-end-left", "inner-tie-rod-end-left"])
def test_a_millimetre_in_the_pickups_tie_rod_moves_the_tread_by_its_lever(joint: str) -> None:
    """Radius of the tire over the effective arm: 402 / 155."""
    worn = {**no_clearance("yard-pickup"), (joint, "radial"): 1.0}
    state = held("yard-pickup", "ride")
    tread = seen("yard-pickup", state, shake_39("left", 300.0), worn, point=("hub-left", "tread-front-left"))
    assert tread.free == pytest.approx(2.6, abs=0.1)


def test_the_pickups_torsion_bar_twists_28_degrees_under_511_megapascals() -> None:
    """Twist: torque times length over shear modulus and polar moment; stress: torque over the section's modulus."""
    n = vehicle("yard-pickup").numbers
    torque, diameter = 2320e3, n["torsion_bar_diameter_mm"]
    polar = np.pi * diameter**4 / 32.0
    twist = torque * n["torsion_bar_active_length_mm"] / (n["torsion_bar_shear_modulus_MPa"] * polar)
    assert np.degrees(twist) == pytest.approx(27.7, abs=0.1)
    assert torque * diameter / 2.0 / polar == pytest.approx(511.0, abs=2.0)


def test_raised_torsion_bars_press_harder_on_the_stop() -> None:
    """40 mm less droop at some 30 N/mm: 1.2 kN more than 3.6 kN; the weight of what hangs stays the same."""
    whole, drawn = vehicle("yard-pickup"), specimen("yard-pickup")
    raised = carrying_preload(whole, drawn, 40.0)
    state = hold(whole, drawn, Setup("", "frame", None, "held", "off", 0.0), raised)
    part = whole.parts["lower-ball-joint-left"]
    assert joint_load(whole, state, part).down == pytest.approx(4800.0, rel=0.06)


@pytest.mark.parametrize(("name", "degrees"), [("yard-pickup", 0.22), ("pilots-sedan", 0.24)])
def test_a_millimetre_across_a_ball_joint_is_a_quarter_degree_of_camber(name: str, degrees: float) -> None:
    lower, upper = (front_view(vehicle(name), f"{at}-ball-joint") for at in ("lower", "upper"))
    assert np.degrees(1.0 / (upper[1] - lower[1])) == pytest.approx(degrees, abs=0.005)


def test_the_pickups_corner_is_sprung_by_its_weight_less_the_unsprung() -> None:
    """665 kg on the tire, 55 kg of it unsprung: 5984 N, with half the arms on either side of it; assumed."""
    whole = vehicle("yard-pickup")
    hanging = sum(b.mass for b in whole.layout.bodies if b.id in ("hub", "knuckle"))
    arms = sum(b.mass for b in whole.layout.bodies if b.id in ("lower-arm", "upper-arm"))
    sprung = (whole.numbers["front_corner_kg"] - hanging - arms / 2.0) * GRAVITY
    assert sprung == pytest.approx(5984.0, rel=0.01)
