"""The plan of a vehicle is drawn from the vehicle's own points and parts."""

from __future__ import annotations

import pytest

from looseends.report.plan_geometry import PlanGeometry
from looseends.report.vehicle_plan import plan_geometry
from looseends.vehicle.vehicle import Vehicle, load_vehicles


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
    names = [line.name for line in geometry.structure]
    assert vehicle.point("upper-arm-front-left")[2] > vehicle.point("lower-arm-front-left")[2]
    assert names.index("left upper arm") < names.index("left lower arm")


def test_wheels_have_their_size_and_lie_within_the_drawing(vehicle: Vehicle, geometry: PlanGeometry) -> None:
    _, _, y_min, y_max = geometry.bounds()
    places = [(wheel.center, sign) for wheel in vehicle.layout.wheels for sign in (1, -1)]
    for wheel, (center, sign) in zip(geometry.wheels, places, strict=True):
        assert wheel.center == tuple(vehicle.point(f"{center}-left")[:2] * (1, sign))
        assert (wheel.diameter_mm, wheel.width_mm) == (2 * vehicle.numbers["wheel_radius_mm"], 265.0)
        assert y_min <= wheel.center[1] - wheel.width_mm / 2 < wheel.center[1] + wheel.width_mm / 2 <= y_max
