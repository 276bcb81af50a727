"""Visits as technicians record them, judged, against what a master technician would advise first.

The visits stand in cases/, the advice in case_advice.toml; both were written down before anything was computed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis import judge_visit
from looseends.diagnosis.tables.store import TableStore
from looseends.inspection.read import read_visit
from looseends.inspection.types import Finding, Judgement, Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES, Vehicle

FOLDER = Path(__file__).parent
CASES: list[dict[str, Any]] = tomllib.loads((FOLDER / "case_advice.toml").read_text(encoding="utf-8"))["case"]

pytestmark = pytest.mark.slow


def with_key(key: str) -> Sequence[Any]:
    """The cases that say something of a kind, each under its visit's name."""
    return [pytest.param(case, id=case["visit"]) for case in CASES if key in case]


def visit_of(case: dict[str, Any]) -> Visit:
    """The visit as it is read from its file."""
    vehicles = load_vehicles()
    return read_visit(
        FOLDER / "cases" / f"{case['visit']}.toml",
        catalogue=load_catalogue(),
        part_ids={name: vehicle.parts for name, vehicle in vehicles.items()},
        vehicle_ids=vehicles,
    )


def setups_of(case: dict[str, Any], visit: Visit) -> tuple[Setup, ...]:
    """The setups of the visit and those that the case names beside them: all that this test has tables of."""
    named = [
        Setup(check, support, side, "held", "off", 0.0)
        for check, support in case.get("tables", [])
        for side in (SIDES if load_catalogue().checks[check].sided else (None,))
    ]
    return tuple(dict.fromkeys([*(done.setup for done in visit.checks), *named]))


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> TableStore:
    """Tables of these visits, computed once."""
    return TableStore(tmp_path_factory.mktemp("tables"))


def done_again(visit: Visit, check: str) -> Visit:
    """The visit with a check done once more, and read alike."""
    last = next(done for done in reversed(visit.checks) if done.setup.check == check)
    return replace(visit, checks=(*visit.checks, replace(last, number=len(visit.checks) + 1)))


@pytest.fixture(scope="module")
def judged_twice(store: TableStore) -> dict[str, tuple[Judgement, Judgement]]:
    """Every visit judged as recorded, and with the check done again that is asked for once more."""
    found = {}
    with pytest.MonkeyPatch.context() as patch:
        for case in CASES:
            visit = visit_of(case)
            setups = setups_of(case, visit)

            def usual(vehicle: Vehicle, setups: tuple[Setup, ...] = setups) -> tuple[Setup, ...]:
                return setups

            patch.setattr("looseends.diagnosis.inference.in_common.usual_setups", usual)
            vehicle = load_vehicles()[visit.vehicle]
            before = judge_visit(visit, vehicle, store=store)
            again = done_again(visit, case["again"]) if "again" in case else None
            found[case["visit"]] = (before, before if again is None else judge_visit(again, vehicle, store=store))
    return found


@pytest.fixture(scope="module")
def judgements(judged_twice: dict[str, tuple[Judgement, Judgement]]) -> dict[str, Judgement]:
    """Every visit judged, after the check that is asked for once more."""
    return {visit: after for visit, (_, after) in judged_twice.items()}


def finding(judgement: Judgement, part: str) -> Finding | None:
    """The finding on a part, if there is one."""
    return next((found for found in judgement.findings if found.part == part), None)


def test_every_visit_has_its_advice() -> None:
    assert sorted(case["visit"] for case in CASES) == sorted(path.stem for path in (FOLDER / "cases").glob("*.toml"))
    assert len(CASES) == 12


@pytest.mark.parametrize("case", with_key("first"))
def test_the_gravest_finding_is_what_is_advised_first(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    part, *verdicts = case["first"]
    first = judgements[case["visit"]].findings[0]
    assert (first.part, first.verdict in verdicts) == (part, True), first.summary


@pytest.mark.parametrize("case", with_key("again"))
def test_one_reading_that_decides_is_taken_again_before_all_else(
    case: dict[str, Any], judged_twice: dict[str, tuple[Judgement, Judgement]]
) -> None:
    before, _ = judged_twice[case["visit"]]
    first = before.next_checks[0]
    assert (first.setup.check, first.again) == (case["again"], True), first.reason
    assert before.suspects[0].part == case["leads"] and before.suspects[0].probability > 0.5


@pytest.mark.parametrize("case", with_key("named"))
def test_its_reasons_name_the_thing(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    found = finding(judgements[case["visit"]], case["first"][0])
    assert found is not None
    said = " ".join([found.summary, *(grounds.words for grounds in found.grounds)])
    assert [word for word in case["named"] if word not in said] == []


@pytest.mark.parametrize("case", with_key("leads"))
def test_the_likeliest_part_is_the_one_advised(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    assert judgements[case["visit"]].suspects[0].part == case["leads"]


@pytest.mark.parametrize("case", with_key("not_worn"))
def test_what_is_not_to_be_bought_is_not_called_worn(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    judgement = judgements[case["visit"]]
    worn = {suspect.part for suspect in judgement.suspects if suspect.probability >= 0.5}
    assert [part for part in case["not_worn"] if part in worn] == []


@pytest.mark.parametrize("case", with_key("not_sound"))
def test_what_is_not_proven_is_not_called_sound(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    sound = {found.part for found in judgements[case["visit"]].findings if found.verdict == "sound"}
    assert [part for part in case["not_sound"] if part in sound] == []


@pytest.mark.parametrize("case", with_key("remark"))
def test_a_remark_says_what_is_wrong_with_the_visit(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    said = [remark.words for remark in judgements[case["visit"]].remarks]
    assert [word for word in case["remark"] if not any(word in words for words in said)] == []


@pytest.mark.parametrize("case", with_key("next"))
def test_the_first_next_check_is_the_one_advised(case: dict[str, Any], judgements: dict[str, Judgement]) -> None:
    check, *supports = case["next"]
    first = judgements[case["visit"]].next_checks[0]
    assert (first.setup.check, first.setup.support in supports) == (check, True), first.reason
