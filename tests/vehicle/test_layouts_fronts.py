"""Every front: which ball joint carries, what unloads it, what the wrong support does, and how its figures lie.

What each support does to carrier and follower is a result: forces of the settled vehicle. What it should be: common
practice, no source. Proportions from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pytest

from looseends.catalogue.types import Axis
from looseends.mechanics.bodies import Array
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import PointJoint
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Held
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.other_vehicles import held, joint_force, lift, seen, vehicle, wheel_drop

Load = Literal["loaded", "hangs", "free"]
"""More than the hanging wheel gives, about what it gives, or hardly anything."""

Stud = Literal["up", "down", ""]
"""Where the stud points from its ball, which sits in arm, axle or link: into the knuckle's boss; "" without a stud."""

LOADED, FREE = 2.0, 0.5
"""Shares of the hanging wheel's and knuckle's weight above which a joint is loaded, and below which it is free."""

ARM_LOWER = {"arm": ("hangs", "free"), "ride": ("hangs", "free"), "one-wheel": ("hangs", "free")}
ON_STOP = {"frame": ("loaded", "loaded"), **ARM_LOWER, "wheels": ("loaded", "loaded")}
AXLE = {name: ("hangs", "free") for name in ("axle", "frame", "one-wheel")} | {"wheels": ("loaded", "loaded")}
ARM_UPPER = {
    "frame": ("hangs", "free"),
    "upblock": ("hangs", "free"),
    **{name: ("loaded", "loaded") for name in ("arm", "ride", "one-wheel", "wheels")},
}


@dataclass(frozen=True)
class Front:
    """What a front is known to do: carrier, follower ("" where there is none), load of both by support.

    `pull` is how the carrier is loaded where its stud points as `stud` says.
    """

    vehicle: str
    layout: str
    carrier: str
    follower: str
    loads: Mapping[str, tuple[str, ...]]
    stud: Stud
    pull: str


FRONTS = [
    Front(
        "yard-pickup", "double-arm-lower-bar", "lower-ball-joint", "upper-ball-joint", ON_STOP, "down", "compression"
    ),
    Front("pilots-sedan", "double-arm-lower-coil", "lower-ball-joint", "upper-ball-joint", ON_STOP, "up", "tension"),
    Front(
        "harbour-runabout", "strut", "strut-mount", "lower-follower-ball-joint",
        {"frame": ("hangs", "free"), "arm": ("loaded", "loaded"), "wheels": ("loaded", "loaded")}, "", "",
    ),
    Front(
        "crew-van", "solid-axle-leaf-king-pin", "king-pin-thrust-bearing", "",
        {"axle": ("hangs",), "frame": ("hangs",), "one-wheel": ("hangs",), "wheels": ("loaded",)}, "", "",
    ),
    Front(
        "stores-van", "double-arm-upper-coil", "upper-carrier-ball-joint", "lower-follower-ball-joint", ARM_UPPER,
        "down", "compression",
    ),
    Front(
        "line-handler", "double-arm-upper-bar", "upper-carrier-ball-joint", "lower-follower-ball-joint", ARM_UPPER,
        "down", "compression",
    ),
    Front(
        "customs-wagon", "modified-strut", "lower-ball-joint", "",
        {"frame": ("loaded",), "arm": ("hangs",), "ride": ("hangs",), "wheels": ("loaded",)}, "up", "tension",
    ),
    # Hanging, the damper holds its own coil: both joints share the hanging wheel.
    Front(
        "beach-patrol", "coilover", "lower-ball-joint", "upper-ball-joint",
        {"frame": ("hangs", "hangs"), **ARM_LOWER, "wheels": ("loaded", "loaded")}, "down", "compression",
    ),
    Front(
        "quay-tractor", "solid-axle-coil-links", "axle-lower-ball-joint", "axle-upper-ball-joint", AXLE,
        "down", "compression",
    ),
    Front("tug-tender", "twin-beam", "axle-lower-ball-joint", "axle-upper-ball-joint", AXLE, "down", "compression"),
    Front(
        "harbour-master", "multi-link-virtual-axis", "lower-link-front-ball-joint", "",
        {"frame": ("free",), "arm": ("hangs",), "ride": ("hangs",), "one-wheel": ("hangs",), "wheels": ("loaded",)},
        "up", "tension",
    ),
]  # fmt: skip
NEW = [
    front for front in FRONTS if front.vehicle not in ("yard-pickup", "pilots-sedan", "harbour-runabout", "crew-van")
]
CELLS = [(front, support) for front in FRONTS for support in front.loads]
each_front = pytest.mark.parametrize("front", FRONTS, ids=lambda front: front.layout)
each_new = pytest.mark.parametrize("front", NEW, ids=lambda front: front.layout)


