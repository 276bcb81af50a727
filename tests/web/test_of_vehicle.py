"""What is worked out of a vehicle once: asked for anew where its file was changed, and whether its tables are there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from looseends.diagnosis import TableStore
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged import of_vehicle
from looseends.web.judged.of_vehicle import once_a_vehicle, usual_setups_of
from looseends.web.judged.preparing import Preparing


class Asked(TableStore):
    """Tables of these setups, and every setup that was asked for."""

    def __init__(self, there: set[Setup]) -> None:
        super().__init__(Path())
        self.there = there
        self.asked: list[Setup] = []

    def has(self, vehicle_id: str, setup: Setup) -> bool:
        self.asked.append(setup)
        return setup in self.there


def pickup() -> Vehicle:
    return load_vehicles()["yard-pickup"]


def test_it_is_worked_out_once_and_again_for_a_changed_vehicle() -> None:
    made: list[Vehicle] = []

    @once_a_vehicle
    def name_of(vehicle: Vehicle) -> str:
        made.append(vehicle)
        return vehicle.name

    changed = replace(pickup(), name="Another")
    assert [name_of(vehicle) for vehicle in (pickup(), pickup(), changed, changed)] == [
        pickup().name,
        pickup().name,
        "Another",
        "Another",
    ]
    assert len(made) == 2


def test_no_more_vehicles_are_kept_than_a_bay_has_at_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(of_vehicle, "_MOST", 2)
    made: list[str] = []
    kept = once_a_vehicle(lambda vehicle: made.append(vehicle.id))
    for name in ("a", "b", "c", "c", "a"):
        kept(load_vehicles().get(name) or _named(name))
    assert made == ["a", "b", "c", "a"]


NAMED: dict[str, Vehicle] = {}


def _named(name: str) -> Vehicle:
    return NAMED.setdefault(name, replace(pickup(), id=name))


def test_tables_that_were_there_are_not_looked_for_again_but_those_that_were_not_are() -> None:
    usual = usual_setups_of(pickup())
    tables = Asked(set(usual[1:]))
    preparing = Preparing(tables)
    assert not preparing.ready(pickup())
    tables.asked.clear()
    assert not preparing.ready(pickup())
    assert tables.asked == [usual[0]]
    tables.there.add(usual[0])
    assert preparing.ready(pickup())
    tables.asked.clear()
    assert preparing.ready(pickup())
    assert tables.asked == []


def test_tables_of_a_changed_vehicle_are_looked_for_again() -> None:
    tables = Asked(set(usual_setups_of(pickup())))
    preparing = Preparing(tables)
    assert preparing.ready(pickup())
    tables.there.clear()
    assert not preparing.ready(replace(pickup(), name="Another"))
