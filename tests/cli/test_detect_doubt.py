"""`looseends detect` on a tape vehicle: it tells how far its least sure answers hang on what was not measured."""

from __future__ import annotations

from typing import Any

import pytest

from looseends.cli import detect_doubt
from looseends.cli.detect_doubt import doubt_record, doubts_of, print_doubt
from looseends.diagnosis.verdicts.unmeasured import JOINTS_AND_HAND, Doubt
from looseends.errors import MechanicsError
from looseends.vehicle.groups import load_groups
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from tests.diagnosis.made_tables import yard_pickup
from tests.diagnosis.made_ways import IDLER, LASH, SHAKE_ARM, WAYS
from tests.vehicle.tape_answers import tape_vehicle

PARTS = tuple(dict.fromkeys(way.part for way in WAYS))
LEAST_SURE = ["steering-gear", "idler-ball", "upper-ball-joint-left"]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Setup, Any]]:
    """Stands in for the mechanics: three quarters of each doubt hang on the idler's bracket."""
    seen: list[tuple[Setup, Any]] = []

    def doubts(vehicle: Vehicle, setup: Setup, preload: Any, worn: Any, beliefs: Any) -> tuple[Doubt, ...]:
        seen.append((setup, worn))
        shares = {"idler-shaft": 0.75, "steering-box": 0.05, JOINTS_AND_HAND: 0.2}
        return tuple(Doubt(watch, 1.0, 0.2, shares) for watch in ("idler-end", *PARTS))

    monkeypatch.setattr(detect_doubt, "doubts", doubts)
    monkeypatch.setattr(detect_doubt, "preload_of", lambda vehicle: {})
    return seen


def test_the_least_sure_of_what_is_shown_is_looked_at_in_its_best_way_and_worn_to_its_limit(
    asked: list[tuple[Setup, Any]],
) -> None:
    vehicle = tape_vehicle()
    found = doubts_of(WAYS, PARTS, vehicle)
    assert [f.way.part for f in found] == LEAST_SURE
    assert [setup for setup, _ in asked[:2]] == [LASH, SHAKE_ARM]
    assert [worn for _, worn in asked] == [{(f.way.part, f.way.axis): 1.3} for f in found]
    assert doubts_of([way for way in WAYS if way.setup == IDLER], PARTS, vehicle)[0].doubt.watch == "idler-end"


def test_a_part_that_nothing_shows_is_left_out(asked: list[tuple[Setup, Any]]) -> None:
    hidden = [way for way in WAYS if way.sights["gauge"].chance == 0.01]
    assert hidden
    assert doubts_of(hidden, PARTS, tape_vehicle()) == ()


def test_a_vehicle_as_drawn_has_no_doubt_and_its_record_nothing_more(asked: list[tuple[Setup, Any]]) -> None:
    assert doubts_of(WAYS, PARTS, yard_pickup()) == ()
    assert doubt_record(()) == {}
    assert asked == []


def test_text_and_record_name_the_one_measurement(
    asked: list[tuple[Setup, Any]], capsys: pytest.CaptureFixture[str]
) -> None:
    vehicle = tape_vehicle()
    found = doubts_of(WAYS, PARTS, vehicle)
    record = doubt_record(found)
    assert [entry["part"] for entry in record["by_tape"]] == LEAST_SURE
    assert record["by_tape"][0]["unmeasured_share"] == pytest.approx(0.8)
    assert record["measure_next"] == "idler-shaft"
    print_doubt(found, vehicle)
    said = " ".join(capsys.readouterr().out.split())
    assert "give or take 0.20 mm; 80 % of the doubt hangs on what was not measured, 75 % from" in said
    assert said.rstrip(".").endswith(load_groups()["idler-shaft"].measure)


def test_where_a_vehicle_cannot_rest_the_reason_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def cannot_rest(*_: Any) -> Any:
        raise MechanicsError("ramp-truck: tips over")

    monkeypatch.setattr(detect_doubt, "preload_of", cannot_rest)
    assert doubts_of(WAYS, PARTS, tape_vehicle()) == ()
    assert "cannot be told: ramp-truck: tips over" in capsys.readouterr().err
