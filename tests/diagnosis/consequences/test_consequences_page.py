"""The page docs/consequences.md says the figures and load cases that the program uses, and names what exists."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from looseends.diagnosis.consequences.road_cases import load_road_cases

PAGE = (Path(__file__).parents[3] / "docs" / "consequences.md").read_text(encoding="utf-8")
PACKAGE = "looseends.diagnosis.consequences"
FIGURES = re.findall(r"^\| `(\w+)\.([A-Z_]+)` \| ([\d.]+) \|", PAGE, re.MULTILINE)
CASES = re.findall(r"^\| `(\w+)` \|(.*)\|$", PAGE, re.MULTILINE)
MODULES = "account bench ledger moving passing patterns places repair road rolling shapley slip wear"
NAMED = sorted(set(re.findall(rf"`((?:{'|'.join(MODULES.split())})\.\w+)`", PAGE)))


@pytest.mark.parametrize(("module", "name", "told"), FIGURES)
def test_exact_a_figure_is_the_codes(module: str, name: str, told: str) -> None:
    assert float(told) == getattr(importlib.import_module(f"{PACKAGE}.{module}"), name)


def test_exact_the_load_cases_are_the_datas() -> None:
    told = {name: [cell.strip() for cell in cells.split("|")] for name, cells in CASES}
    held = {
        case.id: [
            *(f"{v:g}" for v in (case.along_of_load, case.across_of_load, case.bump_mm)),
            case.sides,
            *(f"{v:g}" for v in (case.from_share, case.to_share)),
            case.body,
            case.brake,
        ]
        for case in load_road_cases().values()
    }
    assert told == held


@pytest.mark.parametrize("name", NAMED)
def test_exact_what_the_page_names_is_there(name: str) -> None:
    module, attribute = name.split(".")
    assert hasattr(importlib.import_module(f"{PACKAGE}.{module}"), attribute)


def test_exact_figures_and_names_are_found_at_all() -> None:
    assert len(FIGURES) == 7 and len(NAMED) > 15


def test_exact_every_test_of_this_folder_is_named_by_the_page() -> None:
    here = {path.name for path in Path(__file__).parent.glob("test_*.py")}
    assert here == set(re.findall(r"`(test_\w+\.py)` \|$", PAGE, re.MULTILINE))
