"""`looseends compare`: two visits side by side, or two sides; the judgements are given."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import looseends.diagnosis
from looseends.inspection.types import Judgement, Replaced, Visit
from looseends.vehicle.vehicle import Vehicle
from tests.cli.command_line import refusal, run
from tests.cli.test_judgement import finding, judgement_of, visit_file

__all__ = ["visit_file"]
ROD = "outer-tie-rod-end-left"
LATER = (("2026-10-14", "2026-10-21"), ("gauge_mm = 10.5, free_mm = 3.6", "gauge_mm = 8.8, free_mm = 1.6"))


@pytest.fixture(autouse=True)
def given(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stands in for the diagnosis: the rod end is to be replaced in the first visit, and sound in the later one."""

    def judge_visit(visit: Visit, vehicle: Vehicle, **_: object) -> Judgement:
        if visit.date.day == 14:
            return judgement_of(visit)
        event = Replaced(1, ROD, 0, "Tom Orrin", "new part")
        return replace(judgement_of(replace(visit, replaced=(event,))), findings=(finding(ROD, "sound"),))

    monkeypatch.setattr(looseends.diagnosis, "judge_visit", judge_visit)


@pytest.fixture
def later(visit_file: str, tmp_path: Path) -> str:
    """The same visit a week later, with less play at the tread."""
    return changed(visit_file, tmp_path / "later.toml", *LATER)


def changed(source: str, target: Path, *changes: tuple[str, str]) -> str:
    text = Path(source).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    target.write_text(text, encoding="utf-8")
    return str(target)


def test_readings_verdicts_and_repairs_of_two_visits(
    visit_file: str, later: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = " ".join(run(capsys, "compare", visit_file, later).out.split())
    assert "Yard pickup: 14 October 2026 beside 21 October 2026" in out
    assert "10.5 mm, 3.6 mm of it 8.8 mm, 1.6 mm of it less (errors make up to" in out
    assert "left outer tie-rod end replace sound" in out
    assert "What was replaced: left outer tie-rod end, by Tom Orrin (new part)" in out
    assert "95 %" in out


def test_json_holds_the_readings_the_error_and_the_verdicts(
    visit_file: str, later: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answer: Any = run(capsys, "compare", visit_file, later, "--json").json()
    first = answer["readings"][0]
    assert (first["watch"], first["first"]["free_mm"], first["second"]["free_mm"]) == ("tread", 3.6, 1.6)
    assert first["change"] == "less" and 0.5 < first["margin_mm"] < 1.0
    assert {"part": ROD, "name": "left outer tie-rod end", "first": "replace", "second": "sound"} in answer["verdicts"]
    assert answer["replaced"][0]["part"] == ROD


def test_the_same_visit_twice_differs_in_nothing(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    answer: Any = run(capsys, "compare", visit_file, visit_file, "--json").json()
    assert answer["verdicts"] == [] and {entry["change"] for entry in answer["readings"]} == {"as before"}
    assert "No verdict differs." in run(capsys, "compare", visit_file, visit_file).out


def test_left_beside_right_names_no_side(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(run(capsys, "compare", visit_file, "--sides").out.split())
    assert "Yard pickup: left beside right" in out and "left side" not in out and "right side" not in out
    assert "outer tie-rod end replace unproven" in out


def test_in_spanish_and_inches(visit_file: str, later: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(run(capsys, "compare", visit_file, later, "--language", "es", "--units", "us").out.split())
    assert "0.413 in, de ellos" in out and "Veredictos que difieren:" in out and "Difference" not in out


def test_what_cannot_be_compared_is_refused_in_a_sentence(
    visit_file: str, later: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "accepted is the earlier visit first" in refusal(capsys, "compare", later, visit_file)
    assert "accepted are two visits, or one visit with --sides" in refusal(capsys, "compare", visit_file)
    assert "found two visits with --sides" in refusal(capsys, "compare", visit_file, later, "--sides")
    stranger = changed(visit_file, tmp_path / "stranger.toml", ("SLIP 07", "SLIP 08"))
    assert 'plate is "SLIP 08"' in refusal(capsys, "compare", visit_file, stranger)
