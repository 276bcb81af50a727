"""`looseends judge`, `next`, `handover`, `demo`: what they print of a judgement, and where they write it.

What the judgement says is the concern of the tests of diagnosis; here it is given, and the vehicle's tables are not
computed.
"""

from __future__ import annotations

import io
from dataclasses import replace
from importlib.resources import as_file
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

import looseends.cli.judged_visit
import looseends.diagnosis
from looseends.cli.judged_visit import recorded_visit
from looseends.cli.judgement_text import print_judgement, probability_words
from looseends.inspection import EXAMPLE_VISIT, Setup, Visit
from looseends.inspection.types import Finding, Grounds, Judgement, NextCheck, Suspect, SystemFinding, Unproven
from looseends.vehicle.vehicle import Vehicle
from tests.cli.command_line import refusal, run

LIMIT = Grounds("limit", "Common practice rejects at 0.3 mm.", "common practice", "from memory", "check 1")


def finding(part: str, verdict: Any) -> Finding:
    """A finding of that verdict with one limit as its grounds."""
    words = part.replace("-", " ")
    return Finding(part, words, verdict, f"Summary of {words}.", "Effect.", "Advice.", 0.5, None, None, None, (LIMIT,))


def judgement_of(visit: Visit) -> Judgement:
    """A judgement with one part of each verdict, in the wrong order."""
    parts = {
        "idler-arm": "sound",
        "lower-ball-joint-left": "unproven",
        "outer-tie-rod-end-left": "replace",
        "pitman-ball": "plan",
        "center-link": "unsafe",
    }
    setup = Setup("bj-axial", "arm", "left", "held", "off", 0.0)
    proof = ("nothing loaded it", "bj-axial", "arm", "lift the tire with a bar")
    return Judgement(
        visit=visit,
        vehicle_name="yard pickup",
        findings=tuple(finding(part, verdict) for part, verdict in parts.items()),
        system_findings=(SystemFinding("us-570-7b-linkage", "Linkage play at the tread.", True, (LIMIT,)),),
        suspects=(Suspect("outer-tie-rod-end-left", "outer tie rod end left", 0.62, 0.08),),
        sets=(),
        unproven=(Unproven("lower-ball-joint-left", "lower ball joint left", *proof),),
        next_checks=(NextCheck(setup, ("lower-ball-joint-left",), 5.0, 0.61, (), "It alone shows the carrier."),),
        remarks=(Grounds("cannot show", "Hanging wheels hide the carrier.", None, "", "check 4"),),
    )


