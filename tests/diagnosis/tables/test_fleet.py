"""Tables from workers behind a scheduler, on the loopback address only."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from looseends.diagnosis.tables import prepare
from looseends.diagnosis.tables.store import TableStore
from tests.cli.command_line import refusal, run
from tests.diagnosis.conftest import SETUPS, Preparation
from tests.diagnosis.made_tables import IDLER, LOCKED, ON_ARM, ON_FRAME, yard_pickup
from tests.diagnosis.tables import store_worker

distributed = pytest.importorskip("distributed", reason='the extra "fleet" is not installed')
dask = pytest.importorskip("dask")

FOUR = (ON_ARM, ON_FRAME, IDLER, LOCKED)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """Where a scheduler with two worker processes listens."""
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 1}),
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            host="127.0.0.1",
            dashboard_address="127.0.0.1:0",
            silence_logs="CRITICAL",
        ) as cluster,
    ):
        yield cluster.scheduler_address


@pytest.mark.slow
def test_exact_the_fleet_computes_the_same_tables_as_this_computer(
    address: str, preparation: Preparation, monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setattr(prepare, "usual_setups", lambda vehicle: SETUPS)
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path))
    done = run(capsys, "prepare", "yard-pickup", "--cluster", address)
    assert done.code == 0
    assert done.err.splitlines()[-1].startswith("3 of 3 (100 %)")
    here, there = preparation.store.directory, tmp_path / "tables"
    names = sorted(path.name for path in here.iterdir())
    assert len(names) == 3 and names == sorted(path.name for path in there.iterdir())
    for name in names:
        with np.load(here / name) as one, np.load(there / name) as other:
            assert one.files == other.files
            assert [key for key in one.files if one[key].tobytes() != other[key].tobytes()] == []


def test_a_fleet_with_another_version_is_told_before_it_begins(
    address: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("looseends.diagnosis.tables.store.code_hash", lambda: "after a change")
    done = run(capsys, "prepare", "yard-pickup", "--cluster", address)
    assert done.code == 1
    assert done.err.count("\n") == 1 and "has another version of Loose Ends" in done.err


def test_a_worker_that_is_lost_once_costs_nothing(
    address: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    marker, store = tmp_path / "lost", TableStore(tmp_path / "tables")
    monkeypatch.setattr(prepare, "_worker", partial(store_worker.dying_once, marker))
    with distributed.Client(address, set_as_default=False) as client:
        prepare.prepare_tables(yard_pickup(), store=store, setups=FOUR, executor=client.get_executor())
    assert marker.exists()
    assert all(store.has("yard-pickup", setup) for setup in FOUR)


def test_a_task_that_ends_every_worker_is_told_in_one_sentence(
    address: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(prepare, "_worker", store_worker.dying)
    monkeypatch.setattr(prepare, "usual_setups", lambda vehicle: FOUR)
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path))
    done = run(capsys, "prepare", "yard-pickup", "--cluster", address)
    assert done.code == 1
    assert done.err.splitlines()[-1].startswith("Several workers of the fleet ended one after the other")
    assert "Traceback" not in done.err


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "bay desk"])
def test_no_scheduler_is_told_with_the_address(
    address: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("looseends.cli.fleet._WAIT_S", 1)
    sentence = refusal(capsys, "prepare", "yard-pickup", "--cluster", address)
    assert f'no scheduler answers at "{address}"' in sentence and "tcp://" in sentence


def test_a_scheduler_without_workers_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with distributed.LocalCluster(
        n_workers=0, host="127.0.0.1", dashboard_address="127.0.0.1:0", silence_logs="CRITICAL"
    ) as cluster:
        sentence = refusal(capsys, "prepare", "yard-pickup", "--cluster", cluster.scheduler_address)
    assert "has no workers" in sentence and f"dask worker {cluster.scheduler_address}" in sentence
