"""`looseends handover`: its options, and what it gathers beside the judgement, which is given."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

import looseends.diagnosis
from looseends.cli import judged_visit
from looseends.diagnosis.consequences.account import Account, account_of
from looseends.diagnosis.consequences.wear import PartWear, known
from looseends.inspection.types import Judgement, Repair, Replaced, Visit
from looseends.vehicle.vehicle import Vehicle
from tests.cli.command_line import run
from tests.cli.test_judgement import judgement_of, visit_file
from tests.vehicle.front_end import yard_pickup

__all__ = ["visit_file"]
ROD = "outer-tie-rod-end-left"


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Stands in for the diagnosis; gathers of how many checks it was asked. The rod end was replaced after check 3."""
    counts: list[int] = []

    def judge_visit(visit: Visit, vehicle: Vehicle, **_: object) -> Judgement:
        counts.append(len(visit.checks))
        event = Replaced(1, ROD, 3, "Tom Orrin", "")
        repairs = (Repair(ROD, "left outer tie-rod end", 3, False, 0.1, "It was replaced.", "idler"),)
        return replace(judgement_of(replace(visit, replaced=(event,))), repairs=repairs)

    monkeypatch.setattr(looseends.diagnosis, "judge_visit", judge_visit)
    return counts


def account(visit: Visit, _policy: Path | None = None) -> Account:
    """Play in one rod end, as if it were known."""
    return account_of(yard_pickup(), known({ROD: PartWear(radial_mm=1.5)}), visit.jurisdiction)


def page_of(out: str) -> str:
    return " ".join(Path(out.splitlines()[0]).read_text(encoding="utf-8").split())


def test_a_replaced_part_is_judged_by_what_was_done_before_it_was_replaced(
    asked: list[int], visit_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    done = run(capsys, "handover", visit_file, "-o", str(tmp_path / "out"), "--quick")
    assert asked == [7, 3]
    assert "<dt>As found</dt><dd>Replace: Summary of outer tie rod end left.</dd>" in page_of(done.out)


def test_consequences_are_told_unless_it_has_to_be_quick(
    asked: list[int],
    visit_file: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(judged_visit, "consequences", account)
    full = run(capsys, "handover", visit_file, "-o", str(tmp_path / "full"))
    quick = run(capsys, "handover", visit_file, "-o", str(tmp_path / "quick"), "--quick")
    assert "Braking: left front wheel swings" in page_of(full.out)
    assert "Braking:" not in page_of(quick.out) and "What needs doing" in page_of(quick.out)


def test_the_paper_is_chosen(
    asked: list[int], visit_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sizes = []
    for paper in ("a4", "letter"):
        done = run(capsys, "handover", visit_file, "-o", str(tmp_path / paper), "--quick", "--paper", paper)
        page = PdfReader(io.BytesIO(Path(done.out.splitlines()[1]).read_bytes())).pages[0]
        sizes.append((round(float(page.mediabox.width)), round(float(page.mediabox.height))))
    assert sizes == [(595, 842), (612, 792)]


def test_another_paper_is_refused(visit_file: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "handover", visit_file, "-o", "x", "--paper", "a5").code == 2
