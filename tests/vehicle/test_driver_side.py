"""The same vehicle with its driver on the other side: a mirror image, as far as the steering goes."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest

from looseends.catalogue.types import Axis
from looseends.errors import InputError
from looseends.mechanics.bodies import rotation_vector
from looseends.mechanics.model import Force
from looseends.mechanics.settle import settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import Preload
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.other_vehicles import NAMES, OUT, held, preload, seen, shake_39, specimen, vehicle, vehicle_text


@pytest.mark.parametrize("name", NAMES)
def test_the_steering_changes_its_side_and_nothing_else_does(name: str) -> None:
    left, right = vehicle(name), vehicle(name, "right")
    assert (left.driver_side, right.driver_side) == ("left", "right")
    for point in ("rim-center", "box-input", "column-lower"):
        assert tuple(right.points[point]) == tuple(np.multiply(left.points[point], (1, -1, 1)))
    steering = {"rack-pinion", "rack-mount-far", "pitman-ball", "pitman-end", "idler-ball", "box-middle"}
    for point, place in left.points.items():
        if point.startswith("rear-") or point.endswith(("-left", "-right")):
            assert right.points[point] == place
        if point in steering:
            assert right.points[point][1] == -place[1]


@pytest.mark.parametrize(
    ("name", "joint", "axis"),
    [
        ("harbour-runabout", "rack-guide", "radial"),
        ("harbour-runabout", "rack-gear", "radial"),
        ("pilots-sedan", "pitman-ball", "radial"),
        ("pilots-sedan", "steering-gear", "radial"),
        ("crew-van", "drag-link-knuckle-end", "radial"),
        ("crew-van", "steering-gear", "radial"),
    ],
)
def test_what_the_left_wheel_shows_steered_from_the_left_the_right_one_shows_steered_from_the_right(
    name: str, joint: str, axis: Axis
) -> None:
    support, worn = "axle" if name == "crew-van" else "ride", {(joint, axis): 1.0}
    near = seen(name, held(name, support), shake_39("left"), worn, point=("hub-left", "tread-front-left"))
    mirrored = seen(
        name,
        held(name, support, driver="right"),
        shake_39("right"),
        worn,
        point=("hub-right", "tread-front-right"),
        driver="right",
    )
    assert mirrored.total == pytest.approx(near.total, rel=1e-3)
    assert mirrored.free == pytest.approx(near.free, rel=1e-3, abs=1e-4)


def sense(name: str, driver: Literal["left", "right"]) -> float:
    """Turns of the steering wheel, seen from the seat, per turn of the left knuckle, as a push at the wheels steers."""
    return turns(vehicle(name, driver), specimen(name, driver), preload(name, driver))


def turns(whole: Vehicle, sound: Specimen, pushed: Preload) -> float:
    """The same of any vehicle."""
    mechanism = build_mechanism(whole, sound, Setup("", "frame", None, "free", "off", 0.0), pushed)
    axis = whole.direction(("column-lower", "rim-center"), None)
    found = []
    for force in (-60.0, 60.0):
        pushes = [
            Force(f"hub-{side}", whole.point(f"tread-{end}-{side}"), sign * force * OUT)
            for side in SIDES
            for end, sign in (("front", 1.0), ("rear", -1.0))
        ]
        poses = settle(mechanism, forces=tuple(pushes), tolerance=1e-3).poses
        knuckle, wheel = (rotation_vector(poses[body].rotation) for body in ("knuckle-left", "column-shaft"))
        found.append((knuckle[2], wheel @ axis / np.linalg.norm(axis)))
    return float((found[1][1] - found[0][1]) / (found[1][0] - found[0][0]))


@pytest.mark.parametrize("name", NAMES)
def test_turning_the_wheel_steers_the_same_way_from_either_side(name: str) -> None:
    """Against the clock seen from the seat steers to the left."""
    assert sense(name, "left") > 5.0
    assert sense(name, "right") == pytest.approx(sense(name, "left"), rel=0.05)


def test_the_drag_link_runs_to_the_knuckle_on_the_drivers_side() -> None:
    (joint,) = (j for j in vehicle("crew-van", "right").layout.joints if j.id == "drag-link-knuckle-end")
    assert (joint.b, joint.at) == ("knuckle-right", "steering-arm-right")


def test_another_word_for_the_drivers_side_is_refused() -> None:
    with pytest.raises(InputError, match=r"^x.toml: driver_side must be one of left, right, found 'middle'$"):
        parse_vehicle(f'driver_side = "middle"\n{vehicle_text("crew-van")}', "x.toml")
