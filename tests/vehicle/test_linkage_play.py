"""What the checks of steering linkage and wheel bearing show: effects of the trade, each common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.mechanics.assembler import columns_of
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import Worn, nominal_preload, watched_rows
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.strokes import stroke_forces, stroke_watches
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.front_end import movement, prepared, shaken, yard_pickup

OTHER: dict[Side, Side] = {"left": "right", "right": "left"}


@pytest.mark.parametrize("clearance", [0.9, 2.0])
def test_a_worn_idler_moves_its_end_up_and_down_and_leaves_the_pitman_end_level(clearance: float) -> None:
    """The arm's end moves by more than twice the clearance (lever 150 mm on two bushings 60 mm apart)."""
    check = prepared("idler", "frame", None)
    worn, sound = shaken(check, {("idler-arm", "radial"): clearance}), shaken(check)
    assert movement(worn, "idler-end").total > movement(sound, "idler-end").total + 2.0 * clearance
    for watch in ("pitman-end", "pitman-pull"):
        assert movement(worn, watch).total == pytest.approx(movement(sound, watch).total, abs=0.05)
    assert movement(worn, "pitman-end").total < 0.1


def test_the_idlers_end_moves_by_its_tilt_in_two_bushings() -> None:
    """Arm 150 mm, bushings 60 mm apart: c / 2 at each tilts it by c / 60 each way, so 2 · 150 · c / 60 in all."""
    check = prepared("idler", "frame", None)
    free = movement(shaken(check, {("idler-arm", "radial"): 0.9, ("idler-arm", "axial"): 0.0}), "idler-end").free
    assert free == pytest.approx(0.9 * 2.0 * 150.0 / 60.0, rel=0.05)


@pytest.mark.parametrize("part", ["outer-tie-rod-end", "inner-tie-rod-end"])
@pytest.mark.parametrize("side", SIDES)
def test_a_worn_tie_rod_end_moves_one_wheel_alone(side: Side, part: str) -> None:
    check = prepared("wheel39", "frame", side)
    worn, sound = shaken(check, {(f"{part}-{side}", "radial"): 2.0}), shaken(check)
    assert movement(worn, "tread").free > movement(sound, "tread").free + 4.0
    assert movement(worn, "opposite-tread").free == pytest.approx(movement(sound, "opposite-tread").free, abs=0.05)


@pytest.mark.parametrize("side", SIDES)
def test_a_worn_tie_rod_end_is_not_seen_from_the_other_wheel(side: Side) -> None:
    check = prepared("wheel39", "frame", OTHER[side])
    worn, sound = shaken(check, {(f"outer-tie-rod-end-{side}", "radial"): 2.0}), shaken(check)
    assert movement(worn, "tread").free == pytest.approx(movement(sound, "tread").free, abs=0.1)


@pytest.mark.parametrize("part", ["pitman-ball", "steering-gear"])
@pytest.mark.parametrize("side", SIDES)
def test_play_between_center_link_and_gear_moves_both_wheels(side: Side, part: str) -> None:
    check = prepared("wheel39", "frame", side)
    worn, sound = shaken(check, {(part, "radial"): 2.0}), shaken(check)
    for watch in ("tread", "opposite-tread"):
        assert movement(worn, watch).free > movement(sound, watch).free + 4.0


@pytest.mark.parametrize("side", SIDES)
def test_a_sound_linkage_moves_at_the_tread_but_mostly_elastically(side: Side) -> None:
    """At ± 150 N 3 to 9 mm in all, less than 2 mm of it play: common practice, no source (4 to 9 mm is usual)."""
    tread = movement(shaken(prepared("wheel39", "frame", side)), "tread")
    assert 3.0 < tread.total < 9.0
    assert tread.free < 2.0
    assert tread.free < 0.5 * tread.total


@pytest.mark.parametrize("support", ["arm", "frame"])
def test_the_foot_brake_takes_the_bearings_play_away(support: str) -> None:
    worn: Worn = {("wheel-bearing-left", "radial"): 0.5}
    off, on = (shaken(prepared("wheel126", support, "left", brake), worn) for brake in ("off", "on"))
    assert movement(off, "tread-top").free > 5.0
    assert movement(on, "tread-top").free < 0.05 * movement(off, "tread-top").free
    assert movement(on, "wheel-bearing-left").free < 0.1


@pytest.mark.parametrize(("part", "watch"), [("lower", "tread-bottom"), ("upper", "tread-top")])
def test_the_foot_brake_leaves_a_ball_joints_play(part: str, watch: str) -> None:
    joint = f"{part}-ball-joint-left"
    off, on = (shaken(prepared("wheel126", "arm", "left", brake), {(joint, "radial"): 2.0}) for brake in ("off", "on"))
    assert movement(on, joint).free == pytest.approx(movement(off, joint).free, rel=0.02)
    assert movement(on, watch).free > 0.8 * movement(off, watch).free > 2.0


@pytest.mark.parametrize("part", ["lower", "upper"])
def test_hanging_at_the_frame_hides_ball_joint_play_across_the_stud(part: str) -> None:
    joint = f"{part}-ball-joint-left"
    shown = [
        movement(shaken(prepared("wheel126", support, "left"), {(joint, "radial"): 2.0}), joint).free
        for support in ("frame", "arm")
    ]
    assert shown[0] < 0.15 * 2.0
    assert shown[1] > 0.85 * 2.0


@pytest.mark.parametrize(("side", "sign"), [("left", 1.0), ("right", -1.0)])
def test_a_sided_check_pushes_outboard_at_the_front_of_the_tread(side: Side, sign: float) -> None:
    """Data give y outboard; the vehicle's y points left (ISO 8855)."""
    (stroke,) = resolve_check(load_catalogue().checks["wheel39"], side).strokes
    front, rear = stroke_forces(yard_pickup(), stroke, side)
    assert front.vector == pytest.approx([0.0, sign * stroke.force, 0.0])
    assert rear.vector == pytest.approx(-front.vector)
    assert np.sign(front.point[1]) == sign


def test_a_link_is_watched_at_its_own_two_ends_whatever_body_it_meets_there() -> None:
    """Exact: spinning a sway link about the line through its ends moves neither end against what it is joined to."""
    vehicle, specimen = load_vehicles()["yard-pickup"], nominal_specimen(load_vehicles()["yard-pickup"])
    setup = Setup("bushpry", "ride", "left", "held", "off", 0.0)
    mechanism = build_mechanism(vehicle, specimen, setup, nominal_preload(vehicle.id))
    stroke = next(s for s in resolve_check(load_catalogue().checks["bushpry"], "left").strokes if s.id == "sway-link")
    watches, columns = stroke_watches(vehicle, mechanism, stroke), columns_of(mechanism)
    rows = dict(watched_rows(watches, columns, mechanism.design_poses()))
    link = columns["sway-link-left"]
    ends = vehicle.point("sway-link-upper-left") - vehicle.point("sway-link-lower-left")
    u = np.zeros(6 * len(mechanism.bodies))
    u[link][3:] = 10.0 * ends / np.linalg.norm(ends)
    assert np.linalg.norm(rows["sway-bar-link-left"] @ u) < 1e-9
    u[link][:3] = (1.0, 0.0, 0.0)
    assert np.linalg.norm(rows["sway-bar-link-left"] @ u) == pytest.approx(1.0)
