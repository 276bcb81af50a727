"""Vehicles scaled from a template: measured lengths come out exactly, and the template's structure stays."""

from __future__ import annotations

from importlib import resources

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.mechanics.bodies import Array
from looseends.vehicle.groups import groups_of, load_groups, stem_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.tape import load_questions, load_templates
from looseends.vehicle.tape.questions import MOST_NEEDED
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.tape_answers import WAYS, tape_vehicle

HALF_A_DIGIT = 2e-4
"""The file holds ten thousandths of a millimetre; two of them and rounding."""


def across(vehicle: Vehicle, first: str, second: str, square_to: Array) -> float:
    """Distance [mm] of two points square to a direction."""
    offset = vehicle.point(first) - vehicle.point(second)
    along = square_to / np.linalg.norm(square_to)
    return float(np.linalg.norm(offset - (offset @ along) * along))


def test_at_most_twelve_entries_lead_to_a_usable_vehicle() -> None:
    needed = [question.id for question in load_questions().values() if question.needed]
    assert len(needed) <= MOST_NEEDED == 12


@pytest.mark.parametrize(("layout", "linkage"), WAYS)
def test_every_way_of_building_stands_at_its_height_with_only_what_is_needed(layout: str, linkage: str) -> None:
    vehicle = tape_vehicle(layout, linkage)
    preload = carrying_preload(vehicle, nominal_specimen(vehicle))
    assert set(preload) == {"front", "rear"}
    assert all(0.5 < push < 1.1 for push in preload.values())


@pytest.mark.parametrize(("layout", "linkage"), WAYS)
@settings(max_examples=5, deadline=None)
@given(
    wheelbase=st.floats(2200, 5000), front=st.floats(1300, 1900), rear=st.floats(1300, 1900), height=st.floats(200, 420)
)
def test_exact_measured_lengths_come_out(
    layout: str, linkage: str, wheelbase: float, front: float, rear: float, height: float
) -> None:
    v = tape_vehicle(
        layout, linkage, wheelbase_mm=wheelbase, front_track_mm=front, rear_track_mm=rear, front_height_mm=height
    )
    assert v.point("wheel-center-left")[0] - v.point("rear-wheel-center-left")[0] == pytest.approx(
        wheelbase, abs=HALF_A_DIGIT
    )
    for end, track in (("", front), ("rear-", rear)):
        width = v.point(f"{end}wheel-center-left")[1] - v.point(f"{end}wheel-center-right")[1]
        assert width == pytest.approx(track, abs=HALF_A_DIGIT)
    point = next(t for t in load_templates() if (t.id, t.linkage) == (layout, linkage)).heights["front"]
    assert v.point(f"{point}-left")[2] == pytest.approx(height, abs=HALF_A_DIGIT)


@settings(max_examples=15, deadline=None)
@given(
    lower=st.floats(300, 450),
    upper=st.floats(180, 300),
    rod=st.floats(280, 400),  # some 417 mm would put its inner end on the pitman ball, which is refused
    pitman=st.floats(120, 190),
    idler=st.floats(120, 190),
    ball=st.floats(230, 300),
)
def test_exact_measured_parts_come_out(
    lower: float, upper: float, rod: float, pitman: float, idler: float, ball: float
) -> None:
    v = tape_vehicle(
        lower_arm_mm=lower,
        upper_arm_mm=upper,
        tie_rod_mm=rod,
        pitman_arm_mm=pitman,
        idler_arm_mm=idler,
        lower_ball_height_mm=ball,
    )
    for arm, length in (("lower", lower), ("upper", upper)):
        axis = v.point(f"{arm}-arm-rear-left") - v.point(f"{arm}-arm-front-left")
        found = across(v, f"{arm}-ball-joint-left", f"{arm}-arm-front-left", axis)
        assert found == pytest.approx(length, abs=HALF_A_DIGIT)
    between = float(np.linalg.norm(v.point("tie-rod-outer-left") - v.point("tie-rod-inner-left")))
    assert between == pytest.approx(rod, abs=HALF_A_DIGIT)
    for arm, shaft, length in (("pitman", "pitman-shaft", pitman), ("idler", "idler-pivot", idler)):
        found = across(v, f"{arm}-ball", shaft, np.array([0.0, 0.0, 1.0]))
        assert found == pytest.approx(length, abs=HALF_A_DIGIT)
    assert v.numbers["pitman_arm_mm"] == pytest.approx(pitman, abs=HALF_A_DIGIT)
    assert v.point("lower-ball-joint-left")[2] == pytest.approx(ball, abs=HALF_A_DIGIT)


