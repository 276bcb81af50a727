"""Vehicles drawn over the spread of their file: groups keep their shape, sides mirror, shafts lean a little."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from looseends.mechanics.bodies import Array
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.scatter import GroupMove, drawn_vehicle, moved, scattered
from looseends.vehicle.spread import GroupSpread, Spread
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.tape_answers import tape_vehicle

MIRROR = np.array([1.0, -1.0, 1.0])
DRAWS = 300


def drawn(vehicle: Vehicle, count: int = DRAWS) -> list[Vehicle]:
    return [drawn_vehicle(vehicle, np.random.default_rng([7, n]), 2.0, 1.0) for n in range(count)]


def with_only(vehicle: Vehicle, group: str, spread: GroupSpread) -> Vehicle:
    return replace(vehicle, spread=Spread({group: spread}, {}))


def moves(of: Sequence[Vehicle], plain: Vehicle, name: str) -> Array:
    return np.array([v.point(name) - plain.point(name) for v in of])


def test_exact_a_vehicle_without_a_spread_is_drawn_as_before() -> None:
    plain = load_vehicles()["yard-pickup"]
    assert plain.spread is None
    one, other = (draw(plain, np.random.default_rng(5), 2.0, 1.0) for draw in (drawn_vehicle, scattered))
    assert one == other


def test_exact_points_of_a_group_keep_their_distances() -> None:
    plain = tape_vehicle()
    for v in drawn(plain, 20):
        for first, second in (
            ("lower-arm-front-left", "lower-arm-rear-left"),
            ("box-mount-front", "box-mount-rear"),
            ("wheel-center-right", "tread-front-right"),
            ("idler-ball", "idler-end"),
        ):
            before, after = (float(np.linalg.norm(w.point(first) - w.point(second))) for w in (plain, v))
            assert after == pytest.approx(before, abs=1e-9)
        assert v.points["lower-arm-front-left"] != plain.points["lower-arm-front-left"]


def test_independent_sides_mirror_each_other_but_for_their_own_share() -> None:
    plain = with_only(tape_vehicle(), "lower-ball-joint", GroupSpread(8.0, 3.0, 0.0))
    of = drawn(plain)
    left, right = moves(of, plain, "lower-ball-joint-left"), moves(of, plain, "lower-ball-joint-right") * MIRROR
    assert left.std() == pytest.approx(np.hypot(8.0, 3.0), rel=0.08)
    assert (left - right).std() == pytest.approx(np.sqrt(2.0) * 3.0, rel=0.08)
    assert np.abs(moves(of, plain, "upper-ball-joint-left")).max() == 0.0


def test_independent_an_axis_leans_as_far_as_its_spread_says_across_each_direction() -> None:
    lean = np.radians(1.0)
    plain = with_only(tape_vehicle(), "lower-arm-axis", GroupSpread(0.0, 0.0, lean))
    directions = []
    for v in drawn(plain):
        axis = v.point("lower-arm-rear-left") - v.point("lower-arm-front-left")
        mirrored = v.point("lower-arm-rear-right") - v.point("lower-arm-front-right")
        np.testing.assert_allclose(mirrored, MIRROR * axis, atol=1e-9)
        directions.append(axis / np.linalg.norm(axis))
    straight = plain.point("lower-arm-rear-left") - plain.point("lower-arm-front-left")
    cosine = np.array(directions) @ straight / np.linalg.norm(straight)
    # Two independent leans: the mean of the squared angle is twice the square of one.
    assert np.mean(np.arccos(np.clip(cosine, -1, 1)) ** 2) == pytest.approx(2.0 * lean**2, rel=0.15)


def test_exact_a_shaft_of_the_layout_leans_with_all_that_turns_about_it() -> None:
    plain = tape_vehicle()
    lean = np.array([0.02, -0.01])
    v = moved(plain, {"steering-box": GroupMove(np.zeros(3), np.zeros(3), lean)}, {})
    axes = {j.axis for j in v.layout.joints if j.id.startswith("sector-bushing")}
    axes |= {r.terms[0].axis for r in v.layout.ratios if r.id == "gear-mesh"}
    (axis,) = axes
    cosine = float(axis[2])
    assert np.arccos(cosine) == pytest.approx(np.hypot(*lean), rel=1e-6)
    assert {j.axis for j in v.layout.joints if j.id.startswith("idler-bushing")} == {(0.0, 0.0, 1.0)}
    assert v.points == plain.points


def test_exact_what_lies_in_the_middle_plane_stays_in_it() -> None:
    plain = tape_vehicle()
    for v in drawn(plain, 10):
        assert v.points["sway-bar-middle"][1] == 0.0
        assert v.points["sway-bar-middle"] != plain.points["sway-bar-middle"]


def test_independent_numbers_are_drawn_with_their_share() -> None:
    plain = replace(tape_vehicle(), spread=Spread({}, {"rebound_stop_gap_mm": 0.25}))
    of = np.array([v.numbers["rebound_stop_gap_mm"] for v in drawn(plain)])
    assert np.log(of / plain.numbers["rebound_stop_gap_mm"]).std() == pytest.approx(0.25, rel=0.1)
    assert {v.numbers["gear_ratio"] for v in drawn(plain, 5)} == {plain.numbers["gear_ratio"]}