@pytest.fixture
def given_judgement(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stands in for the diagnosis, which needs tables that take minutes; reads the visit for true."""

    def judge_visit(visit: Visit, vehicle: Vehicle, **_: object) -> Judgement:
        assert vehicle.id == visit.vehicle
        return judgement_of(visit)

    monkeypatch.setattr(looseends.diagnosis, "judge_visit", judge_visit)
    monkeypatch.setattr(looseends.cli.judged_visit, "consequences", lambda *_: None)


@pytest.fixture
def visit_file(tmp_path: Path) -> str:
    """The example visit as a file of its own."""
    with as_file(EXAMPLE_VISIT) as path:
        (tmp_path / "visit.toml").write_bytes(path.read_bytes())
    return str(tmp_path / "visit.toml")


@pytest.mark.usefixtures("given_judgement")
def test_the_gravest_stand_first_each_by_its_word(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "judge", visit_file).out
    starts = [out.index(f"\n{word}  ") for word in ("unsafe", "replace", "plan", "sound", "unproven")]
    assert starts == sorted(starts)
    assert "replace  outer tie rod end left: Summary of outer tie rod end left." in out


def test_how_soon_a_repair_is_due_stands_beside_its_verdict() -> None:
    terminal = Console(file=io.StringIO(), width=200)
    with as_file(EXAMPLE_VISIT) as path:
        told = judgement_of(recorded_visit(path))
    due = tuple(replace(f, urgency="now") if f.verdict == "replace" else f for f in told.findings)
    print_judgement(replace(told, findings=due), terminal)
    out = terminal.file.getvalue()  # type: ignore[attr-defined]
    assert "replace, now  outer tie rod end left: Summary" in out
    assert "plan  pitman ball" in out


@pytest.mark.usefixtures("given_judgement")
def test_grounds_suspects_and_the_next_check_are_told(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "judge", visit_file).out
    words = " ".join(out.split())
    assert "\n    limit: Common practice rejects at 0.3 mm. [check 1; common practice; from memory]" in out
    assert "would be shown by: lift the tire with a bar" in words
    assert words.count("lower ball joint left:") == 1
    assert "limit exceeded Linkage play at the tread." in words
    assert "outer tie rod end left: possible (0.62), before the visit 0.08" in words
    assert "note: Hanging wheels hide the carrier." in words
    assert "Next: Lift the wheel with a bar (bj-axial), held under the lower arms (arm), left side" in words


@pytest.mark.usefixtures("given_judgement")
def test_next_says_how_and_keeps_the_caution_beside_it(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(run(capsys, "next", visit_file).out.split())
    assert "It alone shows the carrier." in out
    assert out.index("hold: A stand under each lower arm") < out.index("caution: An arm stand can slip")
    assert out.index("do: With the stand under the lower arm") < out.index("caution: Keep fingers out of the gap")
    assert run(capsys, "next", visit_file, "--json").json()[0]["setup"]["check"] == "bj-axial"


@pytest.mark.usefixtures("given_judgement")
def test_json_holds_the_whole_judgement(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    judged = run(capsys, "judge", visit_file, "--json").json()
    assert judged["visit"]["date"] == "2026-10-14"
    assert [entry["verdict"] for entry in judged["findings"]] == ["sound", "unproven", "replace", "plan", "unsafe"]
    assert judged["findings"][0]["grounds"][0]["source"] == "from memory"


@pytest.mark.usefixtures("given_judgement")
def test_handover_writes_two_files_and_prints_their_paths(
    visit_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    paths = [Path(line) for line in run(capsys, "handover", visit_file, "-o", str(folder)).out.splitlines()]
    assert [path.suffix for path in paths] == [".html", ".pdf"]
    assert sorted(folder.iterdir()) == sorted(paths)
    assert "Lift the wheel with a bar" in paths[0].read_text(encoding="utf-8")
    assert paths[1].read_bytes().startswith(b"%PDF")
    assert run(capsys, "handover", visit_file, "-o", str(folder), "--json").json() == {"files": [str(p) for p in paths]}


@pytest.mark.usefixtures("given_judgement")
def test_a_handover_that_differs_is_replaced_only_on_purpose(
    visit_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(capsys, "handover", visit_file, "-o", str(tmp_path / "out"))
    page = next((tmp_path / "out").glob("*.html"))
    page.write_text("another", encoding="utf-8")
    assert str(page) in refusal(capsys, "handover", visit_file, "-o", str(tmp_path / "out"))
    assert page.read_text(encoding="utf-8") == "another"
    assert run(capsys, "handover", visit_file, "-o", str(tmp_path / "out"), "--replace").code == 0
    assert page.read_text(encoding="utf-8") != "another"


@pytest.mark.usefixtures("given_judgement")
def test_a_file_in_place_of_the_directory_is_bad_input(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert visit_file in refusal(capsys, "handover", visit_file, "-o", visit_file)


@pytest.mark.usefixtures("given_judgement")
def test_demo_judges_the_example_and_writes_its_handover_here(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run(capsys, "demo")
    assert done.code == 0
    assert "Saltmarsh" not in done.err
    assert "yard pickup, 2026-10-14, Ines Calder" in done.out
    assert {path.suffix for path in (tmp_path / "handover").iterdir()} == {".html", ".pdf"}
    assert all(str(Path("handover") / path.name) in done.out for path in (tmp_path / "handover").iterdir())


def test_prepare_reports_progress_and_says_where_the_tables_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def prepare_tables(vehicle: Vehicle, *, store: Any, progress: Any, executor: Any) -> None:
        assert executor is None
        assert (vehicle.id, store.directory.parent) == ("yard-pickup", tmp_path)
        progress("wheel39 on frame, left", 1, 2)

    monkeypatch.setattr(looseends.diagnosis, "prepare_tables", prepare_tables)
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path))
    done = run(capsys, "prepare", "yard-pickup", "--json")
    assert done.err == "1 of 2 (50 %): wheel39 on frame, left\n"
    assert Path(done.json()["directory"]).parent == tmp_path


def test_weight_is_the_only_emphasis(visit_file: str) -> None:
    """No colour reaches the terminal: only bold (1), dim (2) and reset (0)."""
    import re

    from looseends.catalogue import load_catalogue
    from looseends.inspection import read_visit
    from looseends.vehicle.loading import load_vehicles

    vehicles = load_vehicles()
    part_ids = {vehicle.id: tuple(vehicle.parts) for vehicle in vehicles.values()}
    visit = read_visit(Path(visit_file), catalogue=load_catalogue(), part_ids=part_ids, vehicle_ids=tuple(vehicles))
    written = io.StringIO()
    terminal = Console(file=written, force_terminal=True, no_color=True, highlight=False, markup=False, width=100)
    print_judgement(replace(judgement_of(visit), next_checks=()), terminal)
    assert set(re.findall(r"\x1b\[([\d;]*)m", written.getvalue())) <= {"0", "1", "2"}
    assert "\x1b[1mreplace\x1b[0m" in written.getvalue()
    assert "Next: no check left would tell more." in written.getvalue()


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.99, "nearly certain (0.99)"),
        (0.62, "possible (0.62)"),
        (0.7, "likely (0.70)"),
        (0.01, "very unlikely (0.01)"),
    ],
)
def test_a_probability_is_a_word_and_a_number(probability: float, words: str) -> None:
    assert probability_words(probability) == words
