"""The runner of the studies: what it accepts, and what it writes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import studies.__main__ as runner
from looseends.errors import InputError
from studies.writing import markdown, write_result

DOCUMENT = {
    "study": "recovery",
    "stamp": "ab" * 32,
    "run_on": "2026-01-01",
    "result": {
        "title": "Finding the worn set",
        "about": "How often the worn set was found.",
        "rows": {"idler": {"cases": 40, "found_share": 0.95}, "pitman": {"cases": 40, "worst_mm": 0.123456}},
        "remarks": ["Gauges only."],
        "seed": 7,
    },
}


def test_names_and_rows_are_read() -> None:
    assert runner.chosen([], ["a", "b"]) == (["a", "b"], None)
    assert runner.chosen(["b", "ROW=x,y"], ["a", "b"]) == (["b"], ["x", "y"])
    assert runner.chosen(["ROW=x"], ["a"]) == (["a"], ["x"])


def test_a_row_finds_its_study_and_may_have_commas() -> None:
    rows = {"a": {"x", "x, again"}, "b": {"y"}}
    assert runner.chosen(["ROW=y"], ["a", "b"], rows) == (["b"], ["y"])
    assert runner.chosen(["ROW=x, again"], ["a", "b"], rows) == (["a"], ["x, again"])
    with pytest.raises(InputError, match=r"^ROW=x,y needs one study to belong to"):
        runner.chosen(["ROW=x,y"], ["a", "b"], rows)


def test_an_unknown_study_is_answered_with_near_names() -> None:
    with pytest.raises(InputError, match=r'^study "recovry" is not known, accepted: recovery, '):
        runner.chosen(["recovry"], ["recovery", "agreement"])


def test_rows_need_one_study() -> None:
    with pytest.raises(InputError, match=r"^ROW=x needs one study to belong to, accepted before it: a, b$"):
        runner.chosen(["ROW=x"], ["a", "b"])


def test_page_shows_rows_as_a_table_and_the_stamp() -> None:
    lines = markdown(DOCUMENT).splitlines()
    assert lines[0] == "# Finding the worn set"
    assert "| row | cases | found_share | worst_mm |" in lines
    assert "| idler | 40 | 0.95 |  |" in lines
    assert "| pitman | 40 |  | 0.1235 |" in lines
    assert "- Gauges only." in lines
    assert "**Seed**: 7" in lines
    assert "ab" * 32 in lines[-1]


def test_a_full_run_is_written_and_a_partial_one_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(runner, "RESULTS", tmp_path)
    monkeypatch.setattr(runner, "ROOT", tmp_path)

    def run(rows: list[str] | None) -> dict[str, object]:
        return {"rows": {name: {"cases": 1} for name in rows or ["x", "y"]}}

    runner.run_study("small", run, ["x"])
    assert "| x | 1 |" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []
    runner.run_study("small", run, None)
    written = json.loads((tmp_path / "small.json").read_text())
    assert list(written["result"]["rows"]) == ["x", "y"]
    assert written["stamp"] == runner.code_stamp()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["small.json", "small.md"]


def test_a_result_that_is_not_a_number_is_refused_and_leaves_the_old_one(tmp_path: Path) -> None:
    write_result(DOCUMENT, tmp_path)
    before = (tmp_path / "recovery.json").read_text()
    with pytest.raises(ValueError, match="JSON compliant"):
        write_result({**DOCUMENT, "result": {"mean": float("nan")}}, tmp_path)
    assert (tmp_path / "recovery.json").read_text() == before
