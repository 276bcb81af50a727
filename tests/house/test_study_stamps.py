"""Study results carry the stamp of the code they were computed with, and a stale one is noticed."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest

from studies.__main__ import all_studies
from studies.stamp import NUMERIC_ROOMS, ROOT, code_stamp, recorded_stamps, stale_studies, stamped_files


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A small stand-in for the package: one module and one data file in each room, and a screen outside them."""
    for room in (*NUMERIC_ROOMS, "cli"):
        (tmp_path / room / "data").mkdir(parents=True)
        (tmp_path / room / "__init__.py").write_text(f"room = {room!r}\n")
        (tmp_path / room / "data" / "figures.toml").write_text("limit_mm = 1.0\n")
    return tmp_path


@pytest.mark.parametrize("room", NUMERIC_ROOMS)
@pytest.mark.parametrize("name", ["__init__.py", "data/figures.toml"])
def test_stamp_changes_when_one_byte_changes(package: Path, room: str, name: str) -> None:
    before = code_stamp(package)
    path = package / room / name
    content = path.read_bytes()
    path.write_bytes(content[:-2] + bytes([content[-2] ^ 1]) + content[-1:])
    assert code_stamp(package) != before
    path.write_bytes(content)
    assert code_stamp(package) == before


def test_stamp_changes_when_a_file_is_renamed_added_or_text_moves(package: Path) -> None:
    stamps = {code_stamp(package)}
    (package / "vehicle" / "data" / "figures.toml").rename(package / "vehicle" / "data" / "other.toml")
    stamps.add(code_stamp(package))
    (package / "vehicle" / "empty.csv").touch()
    stamps.add(code_stamp(package))
    (package / "vehicle" / "a.toml").write_text("x = 1\ny = 2\n")
    (package / "vehicle" / "b.toml").write_text("")
    stamps.add(code_stamp(package))
    (package / "vehicle" / "a.toml").write_text("x = 1\n")
    (package / "vehicle" / "b.toml").write_text("y = 2\n")
    stamps.add(code_stamp(package))
    assert len(stamps) == 5


def test_stamp_ignores_compiled_files_and_other_rooms(package: Path) -> None:
    before = code_stamp(package)
    (package / "mechanics" / "__pycache__").mkdir()
    (package / "mechanics" / "__pycache__" / "kernel.pyc").write_bytes(b"compiled")
    (package / "cli" / "__init__.py").write_text("changed = True\n")
    assert code_stamp(package) == before


def test_stale_studies_are_named(package: Path, tmp_path: Path) -> None:
    results = tmp_path / "results"
    results.mkdir()
    (results / "fresh.json").write_text(json.dumps({"stamp": code_stamp(package)}))
    (results / "old.json").write_text(json.dumps({"stamp": "0" * 64}))
    (results / "unstamped.json").write_text("{}")
    assert stale_studies(results, package) == ["old", "unstamped"]


def test_every_numeric_room_of_the_project_is_stamped() -> None:
    package = ROOT / "src" / "looseends"
    assert {path.relative_to(package).parts[0] for path in stamped_files(package)} == set(NUMERIC_ROOMS)


def test_published_results_carry_a_stamp_and_belong_to_a_study() -> None:
    recorded = recorded_stamps()
    assert [name for name, stamp in recorded.items() if not re.fullmatch("[0-9a-f]{64}", stamp)] == []
    assert sorted(set(recorded) - set(all_studies())) == []


def test_published_results_are_fresh_where_that_is_asked() -> None:
    # Every change of the numeric rooms makes them stale until the long study is run again, so an ordinary run
    # only names them in its summary.
    must_be_fresh = os.environ.get("LOOSEENDS_FRESH_STUDIES") == "1"
    assert not (must_be_fresh and stale_studies()), f"run `make study` again: {', '.join(stale_studies())}"


def test_a_study_of_the_kernel_does_not_go_stale_with_the_diagnosis(package: Path) -> None:
    before = code_stamp(package, "kernel_agreement")
    (package / "diagnosis" / "__init__.py").write_text("changed = True\n")
    assert code_stamp(package, "kernel_agreement") == before
    (package / "mechanics" / "__init__.py").write_text("changed = True\n")
    assert code_stamp(package, "kernel_agreement") != before
