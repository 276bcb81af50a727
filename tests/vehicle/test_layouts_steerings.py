"""The steerings of the further vehicles: what a lost millimetre moves, what height does, what a second idler holds.

Effects of the trade: common practice, no source. Figures: proportions from memory, computed from the points.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.catalogue.types import Axis
from looseends.errors import InputError
from looseends.mechanics.bodies import Array
from looseends.vehicle.believable import refuse_unbelievable
from looseends.vehicle.setup import Side
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.other_vehicles import UP, Push, held, no_clearance, preload, seen, shake_39, vehicle
from tests.vehicle.test_driver_side import sense, turns
from tests.vehicle.test_layouts_fronts import axis_points


def swing(name: str, point: str) -> Array:
    """How a point of the left wheel end moves (3,) [mm] per rad about the steering axis: omega x r."""
    lower, upper = axis_points(name)
    along = (upper - lower) / np.linalg.norm(upper - lower)
    return np.asarray(np.cross(along, vehicle(name).point(point) - lower))


def at_tread(name: str, arm: str, rod: tuple[str, str]) -> float:
    """What the front of the tread moves across per millimetre of a rod along its line, from the points alone."""
    line = vehicle(name).point(rod[1]) - vehicle(name).point(rod[0])
    return abs(float(swing(name, "tread-front-left")[1] / (swing(name, arm) @ line / np.linalg.norm(line))))


@pytest.mark.parametrize(
    ("name", "support", "joint", "arm", "rod"),
    [
        ("tug-tender", "axle", "outer-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-short-inner"),
        ("tug-tender", "axle", "tie-rod-short-inner-end", "tie-rod-outer-left", "tie-rod-short-inner"),
        ("tug-tender", "axle", "drag-link-pitman-end", "tie-rod-outer-left", "tie-rod-short-inner"),
        ("tug-tender", "axle", "adjusting-sleeve-left.axial", "tie-rod-outer-left", "tie-rod-short-inner"),
        ("quay-tractor", "axle", "outer-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-outer-right"),
        ("customs-wagon", "ride", "center-take-off-bushing-left", "tie-rod-outer-left", "tie-rod-inner-left"),
        ("stores-van", "ride", "inner-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-inner-left"),
        ("stores-van", "ride", "pitman-ball", "tie-rod-outer-left", "tie-rod-inner-left"),
        ("line-handler", "ride", "outer-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-inner-left"),
        ("beach-patrol", "ride", "outer-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-inner-left"),
        ("harbour-master", "ride", "outer-tie-rod-end-left", "tie-rod-outer-left", "tie-rod-inner-left"),
    ],
)
def test_a_millimetre_lost_moves_the_tread_by_its_lever(
    name: str, support: str, joint: str, arm: str, rod: str
) -> None:
    axis: Axis = "axial" if joint.endswith(".axial") else "radial"
    worn = {**no_clearance(name), (joint.removesuffix(".axial"), axis): 1.0}
    tread = seen(name, held(name, support), shake_39("left", 300.0), worn, point=("hub-left", "tread-front-left"))
    assert tread.free == pytest.approx(at_tread(name, arm, (arm, rod)), rel=0.05)


@pytest.mark.parametrize(
    ("name", "support", "joint", "near", "far"),
    [
        # the short rod hangs on the drag link: its end moves the near wheel alone, the pitman's end both
        ("tug-tender", "axle", "tie-rod-short-inner-end", True, False),
        ("tug-tender", "axle", "drag-link-pitman-end", True, True),
        # the tie rod joins both wheels and the drag link holds the far one: the rod's end frees the near one only
        ("quay-tractor", "axle", "outer-tie-rod-end-left", True, False),
        ("quay-tractor", "axle", "drag-link-knuckle-end", True, True),
        ("customs-wagon", "ride", "center-take-off-bushing-left", True, False),
    ],
)
def test_wear_moves_the_wheels_that_hang_on_it(name: str, support: str, joint: str, near: bool, far: bool) -> None:
    worn, state = {**no_clearance(name), (joint, "radial"): 1.0}, held(name, support)
    for side, moves in zip(SIDES, (near, far), strict=True):
        tread = seen(name, state, shake_39(side, 300.0), worn, point=(f"hub-{side}", f"tread-front-{side}"))
        assert (tread.free > 2.0) == moves
        assert tread.free > 2.0 or tread.free < 0.05


def steered(name: str, support: str, side: Side) -> float:
    """How far [deg] a wheel points to the left of straight ahead."""
    rotation = held(name, support).poses[f"hub-{side}"].rotation
    return float(np.degrees(np.arctan2(rotation[1, 0], rotation[0, 0])))


def toe_in(name: str, support: str) -> float:
    """Both wheels together [deg]."""
    return steered(name, support, "right") - steered(name, support, "left")


def test_toe_follows_height_with_a_short_rod_on_the_drag_link_and_stays_with_one_rod_from_knuckle_to_knuckle() -> None:
    """Hanging, the first turns its wheels against each other by degrees; the second turns both alike."""
    assert abs(toe_in("tug-tender", "frame") - toe_in("tug-tender", "wheels")) > 2.0
    assert abs(toe_in("quay-tractor", "frame") - toe_in("quay-tractor", "wheels")) < 0.05


def test_a_drag_link_level_with_the_track_bar_steers_little_as_the_axle_drops() -> None:
    """Over 85 mm of droop: slopes of both links differ by 0.002, lengths by 100 of 1000 mm."""
    dropped = steered("quay-tractor", "frame", "right") - steered("quay-tractor", "wheels", "right")
    assert abs(dropped) < 0.5


@pytest.mark.parametrize(
    "name",
    ["stores-van", "line-handler", "beach-patrol", "customs-wagon", "quay-tractor", "tug-tender", "harbour-master"],
)
def test_turning_the_wheel_against_the_clock_steers_to_the_left(name: str) -> None:
    """Between 10 and 20 turns of the steering wheel for one of the road wheel; from memory of assisted steerings."""
    assert 10.0 < sense(name, "left") < 20.0


def test_a_rack_ahead_of_the_axle_steers_to_the_left_as_well_with_a_minus_in_its_file() -> None:
    behind = vehicle("harbour-runabout")
    moved = {
        name: (-x, y, z) if name.startswith(("tie-rod-outer", "rack-end", "rack-mount", "rack-pinion")) else (x, y, z)
        for name, (x, y, z) in behind.points.items()
    }
    ahead = replace(behind, points=moved, numbers={**behind.numbers, "rack_mm_per_turn": -48.0})
    sound = nominal_specimen(behind)
    assert turns(ahead, sound, preload(behind.id)) == pytest.approx(sense(behind.id, "left"), rel=0.3)
    refuse_unbelievable(ahead, "x.toml")
    wrong = replace(ahead, numbers={**ahead.numbers, "rack_mm_per_turn": -4.8})
    with pytest.raises(InputError, match=r"rack_mm_per_turn must be from 15 to 200, or negative, found -4\.8"):
        refuse_unbelievable(wrong, "x.toml")


def at_ball(worn: str) -> float:
    """Free play [mm] along the stud of a ball of the center link, worn by 2 mm, as the link is pulled there."""
    pull = Push([("center-link", worn, 110.0 * UP)])
    return seen("stores-van", held("stores-van", "frame"), pull, {(worn, "axial"): 2.0}, joint=(worn, "axial")).free


def test_play_at_the_end_of_the_link_shows_and_between_two_arms_it_is_held_shut() -> None:
    """Past its last ball the link hinges on the next; in between the pitman arm and the second idler keep it level."""
    assert at_ball("idler-ball-second") == pytest.approx(2.0, rel=0.25)
    assert at_ball("idler-ball") < 1.0
