"""Filling the table store: in parallel, with progress, stoppable and resumable."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.store import TableStore
from looseends.diagnosis.table import ResponseTable
from looseends.diagnosis.tabulate import tabulate, usual_setups
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle, load_vehicles

Progress = Callable[[str, int, int], None]
"""Called with words, steps done and steps in all."""

_THREAD_VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def prepare_tables(
    vehicle: Vehicle, *, store: TableStore, progress: Progress | None = None, setups: Sequence[Setup] | None = None
) -> None:
    """Compute and keep every table of `setups` (None: the usual ones) that the store lacks.

    Each finished table is kept at once, so a stopped run goes on where it was.
    """
    wanted = usual_setups(vehicle) if setups is None else setups
    missing = [setup for setup in dict.fromkeys(wanted) if not store.has(vehicle.id, setup)]
    report = progress or (lambda words, done, all_steps: None)
    if not missing:
        return
    report("computing response tables", 0, len(missing))
    workers = min(len(missing), os.cpu_count() or 1)
    if workers == 1:
        for done, setup in enumerate(missing, 1):
            store.save(vehicle.id, tabulate(vehicle, setup, load_beliefs()))
            report(_words(setup), done, len(missing))
        return
    with _one_thread_each(), _pool(workers) as pool:
        futures = {pool.submit(_worker, vehicle.id, setup): setup for setup in missing}
        try:
            for done, future in enumerate(as_completed(futures), 1):
                store.save(vehicle.id, future.result())
                report(_words(futures[future]), done, len(missing))
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


def table_for(vehicle: Vehicle, setup: Setup, store: TableStore) -> ResponseTable:
    """The table of one setup, computed and kept if the store lacks it."""
    found = store.load(vehicle.id, setup)
    if found is None:
        found = tabulate(vehicle, setup, load_beliefs())
        store.save(vehicle.id, found)
    return found


def _pool(workers: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), initializer=_end_with_parent)


def _end_with_parent() -> None:
    """A worker whose parent was killed stops at once, instead of computing for nobody."""
    parent = multiprocessing.parent_process()
    assert parent is not None

    def wait() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def _worker(vehicle_id: str, setup: Setup) -> ResponseTable:
    return tabulate(load_vehicles()[vehicle_id], setup, load_beliefs())


def _words(setup: Setup) -> str:
    side = f", {setup.side}" if setup.side else ""
    return f"{setup.check} on {setup.support}{side}"


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Workers started inside read these variables when they load their linear algebra: one thread per process."""
    before = {name: os.environ.get(name) for name in _THREAD_VARIABLES}
    os.environ.update(dict.fromkeys(_THREAD_VARIABLES, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
