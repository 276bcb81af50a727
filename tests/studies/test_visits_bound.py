"""What a plan fixed beforehand could prove: on ways made by hand, where it is known."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.ways import Way
from looseends.diagnosis.tables.store import TableStore
from studies.visits_bay import Bay
from studies.visits_bound import fixed_plan
from tests.diagnosis.made_tables import yard_pickup
from tests.diagnosis.made_ways import IDLER, LASH, SHAKE_ARM, WAYS, way

CHANCES = (0.0, 1.0)
"""One worn part, always."""


def bay(ways: Sequence[Way]) -> Bay:
    return Bay(yard_pickup(), TableStore(Path()), (LASH, IDLER, SHAKE_ARM), tuple(ways), {})


def test_in_no_more_time_than_the_opening_takes_nothing_is_proven() -> None:
    found = fixed_plan(bay(WAYS), "gauge", load_opening().minutes + 0.1, CHANCES)
    assert (found["parts that it proves"], found["share %"]) == (0, 0.0)


def test_in_time_enough_it_proves_what_all_checks_prove() -> None:
    found = fixed_plan(bay(WAYS), "gauge", 500.0, CHANCES)
    assert found["share %"] == 100.0
    assert 0.0 < found["all worn parts among them %"] == found["among those that all checks prove %"] < 100.0


def test_more_minutes_prove_no_fewer_parts_and_what_is_worn_oftener_comes_first() -> None:
    parts = [fixed_plan(bay(WAYS), "gauge", minutes, CHANCES)["parts that it proves"] for minutes in (20, 30, 45, 90)]
    assert parts == sorted(parts) and parts[0] < parts[-1]


@pytest.mark.parametrize(("worn", "expected"), [((1.0,), 100.0), ((0.0, 0.0, 0.0, 0.0, 1.0), 0.0)])
def test_with_nothing_worn_any_plan_holds_it_and_hardly_one_holds_four(
    worn: tuple[float, ...], expected: float
) -> None:
    one = bay([way("idler-arm", IDLER, 0.96)])
    found = fixed_plan(one, "gauge", load_opening().minutes + 8.0, worn)
    assert found["all worn parts among them %"] == pytest.approx(expected, abs=0.2)
