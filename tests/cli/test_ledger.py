"""`looseends ledger`: what it prints of a visit's worn parts. The posterior is given, so that no table is computed."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import as_file
from pathlib import Path

import numpy as np
import pytest

from looseends.cli.ledger import _after_a_while
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.inference import diagnose as behind
from looseends.diagnosis.inference.counted import Counted
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.explanation import Explanation, normalized
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.tables.states import vehicle_states
from looseends.inspection import EXAMPLE_VISIT
from looseends.inspection.types import Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from tests.cli.command_line import run

ROD, IDLER = "outer-tie-rod-end-left", "idler-arm"
Given = Callable[[dict[tuple[str, ...], float]], str]


@pytest.fixture
def given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Given:
    """A visit file, and sets of worn parts with their probabilities as its posterior, each part
    at five times its reject clearance along its leading axis.
    """
    states = {s.part.id: s for s in vehicle_states(load_vehicles()["yard-pickup"], load_beliefs())}

    def one(parts: tuple[str, ...], probability: float) -> Explanation:
        place = [[tuple(knots) for knots in states[part].index].index((5, -1)) for part in parts]
        places = np.array(place, dtype=np.intp).reshape(1, len(parts))
        return Explanation(parts, float(np.log(probability)), Counted(places, np.ones(1)))

    def written(sets: dict[tuple[str, ...], float]) -> str:
        found = normalized([one(*entry) for entry in sets.items()], states, {}, Prior({}))

        def diagnosed(visit: Visit, vehicle: Vehicle, **_: object) -> Diagnosed:
            return Diagnosed(visit, vehicle, load_beliefs(), (), {}, states, (), found)

        monkeypatch.setattr(behind, "diagnose", diagnosed)
        with as_file(EXAMPLE_VISIT) as path:
            text = path.read_text(encoding="utf-8").replace('seen = "torn-boot"', 'seen = "corroded"')
            (tmp_path / "visit.toml").write_text(text, encoding="utf-8")
        return str(tmp_path / "visit.toml")

    return written


def test_the_shares_the_repair_and_the_road_are_told_in_turn(given: Given, capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, "ledger", given({(ROD,): 0.96, (): 0.04}))
    assert done.code == 0
    order = ["Worn, with its chance: left outer tie-rod end 0.96", "Whose the free travel is", "all sound parts"]
    order += ["What is left after replacing", "The repair that is enough", "Replace left outer tie-rod end."]
    order += ["49 CFR 570.7(b)", "On the road", "Braking: left front wheel swings", "On the tires", "may come to show"]
    places = [" ".join(done.out.split()).index(words) for words in order]
    assert places == sorted(places)
    assert "Not proven yet" not in done.out


def test_a_part_that_is_not_proven_is_not_to_be_bought_on_it(given: Given, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "ledger", given({(ROD,): 0.6, (IDLER,): 0.3, (): 0.1})).out
    assert "Not proven yet, and not to be bought on this: left outer tie-rod end." in out


def test_json_has_every_subset_and_adds_up(given: Given, capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, "ledger", given({(IDLER, ROD): 0.9, (ROD,): 0.1}), "--json").json()
    assert {entry["part"]: entry["chance"] for entry in answer["parts"]} == pytest.approx({ROD: 1.0, IDLER: 0.9})
    for place in answer["places"]:
        remains = {tuple(sorted(entry["replaced"])): entry["mm"] for entry in place["remains"]}
        assert set(remains) == {(), (ROD,), (IDLER,), (IDLER, ROD)}
        assert remains[()] == pytest.approx(place["free_mm"])
        assert remains[IDLER, ROD] == pytest.approx(place["sound_mm"])
        assert sum(place["shares_mm"].values()) + place["sound_mm"] == pytest.approx(place["free_mm"])
    assert set(answer["repair"]["parts"]) == {IDLER, ROD}
    assert answer["leading_probability"] == pytest.approx(0.9)
    braking = next(case for case in answer["road"] if case["case"] == "braking")
    left = next(wheel for wheel in braking["wheels"] if wheel["wheel"] == "front left")
    assert left["toe"]["added_deg"] < -0.1
    assert left["toe_added_mm"] == pytest.approx(804.0 * np.sin(np.radians(left["toe"]["added_deg"])))


def test_nothing_worn_says_so_and_where_to_go_on(given: Given, capsys: pytest.CaptureFixture[str]) -> None:
    file = given({(): 0.7, (ROD,): 0.3})
    done = run(capsys, "ledger", file)
    out = " ".join(done.out.split())
    assert done.code == 0
    assert "No ledger:" in out and "likely (0.70)" in out and "left outer tie-rod end 0.30" in out
    assert '"looseends next VISIT"' in out
    assert run(capsys, "ledger", file, "--json").json()["none_worn_probability"] == pytest.approx(0.7)


def test_what_was_seen_on_a_part_is_told_though_nothing_is_loose(
    given: Given, capsys: pytest.CaptureFixture[str]
) -> None:
    file = Path(given({(): 1.0}))
    file.write_text(file.read_text(encoding="utf-8").replace("corroded", "torn-boot"), encoding="utf-8")
    out = " ".join(run(capsys, "ledger", str(file)).out.split())
    assert "replace all the same: left outer tie-rod end." in out


def test_a_file_that_is_no_visit_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, "ledger", str(tmp_path / "none.toml"))
    assert (done.code, done.out) == (2, "")
    assert done.err.count("\n") == 1


def test_progress_is_silent_for_two_seconds_and_then_told(monkeypatch: pytest.MonkeyPatch) -> None:
    now, told = [0.0], []
    monkeypatch.setattr("looseends.cli.ledger.monotonic", lambda: now[0])
    report = _after_a_while(lambda *step: told.append(step))
    for seconds in (0.5, 1.9, 2.1):
        now[0] = seconds
        report("solving", 1, 3)
    assert told == [("solving", 1, 3)]
