"""No file points at one machine or one registry, and README names the two commands."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.house.project_files import ROOT, project_texts

MACHINE_PATH = re.compile(r"(?<![\w.\-~>)}])/(?:work|tmp|root|home|Users)/\w|[A-Z]:\\Users")
REGISTRY = re.compile(r"pypi\.org|pythonhosted\.org|npmjs\.(?:org|com)|debian\.org")


def hits(pattern: re.Pattern[str]) -> list[str]:
    """Every line that the pattern is found in, as file:line."""
    return [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}"
        for path, text in project_texts()
        if path != Path(__file__)  # this file holds the patterns themselves
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]


def test_no_machine_paths() -> None:
    assert hits(MACHINE_PATH) == []


def test_no_registry_addresses() -> None:
    assert hits(REGISTRY) == []


def test_the_lock_has_a_hash_for_every_package_and_no_address() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    entries = re.split(r"\n(?=\S)", lock)
    assert [entry.splitlines()[0] for entry in entries if "--hash=sha256:" not in entry] == []
    assert re.findall(r"\S*://\S*|--(?:find-links|index-url|extra-index-url).*", lock) == []


BACK = "\\"


@pytest.mark.parametrize("line", [f"see {os.sep}home/anna/x", f"'{os.sep}tmp/x.pdf'", f"C:{BACK}Users{BACK}anna"])
def test_a_machine_path_is_recognised(line: str) -> None:
    assert MACHINE_PATH.search(line)


@pytest.mark.parametrize("line", ["https://example.gov/home/rules", "bench/work/piece", "root/x"])
def test_an_ordinary_address_is_not_taken_for_one(line: str) -> None:
    assert not MACHINE_PATH.search(line)


@pytest.mark.parametrize("command", ["make run", "make test"])
def test_readme_names_the_command(command: str) -> None:
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")
