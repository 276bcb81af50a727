"""Tables by any executor: dealt out, stopped, gone on with, and one sentence when a worker is lost."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from looseends.diagnosis.tables import prepare
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.errors import LooseEndsError
from looseends.mechanics.kernel import warm
from looseends.mechanics.kernel.warm import warm_up
from looseends.vehicle.build import holding_of
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import IDLER, LOCKED, ON_ARM, ON_FRAME, made_table, yard_pickup
from tests.diagnosis.tables import store_worker

FOUR = (ON_ARM, ON_FRAME, IDLER, LOCKED)
IS_COMPILED = "from looseends.mechanics.kernel.warm import is_compiled; print(is_compiled())"


def kept_of(store: TableStore, setups: Sequence[Setup]) -> int:
    """How many tables of these setups there are."""
    return sum(store.has("yard-pickup", setup) for setup in setups)


def test_exact_every_table_is_computed_once_however_many_go_to_a_task(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    asked: list[Sequence[Setup]] = []

    def noted(vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
        asked.append(setups)
        return store_worker.tabulated(vehicle_id, setups, code)

    monkeypatch.setattr(prepare, "_worker", noted)
    store, setups, told = TableStore(tmp_path), usual_setups(yard_pickup()), []
    with ThreadPoolExecutor(2) as pool:
        prepare.prepare_tables(
            yard_pickup(), store=store, executor=pool, progress=lambda words, done, steps: told.append(done)
        )
    assert 1 < len(asked) < len(setups)
    assert sorted(map(repr, setups)) == sorted(repr(setup) for share in asked for setup in share)
    assert told == list(range(len(setups) + 1))
    assert kept_of(store, setups) == len(setups)


def test_two_tables_that_are_held_alike_get_a_core_each(monkeypatch: pytest.MonkeyPatch) -> None:
    vehicle, other = yard_pickup(), replace(ON_FRAME, check="wheel39")
    assert holding_of(vehicle, ON_FRAME) == holding_of(vehicle, other)
    for cores, tasks in ((2, 2), (1, 1)):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert len(prepare._tasks(vehicle, (ON_FRAME, other))) == tasks


def test_exact_what_has_not_begun_when_it_is_stopped_never_begins(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    begun, stopped = [], threading.Event()

    def slow(vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
        begun.append(setups)
        assert len(begun) == 1 or stopped.wait(10)
        return store_worker.tabulated(vehicle_id, setups, code)

    def stop(words: str, done: int, steps: int) -> None:
        if done == 1:
            raise KeyboardInterrupt

    monkeypatch.setattr(prepare, "_worker", slow)
    store = TableStore(tmp_path)
    with ThreadPoolExecutor(1) as pool:
        with pytest.raises(KeyboardInterrupt):
            prepare.prepare_tables(yard_pickup(), store=store, setups=FOUR, progress=stop, executor=pool)
        stopped.set()
    assert len(begun) <= 2
    assert kept_of(store, FOUR) == 1
    monkeypatch.setattr(prepare, "_worker", store_worker.tabulated)
    with ThreadPoolExecutor(1) as pool:
        prepare.prepare_tables(yard_pickup(), store=store, setups=FOUR, executor=pool)
    assert kept_of(store, FOUR) == 4


def test_a_lost_worker_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(prepare, "_worker", store_worker.dying)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    with pytest.raises(LooseEndsError, match=r"worker .* yard-pickup, .* was lost, .* 0 of 4 tables are done"):
        prepare.prepare_tables(yard_pickup(), store=TableStore(tmp_path), setups=FOUR)


def test_a_worker_with_another_version_is_refused() -> None:
    with pytest.raises(LooseEndsError, match=r"other code or data .* same version"):
        prepare._worker("yard-pickup", [ON_ARM], "another")


@pytest.mark.parametrize(
    ("there", "told"),
    [
        (True, []),
        (
            False,
            [("compiling the mechanics once, about 20 s", 0, 1), ("compiling the mechanics once, about 20 s", 1, 1)],
        ),
    ],
)
def test_the_first_start_says_that_it_compiles_and_the_second_says_nothing(
    there: bool, told: list[object], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    warmed: list[bool] = []
    said: list[object] = []
    monkeypatch.setattr(warm, "is_compiled", lambda: there)
    monkeypatch.setattr(warm, "warm_up", lambda: warmed.append(True))
    monkeypatch.setattr(prepare, "tabulate", lambda *_: made_table({}))
    kept = TableStore(tmp_path)
    prepare.prepare_tables(yard_pickup(), store=kept, setups=(ON_ARM,), progress=lambda *words: said.append(words))
    assert [words for words in said if "compiling" in str(words)] == told
    assert len(warmed) == (not there)


def test_where_every_table_is_there_nothing_is_compiled(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Loading the compiled kernel takes as long as a whole judgement."""
    kept = TableStore(tmp_path)
    kept.save("yard-pickup", made_table({}))
    monkeypatch.setattr(warm, "is_compiled", lambda: pytest.fail("looked for machine code"))
    prepare.prepare_tables(yard_pickup(), store=kept, setups=(ON_ARM,))


def test_code_on_disk_is_found_by_the_next_process(tmp_path: Path) -> None:
    warm_up()
    answers = [
        subprocess.run(
            [sys.executable, "-c", IS_COMPILED],
            env={**os.environ, **environment},
            capture_output=True,
            text=True,
            timeout=60,
            check=True,
        ).stdout.strip()
        for environment in ({}, {"NUMBA_CACHE_DIR": str(tmp_path)})
    ]
    assert answers == ["True", "False"]
