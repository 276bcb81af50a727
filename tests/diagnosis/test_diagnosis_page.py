"""The page docs/diagnosis.md says the figures that the program uses, and names functions and tests that exist."""

from __future__ import annotations

import importlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
TESTS = [path for room in ("diagnosis", "studies") for path in (ROOT / "tests" / room).rglob("test_*.py")]
PAGE = (ROOT / "docs" / "diagnosis.md").read_text(encoding="utf-8")
ROUTE_PAGE = (ROOT / "docs" / "route.md").read_text(encoding="utf-8")
FIGURES = re.findall(r"^\| `(\w+)\.(\w+)` \| ([\d., ]+) \|", PAGE, re.MULTILINE)
BELIEFS = ROOT / "src" / "looseends" / "diagnosis" / "data" / "beliefs.toml"
EVIDENCE = ROOT / "src" / "looseends" / "diagnosis" / "observed" / "data" / "evidence.toml"
EVIDENCE_ROWS = re.findall(r"^\| `([a-z_.-]+)` \| ((?:[a-z_ ]+(?: [\d.]+)+(?:, )?)+) \|$", PAGE, re.MULTILINE)
ROOM = (
    "states tabulate table posterior exact store evidence likelihood detect verdict remarks limits next_check judge "
    "proving repeated shared again masking ways shortest unproven route complaints views readings explanation growth "
    "prior before circumstances symptoms diagnose repairs singles pairs superposed ensemble prepare information calls "
    "stands next_step law hidden looks looked hiding practice overcalling "
    "looks_again"
)
NAMED = set(re.findall(rf"`((?:{'|'.join(ROOM.split())})\.\w+(?:\.\w+)?)`", PAGE + ROUTE_PAGE))


def test_exact_the_page_says_every_figure_as_the_file_does() -> None:
    data = tomllib.loads(BELIEFS.read_text(encoding="utf-8"))
    held = {
        (table, key): value if isinstance(value, list) else [value]
        for table, entries in data.items()
        for key, value in entries.items()
        if key != "source" and not isinstance(value, dict)
    }
    assert {(table, key): [float(v) for v in told.split(",")] for table, key, told in FIGURES} == held


def numbers_in(entries: dict[str, Any], table: str) -> Iterator[tuple[tuple[str, str], list[float]]]:
    """Every number of a TOML table, by the name of its table and its key."""
    for key, value in entries.items():
        inner = f"{table}.{key}" if table else key
        if isinstance(value, dict):
            yield from numbers_in(value, inner)
        elif isinstance(value, list) and isinstance(value[0], dict):
            for entry in value:
                yield from numbers_in(entry, f"{inner}.{entry['id']}")
        elif not isinstance(value, str):
            yield (table, key), [float(number) for number in (value if isinstance(value, list) else [value])]


def test_exact_the_page_says_every_figure_of_what_is_known_beside_movement() -> None:
    told = {
        (table, name): [float(number) for number in numbers.split()]
        for table, figures in EVIDENCE_ROWS
        for name, numbers in re.findall(r"([a-z_ ]*[a-z_])((?: [\d.]+)+)(?:, |$)", figures)
    }
    assert told == dict(numbers_in(tomllib.loads(EVIDENCE.read_text(encoding="utf-8")), ""))


@pytest.mark.parametrize("name", sorted(NAMED - {f"{table}.{key}" for table, key, _ in FIGURES}))
def test_exact_functions_that_the_page_names_are_there(name: str) -> None:
    module, *path = name.split(".")
    (place,) = (ROOT / "src" / "looseends" / "diagnosis").rglob(f"{module}.py")
    found: object = importlib.import_module(".".join(place.relative_to(ROOT / "src").with_suffix("").parts))
    for step in path:
        found = getattr(found, step)


@pytest.mark.parametrize("name", re.findall(r"`(test_\w+\.py)` \|$", PAGE, re.MULTILINE))
def test_exact_tests_that_the_page_names_are_there(name: str) -> None:
    assert name in {path.name for path in TESTS}


def test_exact_every_test_of_this_room_is_named_by_the_page() -> None:
    of_another_page = ROOT / "tests" / "diagnosis" / "consequences"
    assert [path.name for path in TESTS if path.name not in PAGE and path.parent != of_another_page] == []
