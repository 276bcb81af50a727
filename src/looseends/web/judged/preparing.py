"""Tables of vehicles computed in a process of their own, so that no page waits for them."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from looseends.diagnosis import TableStore, prepare_tables
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.of_vehicle import usual_setups_of

_SPAWN = multiprocessing.get_context("spawn")
_GENTLY = 10
"""How far the process steps back, so that pages are answered while tables are computed."""


@dataclass(frozen=True)
class Progress:
    """How far a vehicle's tables are: `done` of `total`; `failed` where the process ended before its work did."""

    vehicle_id: str
    done: int
    total: int
    failed: bool = False


class Preparing:
    """Which vehicles' tables are there, and one process at a time that computes those that are not."""

    def __init__(self, tables: TableStore) -> None:
        self.tables = tables
        self._lock = threading.Lock()
        self._waiting: dict[str, tuple[Setup, ...]] = {}
        self._process: Any = None
        self._vehicle_id = ""
        self._counts = _SPAWN.Array("i", 2)
        self._failed: set[str] = set()
        self._there: dict[str, tuple[Vehicle, frozenset[Setup]]] = {}

    def ready(self, vehicle: Vehicle, setups: Sequence[Setup] = ()) -> bool:
        """Whether the usual tables, and those of `setups`, are there; what was there once is not looked for again."""
        of, there = self._there.get(vehicle.id, (None, frozenset()))
        if of is not vehicle:
            there = frozenset()
        missing = set((*usual_setups_of(vehicle), *setups)) - there
        found = frozenset(setup for setup in missing if self.tables.has(vehicle.id, setup))
        if found:
            self._there[vehicle.id] = vehicle, there | found
        return len(found) == len(missing)

    def progress(self, vehicle_id: str, setups: Sequence[Setup] = ()) -> Progress:
        """How far this vehicle's tables are, with those of `setups`; asks for them if nobody has."""
        with self._lock:
            self._go_on()
            if vehicle_id in self._failed:
                self._failed.discard(vehicle_id)
                return Progress(vehicle_id, 0, 0, failed=True)
            if self._process is not None and self._vehicle_id == vehicle_id:
                done, total = self._counts[:]
                return Progress(vehicle_id, done, total)
            self._waiting[vehicle_id] = (*self._waiting.get(vehicle_id, ()), *setups)
            self._go_on()
            return Progress(vehicle_id, 0, 0)

    def now(self) -> Progress | None:
        """What is being computed, and how far it is; None where nothing is. It asks for nothing."""
        with self._lock:
            self._go_on()
            if self._process is None:
                return None
            done, total = self._counts[:]
            return Progress(self._vehicle_id, done, total)

    def stop(self) -> None:
        """End the process; finished tables are kept, and the next start goes on after them."""
        with self._lock:
            self._waiting.clear()
            if self._process is not None:
                self._process.terminate()
                self._process.join()
                self._process = None

    def _go_on(self) -> None:
        if self._process is not None and self._process.is_alive():
            return
        if self._process is not None and self._process.exitcode != 0:
            self._failed.add(self._vehicle_id)
        self._process = None
        if self._waiting:
            self._vehicle_id = next(iter(self._waiting))
            setups = self._waiting.pop(self._vehicle_id)
            self._counts[:] = [0, 0]
            self._process = _SPAWN.Process(target=_prepare, args=(self._vehicle_id, setups, self._counts))
            self._process.start()


def _prepare(vehicle_id: str, setups: Sequence[Setup], counts: Any) -> None:
    from looseends.diagnosis import default_store

    with suppress(OSError, AttributeError):  # Windows knows no such step
        os.nice(_GENTLY)
    _end_with_server()

    def report(words: str, done: int, total: int) -> None:
        if total > 1:  # the compilation before the first table counts as one step
            counts[:] = [done, total]

    vehicle = load_vehicles()[vehicle_id]
    prepare_tables(vehicle, store=default_store(), progress=report, setups=(*usual_setups_of(vehicle), *setups))


def _end_with_server() -> None:
    """A server that was killed leaves nobody computing for it."""
    process = multiprocessing.parent_process()
    if process is None:
        return

    def wait() -> None:
        process.join()
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()
