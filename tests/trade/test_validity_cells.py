"""The table of what each check can show under each support, written down beforehand: whole, and its names are known.

Common practice, no source; see the file's own head. Nothing here computes a cell.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from looseends.catalogue import load_catalogue

TABLE = tomllib.loads((Path(__file__).parent / "validity_cells.toml").read_text(encoding="utf-8"))
CELLS: list[dict[str, Any]] = TABLE["cell"]
DRILLS: list[dict[str, Any]] = TABLE["drill"]
ROLES = {"carrier", "follower"}
FILLED_CELLS, ROWS, LEAST_COMPUTED = 113, 24, 80


def place(cell: dict[str, Any]) -> tuple[str, str]:
    """Row and column of the trade's table."""
    return cell["row"], cell.get("matrix_support", cell["support"])


def test_every_filled_cell_is_there() -> None:
    inside = {place(cell) for cell in CELLS if not cell.get("beside_the_matrix", False)}
    assert (len(inside), len({row for row, _ in inside})) == (FILLED_CELLS, ROWS)


def test_most_cells_are_for_mechanics_to_decide() -> None:
    computed = {place(cell) for cell in CELLS if cell["computed"] and not cell.get("beside_the_matrix", False)}
    assert len(computed) >= LEAST_COMPUTED


def test_a_cell_stands_once_for_each_layout() -> None:
    keys = [(cell["row"], cell["layout"], cell["support"], cell.get("why")) for cell in CELLS]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("entry", [*CELLS, *DRILLS], ids=lambda entry: str(entry.get("row", entry.get("drill")))[:30])
def test_names_are_known_and_what_is_not_computed_says_why(entry: dict[str, Any]) -> None:
    catalogue = load_catalogue()
    parts = {entry.get("part"), entry.get("worn"), *entry.get("also_shows", ())} - {None}
    assert parts <= {*catalogue.part_kinds, *ROLES}
    assert {entry["support"], entry.get("matrix_support", entry["support"])} <= set(catalogue.supports)
    assert entry["check"] in catalogue.checks
    assert bool(entry.get("reason")) != entry["computed"]
    if entry["computed"]:
        assert catalogue.checks[entry["check"]].kind == "movement"
        assert entry["axis"] in ("radial", "axial")


@pytest.mark.parametrize("cell", CELLS, ids=lambda cell: cell["row"][:30])
def test_an_expectation_is_one_of_three(cell: dict[str, Any]) -> None:
    assert cell["expected"] in ("V", "P", "X")


def test_what_carries_the_spring_is_hidden_and_shown_as_the_rules_on_raising_say() -> None:
    """49 CFR 570.7(b) and 11 CSR 50-2.200: at the frame the joints stay loaded where the lower arm has the spring."""
    found = {(cell["row"], cell["layout"], cell["support"]): cell["expected"] for cell in CELLS}
    carrier = "axial play of the carrier, spring on the lower arm"
    on_stop = "double arms, spring on the lower arm, rebound stop on the upper arm"
    assert found[carrier, on_stop, "frame"] == "X"
    assert found[carrier, "double arms, spring on the lower arm", "arm"] == "V"
    assert found["linkage play at the tread, spring on the lower arm", on_stop, "frame"] == "V"
    assert (
        found["linkage play at the tread, spring on the upper arm", "double arms, spring on the upper arm", "arm"]
        == "V"
    )


def test_every_drill_of_the_catalogue_has_an_expectation_and_both_ends_where_it_is_computed() -> None:
    assert {entry["drill"] for entry in DRILLS} == set(load_catalogue().drills)
    for name in {entry["drill"] for entry in DRILLS if entry["computed"]}:
        assert {entry["movement"] for entry in DRILLS if entry["drill"] == name} == {"vanishes", "stays"}
