"""What the response tables of a whole vehicle cost: time, solved problems, and room on disk."""

from __future__ import annotations

import multiprocessing
import os
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar
from unittest.mock import patch

import numpy as np

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.tables.ensemble import Ensemble
from looseends.diagnosis.tables.pairs import tabulate_pairs
from looseends.diagnosis.tables.singles import tabulate_singles
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import PartStates, vehicle_states
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.mechanics import travel
from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel import Answers, solve_many, warm_up
from looseends.vehicle.build import holding_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.specimen import nominal_specimen

VEHICLE = "yard-pickup"
PROCESSES = 2
MEMBERS = 16

ONE_S, MANY_S, ROOM_MB = 20.0, 240.0, 500.0
"""Goals: processor time of the nominal vehicle's tables and of the members' singles, room of all on disk."""

_STORED_BYTES = 4
"""A number of a member's single parts on disk."""

_MOST_TOGETHER = 4

Task = TypeVar("Task")

SETTLED, SINGLES, PAIRS = "settling and reducing", "single parts", "pairs"


@dataclass
class Cost:
    """Processor time [s] by step, problems solved and those left to the general solver, bytes on disk."""

    seconds: dict[str, float] = field(default_factory=dict)
    solves: int = 0
    fallbacks: int = 0
    size: int = 0

    @property
    def cpu(self) -> float:
        """All steps [s]."""
        return sum(self.seconds.values())

    def add(self, other: Cost) -> None:
        """Count another setup in."""
        for step, seconds in other.seconds.items():
            self.seconds[step] = self.seconds.get(step, 0.0) + seconds
        self.solves += other.solves
        self.fallbacks += other.fallbacks
        self.size += other.size


def print_tables() -> None:
    """Cost of all usual tables of the vehicle, each setup timed by itself, on so many processes."""
    setups = usual_setups(load_vehicles()[VEHICLE])
    one, one_wall = _all(nominal, setups)
    many, many_wall = _all(members, _held_alike(setups))
    print(f"Tables of the {VEHICLE}, {len(setups)} setups\n")
    print(f"| tables of | processor time [s] | of it | by the clock on {PROCESSES} processes [s] |", end="")
    print(" problems | left to the general solver | on disk [MB] |\n|" + " --- |" * 7)
    _print_row("nominal vehicle, with pairs", one, one_wall)
    _print_row(f"{MEMBERS} members, single parts", many, many_wall)
    room = (one.size + many.size) / 1e6
    print(f"\nGoals: nominal in {_met(one.cpu, ONE_S, 's')}; members in {_met(many.cpu, MANY_S, 's')}; ", end="")
    print(f"on disk {_met(room, ROOM_MB, 'MB')}.\n")


def nominal(setup: Setup) -> Cost:
    """The nominal vehicle alone: settled, single parts, pairs; kept on disk."""
    vehicle, beliefs = load_vehicles()[VEHICLE], load_beliefs()
    specimen, states = nominal_specimen(vehicle), vehicle_states(vehicle, beliefs)
    cost = Cost()
    with _counted(cost):
        prepared = _timed(cost, SETTLED, lambda: prepare_check(vehicle, specimen, setup, nominal_preload(VEHICLE)))
        solver = _timed(cost, SETTLED, lambda: Solver(vehicle, specimen, prepared))
        singles = _timed(cost, SINGLES, lambda: tabulate_singles(solver, states))
        pairs = _timed(cost, PAIRS, lambda: tabulate_pairs(solver, states, singles))
    spread = np.zeros_like(solver.sound)
    cost.size = _size(ResponseTable(setup, prepared, solver.watches, solver.sound, spread, singles, pairs))
    return cost


def members(setups: Sequence[Setup]) -> Cost:
    """The ensemble's first members in setups that hold them alike: settled once, single parts solved in each."""
    vehicle, beliefs = load_vehicles()[VEHICLE], replace(load_beliefs(), ensemble_members=MEMBERS)
    states, preload = vehicle_states(vehicle, beliefs), nominal_preload(VEHICLE)
    nominals = [prepare_check(vehicle, nominal_specimen(vehicle), setup, preload) for setup in setups]
    cost = Cost()
    with _counted(cost):
        ensemble = _timed(cost, SETTLED, lambda: Ensemble(vehicle, beliefs, preload))
        for prepared in nominals:
            solvers = _timed(cost, SETTLED, partial(ensemble.members, prepared))
            singles = _timed(cost, SINGLES, partial(_singles_of_all, solvers, states))
            cost.size += sum(change.size * _STORED_BYTES for found in singles for change in found.values())
    return cost


def _singles_of_all(solvers: Sequence[Solver], states: Sequence[PartStates]) -> list[dict[str, Array]]:
    return [tabulate_singles(solver, states) for solver in solvers]


def _held_alike(setups: Sequence[Setup]) -> list[list[Setup]]:
    """Setups that hold the vehicle alike, few enough together to keep all processes busy to the end."""
    vehicle, alike = load_vehicles()[VEHICLE], dict[Setup, list[Setup]]()
    for setup in setups:
        alike.setdefault(holding_of(vehicle, setup), []).append(setup)
    return [group[i : i + _MOST_TOGETHER] for group in alike.values() for i in range(0, len(group), _MOST_TOGETHER)]


def _all(work: Callable[[Task], Cost], tasks: Sequence[Task]) -> tuple[Cost, float]:
    """Sum over the tasks, and seconds by the clock once the processes are ready."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # read by the processes that start here
    total = Cost()
    with ProcessPoolExecutor(PROCESSES, multiprocessing.get_context("spawn"), initializer=_ready) as pool:
        list(pool.map(time.sleep, [1.0] * PROCESSES))  # so that each of them has started
        begin = time.perf_counter()
        for cost in pool.map(work, tasks):
            total.add(cost)
        return total, time.perf_counter() - begin


def _ready() -> None:
    """Load what a process needs once."""
    warm_up()
    nominal_preload(VEHICLE)


def _timed(cost: Cost, step: str, work: Callable[[], Any]) -> Any:
    begin = time.process_time()
    done = work()
    cost.seconds[step] = cost.seconds.get(step, 0.0) + time.process_time() - begin
    return done


@contextmanager
def _counted(cost: Cost) -> Iterator[None]:
    """Count the problems that strokes put to the kernel."""

    def counting(*arguments: Any, **named: Any) -> Answers:
        answers = solve_many(*arguments, **named)
        cost.solves += len(answers.g)
        cost.fallbacks += int(np.sum(answers.fallback))
        return answers

    with patch.object(travel, "solve_many", counting):
        yield


def _size(table: ResponseTable) -> int:
    """Bytes of the file that the store keeps."""
    with tempfile.TemporaryDirectory() as folder:
        TableStore(Path(folder)).save(VEHICLE, table)
        return sum(path.stat().st_size for path in Path(folder).iterdir())


def _print_row(name: str, cost: Cost, wall: float) -> None:
    steps = ", ".join(f"{step} {seconds:.0f}" for step, seconds in cost.seconds.items())
    print(f"| {name} | {cost.cpu:.0f} | {steps} | {wall:.0f} | {cost.solves} | {cost.fallbacks} | ", end="")
    print(f"{cost.size / 1e6:.1f} |")


def _met(value: float, goal: float, unit: str) -> str:
    return f"{value:.0f} {unit} of {goal:.0f}, {'met' if value <= goal else 'missed'}"