@settings(max_examples=10, deadline=None)
@given(length=st.floats(300, 420))
def test_exact_an_arm_comes_out_whose_axis_does_not_run_straight_ahead(length: float) -> None:
    v = tape_vehicle("strut-rack-twist-beam", lower_arm_mm=length)
    axis = v.point("lower-arm-rear-left") - v.point("lower-arm-front-left")
    assert abs(axis[1]) > 5.0
    found = across(v, "lower-ball-joint-left", "lower-arm-front-left", axis)
    assert found == pytest.approx(length, abs=HALF_A_DIGIT)


@pytest.mark.parametrize(("layout", "linkage"), WAYS)
def test_exact_the_right_side_mirrors_the_left(layout: str, linkage: str) -> None:
    v = tape_vehicle(layout, linkage)
    for name in (name for name in v.points if name.endswith("-left")):
        np.testing.assert_array_equal(
            v.point(name.removesuffix("-left") + "-right"), v.point(name) * np.array([1.0, -1.0, 1.0])
        )


@settings(max_examples=10, deadline=None)
@given(track=st.floats(1400, 1900), height=st.floats(250, 380))
def test_invariant_arms_keep_their_axes_and_the_idler_stays_parallel(track: float, height: float) -> None:
    """A pivot axis turns in plan only as the track stretches it; in side view not at all."""
    drawn, scaled = load_vehicles()["yard-pickup"], tape_vehicle(front_track_mm=track, front_height_mm=height)
    for arm in ("lower", "upper"):
        before, after = (v.point(f"{arm}-arm-rear-left") - v.point(f"{arm}-arm-front-left") for v in (drawn, scaled))
        np.testing.assert_allclose(after[[0, 2]], before[[0, 2]], atol=HALF_A_DIGIT)
        assert after[1] == pytest.approx(before[1] * track / 1650.0, abs=HALF_A_DIGIT)
    arms = [
        scaled.point(f"{arm}-ball") - scaled.point(shaft)
        for arm, shaft in (("pitman", "pitman-shaft"), ("idler", "idler-pivot"))
    ]
    np.testing.assert_allclose(arms[0], arms[1], atol=HALF_A_DIGIT)


def test_exact_the_template_itself_comes_back_when_its_own_lengths_are_measured() -> None:
    drawn = load_vehicles()["yard-pickup"]
    v = tape_vehicle(
        wheelbase_mm=3645, front_track_mm=1650, rear_track_mm=1650, front_height_mm=286, hub_height_mm=385,
        front_axle_kg=1330, rear_axle_kg=970, tire_size="265/75R16",
    )  # fmt: skip
    far = {name: float(np.abs(v.point(name) - drawn.point(name)).max()) for name in drawn.points}
    # The tire's size says 401.95 mm where the drawing says 402: marks on the tread follow.
    assert {name: mm for name, mm in far.items() if mm > 0.3} == {}
    assert v.numbers["torsion_bar_diameter_mm"] == pytest.approx(28.5)
    assert "gvwr_kg" not in v.numbers


def test_every_joint_center_of_every_vehicle_belongs_to_a_group() -> None:
    for vehicle in load_vehicles().values():
        grouped = {point for group in groups_of(vehicle.points).values() for point in group.points}
        assert sorted({stem_of(name) for name in vehicle.points} - grouped) == []


def test_what_a_group_turns_is_an_element_of_some_vehicle() -> None:
    elements = {e.id for v in load_vehicles().values() for e in (*v.layout.joints, *v.layout.ratios)}
    assert [t for group in load_groups().values() for t in group.turned if t not in elements] == []


def test_a_measurement_makes_the_spread_of_what_it_fixes_smaller() -> None:
    rough, finer = tape_vehicle(), tape_vehicle(idler_forward_deg=4.0, idler_left_deg=0.0, lower_arm_mm=370)
    assert rough.spread is not None
    assert finer.spread is not None
    for group in ("idler-shaft", "lower-arm-axis"):
        assert finer.spread.groups[group].lean < rough.spread.groups[group].lean
    assert finer.spread.groups["upper-arm-axis"] == rough.spread.groups["upper-arm-axis"]


def test_exact_a_measured_shaft_leans_as_it_was_measured() -> None:
    leaning = tape_vehicle(idler_forward_deg=5.0, idler_left_deg=-2.0)
    (axis,) = {j.axis for j in leaning.layout.joints if j.id.startswith("idler-bushing")}
    x, y, z = (float(value) for value in axis)
    assert np.degrees(np.arctan2(x, z)) == pytest.approx(5.0)
    assert np.degrees(np.arctan2(y, z)) == pytest.approx(-2.0)


def test_the_data_files_are_read_by_the_package() -> None:
    folder = resources.files("looseends.vehicle") / "data" / "tape"
    assert {f.name for f in folder.iterdir()} == {"groups.toml", "questions.toml", "templates.toml"}
