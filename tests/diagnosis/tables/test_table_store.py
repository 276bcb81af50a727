"""Tables on disk: they come back as they were, a damaged one is missing, changed data asks for new ones."""

from __future__ import annotations

import multiprocessing
import os
import shutil
from dataclasses import replace
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.tables import prepare, store
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.store import TableStore, code_hash
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.kernel import warm
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import nominal_specimen
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    IDLER,
    LOCKED,
    ON_ARM,
    ON_FRAME,
    beliefs,
    made_table,
    states_of,
    yard_pickup,
)
from tests.diagnosis.tables.store_worker import save_often, tabulated

FOUR = (ON_ARM, ON_FRAME, IDLER, LOCKED)
PACKAGE = Path(str(resources.files("looseends")))
NOT_READABLE = {
    "empty": lambda whole: b"",
    "cut short": lambda whole: whole[: len(whole) // 2],
    "last byte gone": lambda whole: whole[:-1],
    "text": lambda whole: b"not a table\n" * 50,
    "pickle": lambda whole: b"\x80\x04N.",
    "zeros": lambda whole: bytes(len(whole)),
}


def the_file(of: TableStore) -> Path:
    """The only file of a store."""
    (path,) = of.directory.iterdir()
    return path


def same(a: ResponseTable, b: ResponseTable) -> bool:
    """Whether two tables hold the same numbers under the same names."""
    plain = (a.setup, a.watches, list(a.singles), list(a.pairs), set(a.shares), dict(a.prepared.stop_gaps))
    if plain != (b.setup, b.watches, list(b.singles), list(b.pairs), set(b.shares), dict(b.prepared.stop_gaps)):
        return False
    arrays = [(a.sound, b.sound), (a.spread, b.spread), (a.members, b.members)]
    arrays += [(a.singles[name], b.singles[name]) for name in a.singles]
    for name, pair in a.pairs.items():
        other = b.pairs[name]
        if pair.grids.keys() != other.grids.keys():
            return False
        arrays += [(pair.first, other.first), (pair.second, other.second)]
        # Kept in four bytes: to a ten-millionth of a millimetre.
        arrays += [(grid.astype(np.float32), other.grids[axes].astype(np.float32)) for axes, grid in pair.grids.items()]
    arrays += [(a.shares[name], b.shares[name]) for name in a.shares]
    for one, other in zip(a.prepared.strokes, b.prepared.strokes, strict=True):
        arrays += [(one.reduced.S, other.reduced.S), (one.reduced.f_hand, other.reduced.f_hand)]
    return all(np.array_equal(one, other) for one, other in arrays)


def test_exact_a_table_comes_back_as_it_was_saved(preparation: Preparation, tmp_path: Path) -> None:
    table = preparation.table(ON_ARM)
    assert table.pairs and table.singles and table.shares.keys() == table.singles.keys()
    copy = TableStore(tmp_path)
    # Shares of one part alone must not come back as another's.
    some = replace(table, shares={name: table.shares[name] for name in list(table.shares)[1:]})
    copy.save("yard-pickup", some)
    found = copy.load("yard-pickup", ON_ARM)
    assert found is not None and same(found, some)


def test_invariant_shares_are_of_the_nominal_change_and_are_one_where_nothing_moves(preparation: Preparation) -> None:
    table = preparation.table(ON_ARM)
    for name, shares in table.shares.items():
        assert shares.shape == (beliefs().share_members, len(table.watches), 2)
        assert shares.min() >= 0.0 and shares.max() <= 2.0
        (states,) = states_of(name)
        still = np.abs(table.singles[name][states.middle]).max(axis=1) <= 0.05
        np.testing.assert_array_equal(shares[:, still], 1.0)
    # The carrier joint is lifted freely: every vehicle shows all but the whole of its play at the joint.
    own = table.shares[CARRIER][:, table.watches.index(CARRIER)]
    assert 0.8 < own.min() <= own.max() < 1.2 and np.ptp(own) > 1e-4


def test_exact_the_spread_is_that_of_vehicles_which_are_the_same_in_every_setup(preparation: Preparation) -> None:
    """A vehicle whose carrier has more clearance shows more at it on the arm stand, whatever the side or the check."""
    on_arm, on_frame = preparation.table(ON_ARM), preparation.table(ON_FRAME)
    for table in (on_arm, on_frame):
        assert table.members.shape == (beliefs().ensemble_members, len(table.watches), 2)
        np.testing.assert_allclose(table.members.std(axis=0, ddof=1), table.spread, atol=1e-12)
        np.testing.assert_allclose(table.members.mean(axis=0), table.expected, atol=1e-12)
    bearing = [table.members[:, table.watches.index(BEARING), 0] for table in (on_arm, on_frame)]
    assert np.corrcoef(bearing)[0, 1] > 0.5


def test_exact_a_stored_check_is_solved_to_the_same_numbers(preparation: Preparation) -> None:
    """The reduced strokes on disk answer as those in memory did when the table was made."""
    table, vehicle = preparation.table(ON_ARM), yard_pickup()
    (states,) = states_of(CARRIER)
    solver = Solver(vehicle, nominal_specimen(vehicle), table.prepared)
    alone = int(np.flatnonzero((states.index[:, 0] == len(states.knots[0]) - 1) & (states.index[:, 1] < 0))[0])
    np.testing.assert_allclose(solver.movements({}), table.sound, atol=1e-9)
    np.testing.assert_allclose(
        solver.movements(states.worn(alone)) - table.sound, table.singles[CARRIER][alone], atol=1e-6
    )


def test_exact_a_setup_that_was_not_saved_is_missing(tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    kept.save("yard-pickup", made_table({}))
    assert kept.load("yard-pickup", ON_ARM) is not None
    assert kept.load("yard-pickup", IDLER) is None
    assert kept.load("other-vehicle", ON_ARM) is None


@pytest.mark.parametrize("damage", NOT_READABLE.values(), ids=NOT_READABLE)
def test_exact_a_damaged_table_counts_as_missing(damage: object, tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    kept.save("yard-pickup", made_table({CARRIER: np.ones((48, 4, 2))}))
    path = the_file(kept)
    path.write_bytes(damage(path.read_bytes()))  # type: ignore[operator]
    assert kept.load("yard-pickup", ON_ARM) is None


def test_invariant_a_flipped_bit_never_gives_another_table(tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    table = made_table({CARRIER: np.ones((48, 4, 2))})
    kept.save("yard-pickup", table)
    path, rng = the_file(kept), np.random.default_rng(7)
    whole, missing = path.read_bytes(), 0
    for _ in range(300):
        flipped = bytearray(whole)
        flipped[rng.integers(len(whole))] ^= 1 << int(rng.integers(8))
        path.write_bytes(flipped)
        found = kept.load("yard-pickup", ON_ARM)
        assert found is None or same(found, table)
        missing += found is None
    assert missing > 100


def counted(monkeypatch: pytest.MonkeyPatch, of: TableStore, setups: tuple[Setup, ...], stop_after: int = 99) -> int:
    """How many tables a preparation in one process computes; stopped when so many are done."""
    made: list[Setup] = []

    def counting(vehicle: object, setup: Setup, beliefs: object) -> ResponseTable:
        if len(made) == stop_after:
            raise KeyboardInterrupt
        made.append(setup)
        return made_table({}, setup=setup)

    monkeypatch.setattr(prepare, "tabulate", counting)
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    try:
        prepare.prepare_tables(yard_pickup(), store=of, setups=setups)
    except KeyboardInterrupt:
        assert len(made) == stop_after
    return len(made)


def test_exact_a_damaged_table_is_computed_again(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    assert counted(monkeypatch, kept, (ON_ARM,)) == 1
    the_file(kept).write_bytes(b"")
    again = prepare.table_for(yard_pickup(), ON_ARM, kept)
    found = kept.load("yard-pickup", ON_ARM)
    assert found is not None and same(found, again)
    assert counted(monkeypatch, kept, (ON_ARM,)) == 0


def test_exact_a_stopped_preparation_goes_on_where_it_was(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    assert counted(monkeypatch, kept, FOUR, stop_after=2) == 2
    assert counted(monkeypatch, kept, FOUR) == 2


def test_exact_the_same_with_several_processes(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    kept, told = TableStore(tmp_path), []

    def stop_after_one(words: str, done: int, steps: int) -> None:
        if done == 1:
            raise KeyboardInterrupt

    monkeypatch.setattr(prepare, "_worker", tabulated)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    with pytest.raises(KeyboardInterrupt):
        prepare.prepare_tables(yard_pickup(), store=kept, setups=FOUR, progress=stop_after_one)
    # two setups that hold the vehicle alike are one task, whichever task is ready first
    left = sum(kept.load("yard-pickup", setup) is None for setup in FOUR)
    assert left in (2, 3)
    monkeypatch.setattr(warm, "is_compiled", lambda: True)
    prepare.prepare_tables(
        yard_pickup(), store=kept, setups=FOUR, progress=lambda words, done, steps: told.append((done, steps))
    )
    assert told == [(done, left) for done in range(left + 1)]
    assert all(kept.load("yard-pickup", setup) is not None for setup in FOUR)


def test_invariant_a_save_that_fails_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def full_disk(*arguments: object, **arrays: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(np, "savez", full_disk)
    with pytest.raises(OSError, match="no space left"):
        TableStore(tmp_path).save("yard-pickup", made_table({}))
    assert list(tmp_path.iterdir()) == []


def test_invariant_two_processes_that_write_one_table_leave_a_whole_one(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=save_often, args=(tmp_path, value, 60)) for value in (1.0, 2.0)]
    for writer in writers:
        writer.start()
    seen = []
    while any(writer.is_alive() for writer in writers):
        found = TableStore(tmp_path).load("yard-pickup", ON_ARM)
        seen.append(None if found is None else set(np.unique(found.singles[CARRIER])) | set(np.unique(found.spread)))
    for writer in writers:
        writer.join()
        assert writer.exitcode == 0
    first = next(number for number, values in enumerate(seen) if values is not None)
    assert all(values in ({1.0}, {2.0}) for values in seen[first:])
    assert [path.suffix for path in tmp_path.iterdir()] == [".npz"]


@pytest.mark.parametrize(
    ("changed", "counts"),
    [
        ("catalogue/data/joint_figures.csv", True),
        ("vehicle/data/vehicles/yard-pickup.toml", True),
        ("diagnosis/data/beliefs.toml", False),
        ("diagnosis/beliefs.py", False),
        ("diagnosis/tables/tabulate.py", True),
        ("diagnosis/observed/words.py", False),
        ("inspection/read.py", False),
    ],
)
def test_exact_one_changed_byte_asks_for_new_tables_where_it_counts(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, changed: str, counts: bool
) -> None:
    copy = tmp_path / "looseends"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__", "fonts"))
    monkeypatch.setattr(resources, "files", lambda name: copy)
    before = code_hash.__wrapped__()
    path = copy / changed
    whole = bytearray(path.read_bytes())
    whole[-1] ^= 1
    path.write_bytes(whole)
    assert (code_hash.__wrapped__() != before) == counts


@pytest.mark.parametrize(
    ("changed", "counts"),
    [({"knots": (0.5, 1.0, 2.0)}, True), ({"ensemble_members": 9}, True), ({"even_share": 0.5}, False)],
)
def test_exact_a_belief_asks_for_new_tables_where_it_goes_into_them(
    monkeypatch: pytest.MonkeyPatch, changed: dict[str, object], counts: bool
) -> None:
    before = code_hash.__wrapped__()
    beliefs = replace(load_beliefs(), **changed)
    monkeypatch.setattr(store, "load_beliefs", lambda: beliefs)
    assert (code_hash.__wrapped__() != before) == counts


def test_exact_the_file_name_follows_the_hash(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    kept = TableStore(tmp_path)
    kept.save("yard-pickup", made_table({}))
    monkeypatch.setattr(store, "code_hash", lambda: "after a change")
    assert kept.load("yard-pickup", ON_ARM) is None
