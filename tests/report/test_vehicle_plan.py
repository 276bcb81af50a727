"""The plan of a vehicle is drawn from the vehicle's own points and parts."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.report.plan_geometry import PlanGeometry
from looseends.report.vehicle_plan import plan_geometry
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle

WIDTH_MM = {
    "yard-pickup": 265.0,
    "harbour-runabout": 205.0,
    "pilots-sedan": 225.0,
    "crew-van": 225.0,
    "stores-van": 215.0,
    "line-handler": 215.0,
    "beach-patrol": 235.0,
    "customs-wagon": 205.0,
    "quay-tractor": 245.0,
    "tug-tender": 235.0,
    "harbour-master": 225.0,
}


@pytest.fixture(params=load_vehicles().values(), ids=lambda vehicle: vehicle.id)
def vehicle(request: pytest.FixtureRequest) -> Vehicle:
    found: Vehicle = request.param
    return found


@pytest.fixture
def geometry(vehicle: Vehicle) -> PlanGeometry:
    return plan_geometry(vehicle)


def test_every_part_stands_at_its_place(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    assert {part.id: part.center for part in geometry.parts} == {
        part.id: part.place[:2] for part in vehicle.parts.values()
    }


def test_every_line_of_the_layout_is_drawn_on_its_sides(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    expected = {f"{side} {line.name}" for line in vehicle.layout.lines if line.sided for side in ("left", "right")}
    expected |= {line.name for line in vehicle.layout.lines if not line.sided}
    assert {line.name for line in geometry.structure} == expected
    assert len(geometry.structure) == len(expected)


def test_sided_lines_mirror(geometry: PlanGeometry) -> None:
    lines = {line.name: line.points for line in geometry.structure}
    for name, points in lines.items():
        if name.startswith("left "):
            assert lines[name.replace("left ", "right ")] == tuple((x, -y) for x, y in points)


def test_what_lies_higher_is_drawn_first(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    height = {
        line.name: np.mean([vehicle.point(vehicle.on_side(name, "left"))[2] for name in line.through])
        for line in vehicle.layout.lines
    }
    drawn = [height[line.name.removeprefix("left ").removeprefix("right ")] for line in geometry.structure]
    assert drawn == sorted(drawn, reverse=True)


OTHER_REARS_MM = {"guest-estate": 205.0, "mail-hatchback": 205.0, "purser-sedan": 225.0, "school-bus": 225.0}


def test_wheels_have_their_size_and_lie_within_the_drawing(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    _, _, y_min, y_max = geometry.bounds()
    for wheel in geometry.wheels:
        assert (wheel.diameter_mm, wheel.width_mm) == (
            2 * vehicle.numbers["wheel_radius_mm"],
            (WIDTH_MM | OTHER_REARS_MM)[vehicle.id],
        )
        assert y_min <= wheel.center[1] - wheel.width_mm / 2 < wheel.center[1] + wheel.width_mm / 2 <= y_max


DUAL_X_MM = {"crew-van": -4200.0, "school-bus": -5200.0}


def test_wheels_stand_at_their_centers_and_dual_ones_on_both_sides_of_it(
    vehicle: Vehicle, geometry: PlanGeometry
) -> None:
    places = {wheel.name: wheel.center for wheel in geometry.wheels}
    assert len(places) == len(geometry.wheels)
    if "left rear wheel" in places:
        assert len(places) == 4
    else:
        # track of the inner and of the outer wheels, and the wheelbase
        assert places["left rear inner wheel"] == (DUAL_X_MM[vehicle.id], 690.0)
        assert places["right rear outer wheel"] == (DUAL_X_MM[vehicle.id], -970.0)
    for name, (x, y) in places.items():
        if name.startswith("left"):
            assert places[name.replace("left", "right")] == (x, -y)


def test_single_wheels_stand_at_the_vehicles_wheel_centers(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    for wheel in vehicle.layout.wheels:
        drawn = [found.center for found in geometry.wheels if found.name.startswith(f"left {wheel.end}")]
        assert tuple(np.mean(drawn, axis=0)) == tuple(vehicle.point(f"{wheel.center}-left")[:2])