def one_sided(support: str) -> Side | None:
    """The side that is worked on, where the support needs one."""
    return "left" if support == "one-wheel" else None


def standing(front: Front, support: str) -> Held:
    """The vehicle settled in a support."""
    return held(front.vehicle, support, one_sided(support))


def through(state: Held, joint: str) -> Array:
    """Force [N] (3,) that a joint puts on its second body, along the vehicle's axes."""
    element = next(e for e in state.mechanism.elements if e.name == joint)
    assert isinstance(element, PointJoint)
    return np.asarray(element.axes @ joint_force(state, joint))


def candidates(front: Front) -> list[str]:
    """Kinds of every joint on the left knuckle or strut that could carry: ball joints, mount, thrust bearing."""
    groups = ("carrier", "follower")
    kinds = {part.kind.id for part in vehicle(front.vehicle).wearable if part.kind.group in groups}
    return sorted(kinds | ({"strut-mount"} & {part.kind.id for part in vehicle(front.vehicle).wearable}))


def hanging_weight(front: Front) -> float:
    """Weight [N] of a wheel with its hub and knuckle."""
    masses = {body.id: body.mass for body in vehicle(front.vehicle).layout.bodies}
    return (masses["hub"] + masses["knuckle"]) * GRAVITY


def load(front: Front, state: Held, kind: str, side: Side = "left") -> Load:
    """How much a joint carries."""
    share = float(np.linalg.norm(joint_force(state, f"{kind}-{side}"))) / hanging_weight(front)
    return "loaded" if share > LOADED else "free" if share < FREE else "hangs"


def test_every_front_that_ships_stands_in_the_table_once() -> None:
    shipped = sorted(layout.id for layout in load_layouts().values() if layout.end == "front")
    assert sorted(front.layout for front in FRONTS) == shipped


@each_front
def test_the_layout_names_the_joint_that_most_of_the_springs_force_goes_through(front: Front) -> None:
    """Found by force path: standing on its wheels, the greatest upright force."""
    state = standing(front, "wheels")
    upright = {kind: abs(float(through(state, f"{kind}-left")[2])) for kind in candidates(front)}
    found = max(upright, key=lambda kind: upright[kind])
    assert found == front.carrier
    roles = vehicle(front.vehicle).layout.roles
    assert roles["carrier"] == found
    # Nearly all of what the tire carries less the wheel, but where two firm ball joints on one beam share it.
    corner = vehicle(front.vehicle).numbers["front_corner_kg"] * GRAVITY - hanging_weight(front)
    share = 0.7 if front.vehicle == "tug-tender" else 0.95
    assert upright[found] > share * corner


@each_front
def test_what_only_follows_is_named_too(front: Front) -> None:
    roles = vehicle(front.vehicle).layout.roles
    assert roles.get("follower", "") == front.follower


@pytest.mark.parametrize(("front", "support"), CELLS, ids=lambda value: getattr(value, "layout", value))
def test_each_support_loads_or_unloads_carrier_and_follower(front: Front, support: str) -> None:
    state = standing(front, support)
    joints = [kind for kind in (front.carrier, front.follower) if kind]
    sides: tuple[Side, ...] = ("left",) if one_sided(support) else SIDES
    for side in sides:
        assert tuple(load(front, state, kind, side) for kind in joints) == front.loads[support]


