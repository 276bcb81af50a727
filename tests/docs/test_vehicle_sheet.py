"""The sheet of vehicles is the one that the vehicle files give."""

from __future__ import annotations

import pytest

from looseends.vehicle.loading import load_vehicles
from tests.report.draw_pictures import PAGE, PLANS, page, plan


def test_the_page_is_current() -> None:
    """Written by `python -m tests.report.draw_pictures`."""
    assert PAGE.read_text(encoding="utf-8") == page()


@pytest.mark.parametrize("vehicle", sorted(load_vehicles()))
def test_every_plan_is_current(vehicle: str) -> None:
    assert (PLANS / f"{vehicle}.svg").read_text(encoding="utf-8") == plan(load_vehicles()[vehicle])


def test_no_plan_is_of_a_vehicle_that_is_gone() -> None:
    assert {file.stem for file in PLANS.glob("*.svg")} == set(load_vehicles())
