"""Progress of long work: on standard error, a line for about every tenth."""

from __future__ import annotations

import pytest

from looseends.cli.progress import plain_lines, progress_shown


def test_a_line_for_every_tenth_and_one_at_the_end(capsys: pytest.CaptureFixture[str]) -> None:
    report = plain_lines()
    for done in range(1, 201):
        report(f"table {done}", done, 200)
    shown = capsys.readouterr()
    lines = shown.err.splitlines()
    assert shown.out == ""
    assert len(lines) == 11
    assert lines[5] == "100 of 200 (50 %): table 100"
    assert lines[-1] == "200 of 200 (100 %): table 200"


def test_a_second_piece_of_work_begins_anew(capsys: pytest.CaptureFixture[str]) -> None:
    report = plain_lines()
    for doing in ("tables", "sets"):
        report(doing, 1, 10)
        report(doing, 10, 10)
    assert len(capsys.readouterr().err.splitlines()) == 4


def test_nothing_reported_shows_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_shown():
        pass
    assert capsys.readouterr().err == ""


def test_work_of_no_parts_is_done(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_shown() as report:
        report("tables", 0, 0)
    assert capsys.readouterr().err == "0 of 0 (100 %): tables\n"