@pytest.mark.parametrize("front", [front for front in FRONTS if front.stud], ids=lambda front: front.layout)
def test_the_carrier_is_pressed_together_or_pulled_apart_as_its_stud_points(front: Front) -> None:
    """The force on the knuckle along the stud: toward the boss presses ball into socket, away from it pulls it out."""
    stud = np.array([0.0, 0.0, 1.0 if front.stud == "up" else -1.0])
    force = through(standing(front, "wheels"), f"{front.carrier}-left")
    found = "compression" if float(force @ stud) > 0.0 else "tension"
    assert found == front.pull
    part = vehicle(front.vehicle).parts[f"{front.carrier}-left"]
    assert part.figure is not None
    if part.figure.id.startswith(("ball-joint-carrier-compression", "ball-joint-carrier-tension")):
        assert part.figure.id.endswith(found)


@each_new
def test_it_settles_in_every_support_with_the_steering_about_straight(front: Front) -> None:
    for support in vehicle(front.vehicle).layout.supports:
        state = standing(front, support)
        for side in SIDES:
            assert abs(float(np.arctan2(*state.poses[f"hub-{side}"].rotation[[1, 0], 0]))) < np.radians(2.5)


@each_new
def test_it_stands_level_at_its_height_and_hangs_by_its_droop(front: Front) -> None:
    whole, wheels, hanging = vehicle(front.vehicle), standing(front, "wheels"), standing(front, "frame")
    for side in SIDES:
        assert wheel_drop(front.vehicle, wheels, side) == pytest.approx(0.0, abs=0.5)
        drop = wheel_drop(front.vehicle, hanging, side)
        assert drop == pytest.approx(whole.numbers["droop_mm"], abs=5.0)
        assert hanging.stop_gaps[f"rebound-stop-{side}"] < 0.0


@each_new
@pytest.mark.parametrize("support", ["wheels", "frame"])
def test_left_is_the_mirror_image_of_right(front: Front, support: str) -> None:
    """But for the steering box, the drag link and the track bar, which are no mirror image."""
    state = standing(front, support)
    for kind in candidates(front):
        left, right = (through(state, f"{kind}-{side}") for side in SIDES)
        assert left * [1.0, -1.0, 1.0] == pytest.approx(right, rel=0.05, abs=60.0)


@pytest.mark.parametrize("name", [front.vehicle for front in NEW])
def test_the_steering_axis_leans_as_those_of_its_kind_do(name: str) -> None:
    """Inclination 8 to 14, caster 2 to 6 deg, scrub radius within 30 mm; from memory."""
    lower, upper = axis_points(name)
    across, up = upper - lower, upper[2] - lower[2]
    at_ground = lower - across * lower[2] / up
    assert 8.0 < np.degrees(np.arctan(-across[1] / up)) < 14.0
    assert 2.0 < np.degrees(np.arctan(-across[0] / up)) < 6.0
    assert abs(vehicle(name).point("wheel-center-left")[1] - at_ground[1]) < 30.0


def axis_points(name: str) -> tuple[Array, Array]:
    """Lower and upper point of the left steering axis (3,) [mm]; of single links, where each pair would cross."""
    whole = vehicle(name)
    if "lower-link-front-outer-left" in whole.points:
        return crossing(name, "lower"), crossing(name, "upper")
    names = {
        "strut": ("lower-ball-joint", "strut-top"),
        "axle": ("axle-ball-joint-lower", "axle-ball-joint-upper"),
        "arm": ("lower-ball-joint", "upper-ball-joint"),
    }
    lower, upper = next(pair for pair in names.values() if all(f"{point}-left" in whole.points for point in pair))
    return whole.point(f"{lower}-left"), whole.point(f"{upper}-left")


