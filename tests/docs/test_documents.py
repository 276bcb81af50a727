"""What the documents show is true: commands run, quoted numbers are the program's, visits are read, links lead on."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer

from looseends.catalogue import load_catalogue
from looseends.cli.application import app
from looseends.inspection import read_visit
from looseends.vehicle.loading import load_vehicles
from tests.cli.command_line import run
from tests.docs.shown_commands import (
    DOCS,
    LESSONS,
    ROOT,
    Shown,
    fenced,
    internal_links,
    printed_movements,
    quoted_rows,
    shown_commands,
)

IN_A_FILE = DOCS / "visit-in-a-file.md"
VEHICLE_FILES = DOCS / "adding-a-vehicle.md"
PAGES = (ROOT / "README.md", *sorted(DOCS.glob("*.md")))
NOT_THERE_YET = (DOCS / "studies").resolve()
TOLERANCE_MM = 0.05
"""Far below what a gauge in a shop parts; the tables print two decimals."""

LABELLED = [command for command in shown_commands(LESSONS) if command.label]
OTHERS = sorted(
    {c.arguments for page in (IN_A_FILE, LESSONS, VEHICLE_FILES) for c in shown_commands(page) if not c.label}
)


@pytest.mark.parametrize("command", LABELLED, ids=lambda command: command.label)
def test_a_lesson_runs_and_its_table_agrees(command: Shown, capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *command.arguments, "--json")
    assert done.code == 0, done.err
    answer = done.json()
    moved = {entry["watch"]: (entry["mm"], entry["free_mm"]) for entry in answer["movements"]}
    moved["stop gap"] = (answer["stop_gap_mm"], None)
    for row in quoted_rows(LESSONS):
        if row.label == command.label:
            mm, free_mm = moved[row.watch]
            assert row.mm == pytest.approx(mm, abs=TOLERANCE_MM), row
            if row.free_mm is not None:
                assert row.free_mm == pytest.approx(free_mm, abs=TOLERANCE_MM), row


@pytest.mark.parametrize("arguments", OTHERS, ids=" ".join)
def test_a_command_that_is_shown_runs(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *arguments)
    assert (done.code, done.err) == (0, "")


def test_every_lesson_quotes_numbers_of_commands_that_it_shows() -> None:
    labels = [command.label for command in LABELLED]
    quoted = {row.label for row in quoted_rows(LESSONS)}
    assert len(labels) == len(set(labels))
    assert quoted <= set(labels)
    assert {label[0] for label in quoted} == set("12345")


def test_the_first_visit_shows_a_command_of_every_quick_kind() -> None:
    assert {command.arguments[0] for command in shown_commands(IN_A_FILE)} >= {"parts", "checks", "shake"}


def test_the_first_visit_prints_what_its_commands_print(capsys: pytest.CaptureFixture[str]) -> None:
    shakes = [command.arguments for command in shown_commands(IN_A_FILE) if command.arguments[0] == "shake"]
    answers = [run(capsys, *arguments, "--json").json()["movements"] for arguments in shakes]
    shown = [(entry["watch"], entry["mm"], entry["free_mm"]) for answer in answers for entry in answer]
    printed = printed_movements(IN_A_FILE)
    assert len(printed) >= len(shakes)
    for watch, mm, free_mm in printed:
        near = pytest.approx((mm, free_mm), abs=TOLERANCE_MM)
        assert any(name == watch and near == values for name, *values in shown), (watch, mm, free_mm)


def test_the_first_visit_can_be_read(tmp_path: Path) -> None:
    file = tmp_path / "my-visit.toml"
    file.write_text("\n".join(fenced(IN_A_FILE, "toml")), encoding="utf-8")
    vehicles = load_vehicles()
    part_ids = {vehicle.id: tuple(vehicle.parts) for vehicle in vehicles.values()}
    visit = read_visit(file, catalogue=load_catalogue(), part_ids=part_ids, vehicle_ids=tuple(vehicles))
    assert [(done.setup.check, done.setup.support) for done in visit.checks][-1] == ("bj-axial", "arm")


@pytest.mark.parametrize("name", ["deployment.md", "privacy.md", "starting.md"])
def test_whoever_sets_it_up_is_told_only_commands_and_options_that_there_are(name: str) -> None:
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    told = re.findall(r"(?<![/\w])looseends ([a-z]+)(.*)", (DOCS / name).read_text(encoding="utf-8").replace("\\", "/"))
    assert told
    for command, rest in told:
        known = {option for parameter in commands[command].params for option in parameter.opts}
        assert set(re.findall(r"(?<= )--[a-z-]+", rest.split("#")[0].split("`")[0])) <= known, (command, rest)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_internal_links_lead_to_a_file(page: Path) -> None:
    targets = [(page.parent / target.partition("#")[0]).resolve() for target in internal_links(page)]
    lost = [t for t in targets if not t.exists() and t != NOT_THERE_YET and NOT_THERE_YET not in t.parents]
    assert lost == []
