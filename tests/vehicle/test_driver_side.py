"""The same vehicle with its driver on the other side: a mirror image, as far as the steering goes."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.catalogue.types import Axis
from looseends.errors import InputError
from looseends.vehicle.vehicle import parse_vehicle
from tests.vehicle.other_vehicles import NAMES, held, seen, shake_39, vehicle, vehicle_text


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


def test_the_drag_link_runs_to_the_knuckle_on_the_drivers_side() -> None:
    (joint,) = (j for j in vehicle("crew-van", "right").layout.joints if j.id == "drag-link-knuckle-end")
    assert (joint.b, joint.at) == ("knuckle-right", "steering-arm-right")


def test_another_word_for_the_drivers_side_is_refused() -> None:
    with pytest.raises(InputError, match=r"^x.toml: driver_side must be one of left, right, found 'middle'$"):
        parse_vehicle(f'driver_side = "middle"\n{vehicle_text("crew-van")}', "x.toml")
