"""The bay's judging: what the visits of one vehicle share, and which go on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from looseends.diagnosis.inference.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.shop import Shop
from looseends.diagnosis.tables.store import TableStore
from looseends.inspection.types import Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.going_on import GoingOn
from tests.diagnosis.made_tables import visit

PICKUP, SEDAN = (load_vehicles()[name] for name in ("yard-pickup", "pilots-sedan"))


@pytest.fixture
def diagnosing_by(monkeypatch: pytest.MonkeyPatch) -> list[Diagnosing]:
    """Who diagnosed, one for each time; none of them computes anything."""
    asked: list[Diagnosing] = []

    def diagnosed(self: Diagnosing, visit: Visit) -> Diagnosed:
        asked.append(self)
        return Diagnosed(visit, self.vehicle, self.beliefs, (), {}, {}, (), None)  # type: ignore[arg-type]

    monkeypatch.setattr(Diagnosing, "diagnosed", diagnosed)
    return asked


def going_on(folder: Path, visits: int = 3, vehicles: int = 2, whole: int = 1) -> GoingOn:
    """A bay that keeps so many."""
    return GoingOn(TableStore(folder), Shop(), most_visits=visits, most_vehicles=vehicles, most_whole=whole)


def ask(bay: GoingOn, *asked: tuple[str, Vehicle]) -> None:
    """A new reading of each visit."""
    for number, (visit_id, vehicle) in enumerate(asked):
        bay.diagnosed(visit_id, replace(visit(), complaint=f"{number}"), vehicle)


def test_as_many_visits_go_on_as_are_kept(diagnosing_by: list[Diagnosing], tmp_path: Path) -> None:
    ask(going_on(tmp_path), ("a", PICKUP), ("b", PICKUP), ("c", PICKUP), ("a", PICKUP), ("b", PICKUP))
    assert diagnosing_by[3:] == diagnosing_by[:2]


def test_of_one_more_the_one_asked_longest_ago_begins_anew(diagnosing_by: list[Diagnosing], tmp_path: Path) -> None:
    ask(
        going_on(tmp_path, visits=2),
        ("a", PICKUP),
        ("b", PICKUP),
        ("a", PICKUP),
        ("c", PICKUP),
        ("a", PICKUP),
        ("b", PICKUP),
    )
    assert diagnosing_by[4] is diagnosing_by[0]
    assert diagnosing_by[5] is not diagnosing_by[1]


def test_visits_of_one_vehicle_share_tables_and_solvers(diagnosing_by: list[Diagnosing], tmp_path: Path) -> None:
    ask(going_on(tmp_path), ("a", PICKUP), ("b", PICKUP), ("c", SEDAN))
    one, other, sedan = diagnosing_by
    assert one.common is other.common
    assert sedan.common is not one.common


def test_a_vehicle_that_leaves_the_memory_takes_its_visits_along(
    diagnosing_by: list[Diagnosing], tmp_path: Path
) -> None:
    ask(going_on(tmp_path, vehicles=1), ("a", PICKUP), ("b", SEDAN), ("a", PICKUP), ("a", PICKUP))
    assert diagnosing_by[2].common is not diagnosing_by[0].common
    assert diagnosing_by[3] is diagnosing_by[2]


def test_a_visit_asked_again_as_it_was_is_not_diagnosed_again(diagnosing_by: list[Diagnosing], tmp_path: Path) -> None:
    bay, asked = going_on(tmp_path), visit()
    first = bay.diagnosed("a", asked, PICKUP)
    assert bay.diagnosed("a", asked, PICKUP) is first
    assert bay.diagnosed("a", replace(visit(), complaint="wanders"), PICKUP) is not first
    assert len(diagnosing_by) == 2
