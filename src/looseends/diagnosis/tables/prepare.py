"""Filling the table store: in parallel, with progress, stoppable and resumable."""

from __future__ import annotations

import multiprocessing
import os
import platform
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.tables.store import TableStore, code_hash
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import tabulate, tabulate_all, usual_setups
from looseends.errors import LooseEndsError
from looseends.language import refusal
from looseends.vehicle.build import holding_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

Progress = Callable[[str, int, int], None]
"""Called with words, steps done and steps in all."""

_THREAD_VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")

_MOST_A_TASK = 4
"""So many tables at most are one task: few enough to spread the work evenly and to lose little when it is stopped."""


def prepare_tables(
    vehicle: Vehicle,
    *,
    store: TableStore,
    progress: Progress | None = None,
    setups: Sequence[Setup] | None = None,
    executor: Executor | None = None,
) -> None:
    """Compute and keep every table of `setups` (None: the usual ones) that the store lacks.

    `executor` computes them, whose workers must have this very version; without one, a process on every core here.
    Each finished table is kept at once, so a stopped run goes on where it was.

    Raises
    ------
    LooseEndsError
        If a worker was lost, or has other code or data than this process.
    """
    wanted = usual_setups(vehicle) if setups is None else setups
    missing = [setup for setup in dict.fromkeys(wanted) if not store.has(vehicle.id, setup)]
    report = progress or (lambda words, done, all_steps: None)
    if not missing:
        return
    if executor is None:
        _compile_once(report)
    report("computing response tables", 0, len(missing))
    workers = min(len(missing), os.cpu_count() or 1)
    if executor is not None:
        _fill(vehicle, missing, store, report, executor)
    elif workers == 1:
        for done, setup in enumerate(missing, 1):
            store.save(vehicle.id, tabulate(vehicle, setup, load_beliefs()))
            report(_words(setup), done, len(missing))
    else:
        with _one_thread_each(), _pool(workers) as pool:
            _fill(vehicle, missing, store, report, pool)


def table_for(vehicle: Vehicle, setup: Setup, store: TableStore) -> ResponseTable:
    """The table of one setup, computed and kept if the store lacks it."""
    found = store.load(vehicle.id, setup)
    if found is None:
        found = tabulate(vehicle, setup, load_beliefs())
        store.save(vehicle.id, found)
    return found


def _compile_once(report: Progress) -> None:
    """Here, before there are workers, which would all compile the same at once."""
    from looseends.mechanics.kernel.warm import is_compiled, warm_up  # numba: only where something is solved

    if not is_compiled():
        words = "compiling the mechanics once, about 20 s"
        report(words, 0, 1)
        warm_up()
        report(words, 1, 1)


def _fill(vehicle: Vehicle, missing: Sequence[Setup], store: TableStore, report: Progress, executor: Executor) -> None:
    tasks = _tasks(vehicle, missing)
    waiting: dict[Future[list[ResponseTable]], None] = {}
    done = 0
    try:
        for task in tasks:
            waiting[executor.submit(_worker, vehicle.id, task, code_hash() + vehicle.content)] = None
        for future in as_completed(tuple(waiting)):
            del waiting[future]  # with its tables, which are large
            tables = future.result()
            for table in tables:
                store.save(vehicle.id, table)
            for table in tables:
                done += 1
                report(_words(table.setup), done, len(missing))
    except (BrokenExecutor, CancelledError) as error:
        raise LooseEndsError(
            refusal(
                "A worker that computed tables of {vehicle}, or the connection to it, was lost, perhaps for "
                "want of memory; {done} of {count} tables are done and kept, and the same command goes on "
                "with the others.",
                vehicle=vehicle.id,
                done=done,
                count=len(missing),
            )
        ) from error
    finally:
        for future in waiting:
            future.cancel()


def _tasks(vehicle: Vehicle, setups: Sequence[Setup]) -> list[list[Setup]]:
    """Setups that hold the vehicle alike together, since it is settled once for all of them, some to a task."""
    alike: dict[Setup, list[Setup]] = {}
    for setup in setups:
        alike.setdefault(holding_of(vehicle, setup), []).append(setup)
    # A visit lacks a table or two: then a core each rather than one settling less.
    most = max(1, min(_MOST_A_TASK, len(setups) // (os.cpu_count() or 1)))
    return [group[i : i + most] for group in alike.values() for i in range(0, len(group), most)]


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


def _worker(vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
    """Tables of some setups; `code` is the asking process's hash, under which they will be kept.

    Behind it stands the mark of the file where the vehicle is a user's own.
    """
    if not code.startswith(code_hash()):
        raise LooseEndsError(
            refusal(
                "The worker on {computer} has other code or data of Loose Ends than this computer: install "
                "the same version on both.",
                computer=platform.node(),
            )
        )
    vehicle = load_vehicles().get(vehicle_id)
    if vehicle is None or code_hash() + vehicle.content != code:
        raise LooseEndsError(
            refusal(
                "The worker on {computer} has no vehicle file of {vehicle}, or another one than this "
                "computer: put the same file into the folder that {variable} names there, and start the "
                "worker anew.",
                computer=platform.node(),
                vehicle=vehicle_id,
                variable=FOLDER_VARIABLE,
            )
        )
    return list(tabulate_all(vehicle, setups, load_beliefs()))


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
