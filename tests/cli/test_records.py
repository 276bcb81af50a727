"""Backup, restore, export and import from the command line, and what each refuses."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from looseends.store import open_store
from tests.cli.command_line import refusal, run
from tests.store.made_records import condition, fact, prepared, recorded, visit_in


@pytest.fixture
def named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store with a visit, which the environment names."""
    file = tmp_path / "records.sqlite"
    monkeypatch.setenv("LOOSEENDS_STORE", str(file))
    store = prepared(open_store(str(file)))
    recorded(store, fact("condition", condition()))
    store.close()
    return file


def test_a_backup_is_restored_into_another_store(
    named: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, other = tmp_path / "backup.zip", tmp_path / "other" / "records.sqlite"
    done = run(capsys, "backup", str(file))
    assert (done.code, done.out) == (0, f"Written to {file}: visits 1, observations 1, photos 0, clips 0.\n")
    assert run(capsys, "restore", str(file), "--store", str(other), "--json").json()["observations"] == 1
    first, second = open_store(str(named)), open_store(str(other))
    assert visit_in(first) == visit_in(second)
    first.close()
    second.close()


def test_an_archive_is_taken_in_once(named: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "records.zip"
    assert run(capsys, "export", str(file), "--json").json()["visits"] == 1
    other = str(tmp_path / "other.sqlite")
    assert run(capsys, "import", str(file), "--store", other, "--json").json()["new"] > 0
    again = run(capsys, "import", str(file), "--store", other)
    assert again.out.startswith(f"Taken in from {file}: new rows 0, there already ")


def test_refusals_are_one_sentence(named: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "backup.zip"
    assert run(capsys, "backup", str(file)).code == 0
    assert "is there already: name another file, or say --replace." in refusal(capsys, "export", str(file))
    assert "holds records: say --replace" in refusal(capsys, "restore", str(file))
    assert "bring it back with looseends restore." in refusal(capsys, "import", str(file))
    file.write_bytes(file.read_bytes()[:-30])
    assert "is damaged or no archive of Loose Ends" in refusal(capsys, "restore", str(file), "--replace")
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr("letter.txt", "dear all")
    assert "is no archive of Loose Ends: it has no manifest.json." in refusal(capsys, "import", str(file))
    assert "must be a file or postgresql://USER@HOST/DATABASE" in refusal(
        capsys, "backup", str(tmp_path / "b.zip"), "--store", "ftp://here/there"
    )