def crossing(name: str, pair: str) -> Array:
    """Where the lines of two links cross seen from above, at the mean height of their balls."""
    front, rear = (
        [vehicle(name).point(f"{pair}-link-{which}-{end}-left") for end in ("inner", "outer")]
        for which in ("front", "rear")
    )
    along = np.column_stack([(front[1] - front[0])[:2], -(rear[1] - rear[0])[:2]])
    share = np.linalg.solve(along, (rear[0] - front[0])[:2])[0]
    x, y = front[0][:2] + share * (front[1] - front[0])[:2]
    return np.array([x, y, 0.5 * (front[1][2] + rear[1][2])])


@pytest.mark.parametrize(
    ("name", "carrier", "shows", "hides"),
    [
        ("stores-van", "upper-carrier-ball-joint", "upblock", "arm"),
        ("line-handler", "upper-carrier-ball-joint", "frame", "arm"),
        ("customs-wagon", "lower-ball-joint", "arm", "frame"),
        ("beach-patrol", "lower-ball-joint", "arm", "wheels"),
        ("tug-tender", "axle-lower-ball-joint", "axle", "wheels"),
        ("harbour-master", "lower-link-front-ball-joint", "arm", "wheels"),
    ],
)
def test_axial_play_of_the_carrier_shows_in_the_right_support_and_hides_in_the_wrong_one(
    name: str, carrier: str, shows: str, hides: str
) -> None:
    """A bar under the tire. On an axle the other ball joint must be loose along its stud too, or it holds alone."""
    both = [carrier] + (["axle-upper-ball-joint"] if carrier.startswith("axle-") else [])
    worn = {(f"{kind}-left", "axial"): 1.5 for kind in both}
    joint = (f"{carrier}-left", "axial")
    right, wrong = (
        seen(name, held(name, support), lift("left", 900.0), worn, joint=joint)  # type: ignore[arg-type]
        for support in (shows, hides)
    )
    assert right.free == pytest.approx(1.5, rel=0.1)
    assert wrong.free < 0.1


def test_the_block_takes_the_spring_off_both_joints_and_stands_only_where_arms_are_blocked() -> None:
    for name in ("stores-van", "line-handler"):
        blocked, hanging = (held(name, support) for support in ("upblock", "frame"))
        assert "arm-block-left" in blocked.stop_gaps and blocked.stop_gaps["arm-block-left"] < 0.0
        assert "arm-block-left" not in hanging.stop_gaps
        assert wheel_drop(name, blocked, "left") < 15.0 < wheel_drop(name, hanging, "left")


def test_only_springs_on_the_upper_arm_know_the_block() -> None:
    with_block = {name for name, whole in load_vehicles().items() if "upblock" in whole.layout.supports}
    assert with_block == {"stores-van", "line-handler"}


def test_a_swing_beam_that_hangs_leans_its_wheel_far_out() -> None:
    """About the wheel's travel over the beam's length across, 85 over 1020 mm: 4.8 deg. A solid axle stays upright."""

    def lean(name: str) -> float:
        rotation = held(name, "frame").poses["hub-left"].rotation
        return abs(float(np.degrees(np.arctan2(rotation[2, 1], rotation[1, 1]))))

    assert lean("tug-tender") == pytest.approx(np.degrees(85.0 / 1020.0), rel=0.15)
    assert lean("quay-tractor") < 0.5


def test_an_upper_ball_joint_with_a_spring_in_its_socket_lets_the_lower_ones_play_show() -> None:
    """One that holds firm along its stud hides it: then it carries too, and both must be worn for either to show."""
    worn: dict[tuple[str, Axis], float] = {("axle-lower-ball-joint-left", "axial"): 1.5}
    joint: tuple[str, Axis] = ("axle-lower-ball-joint-left", "axial")
    sprung, firm = (
        seen(name, held(name, "axle"), lift("left", 900.0), worn, joint=joint)
        for name in ("quay-tractor", "tug-tender")
    )
    assert sprung.total > 0.6
    assert firm.total < 0.4
    standing = seen("quay-tractor", held("quay-tractor", "wheels"), lift("left", 900.0), worn, joint=joint)
    assert standing.total < 0.1
