"""What a further reading costs: a visit that goes on against the same one diagnosed anew, and `judge` as a process."""

from __future__ import annotations

import gc
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib.resources import as_file

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis import default_store
from looseends.diagnosis.inference.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.judge import judgement_of
from looseends.diagnosis.next_step import next_step
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection import EXAMPLE_VISIT, read_visit
from looseends.inspection.types import Visit
from looseends.mechanics.kernel import warm_up
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle

READING_MS, PROCESS_S = 50.0, 1.5
"""Goals: processor time of posterior and next step after a further reading, and of the whole process `judge`."""

_PROCESSES = 3
_JUDGE = "from looseends.cli.application import main; main()"


def print_judging() -> None:
    """The example visit of the yard pickup, reading by reading."""
    visit, vehicle = _example()
    going_on = Diagnosing(vehicle, default_store(), lasting=True)
    warm_up()
    going_on.diagnosed(visit)
    gc.collect()
    gc.freeze()
    steps = np.array([_reading(growing, going_on, vehicle) for growing in _growing(visit)])[1:]
    print(f"A further reading of a visit, {len(vehicle.wearable)} parts, {len(steps)} readings [ms of processor]\n")
    print("| step | goes on | anew | anew over goes on |")
    print("|" + " --- |" * 4)
    for n, name in enumerate(("posterior", "next step", "judgement")):
        ratio = np.median(steps[:, 1, n] / steps[:, 0, n])
        print(f"| {name} | {_spread(steps[:, 0, n])} | {_spread(steps[:, 1, n])} | {ratio:.1f} |")
    both = float(np.median(steps[:, 0, :2].sum(axis=1)))
    print(f"\nPosterior and next step: {both:.0f} ms, goal {READING_MS:.0f}, {_met(both, READING_MS)}.")
    seconds = float(np.median([_process() for _ in range(_PROCESSES)]))
    print(f"`judge` as a process: {seconds:.2f} s, goal {PROCESS_S:.1f}, {_met(seconds, PROCESS_S)}.\n")


def _example() -> tuple[Visit, Vehicle]:
    vehicles = load_vehicles()
    part_ids = {"yard-pickup": tuple(vehicles["yard-pickup"].parts)}
    with as_file(EXAMPLE_VISIT) as file:
        visit = read_visit(file, catalogue=load_catalogue(), part_ids=part_ids, vehicle_ids=tuple(vehicles))
    return visit, vehicles[visit.vehicle]


def _growing(visit: Visit) -> Iterator[Visit]:
    """The visit as it stood after each of its readings."""
    for n, check in enumerate(visit.checks):
        for count in range(1, len(check.readings) + 1):
            yield replace(visit, checks=(*visit.checks[:n], replace(check, readings=check.readings[:count])))


def _reading(visit: Visit, going_on: Diagnosing, vehicle: Vehicle) -> list[list[float]]:
    """Milliseconds of posterior, next step and judgement, by the one that goes on and by one that begins."""
    return [_times(visit, diagnosing) for diagnosing in (going_on, _with_tables_of(going_on, vehicle))]


def _times(visit: Visit, diagnosing: Diagnosing) -> list[float]:
    answers: list[Diagnosed] = []
    posterior = _milliseconds(lambda: answers.append(diagnosing.diagnosed(visit)))
    step = _milliseconds(lambda: next_step(answers[0]))
    return [posterior, step, _milliseconds(lambda: judgement_of(answers[0], load_policy()))]


def _with_tables_of(other: Diagnosing, vehicle: Vehicle) -> Diagnosing:
    """One that knows nothing of the visit but has the tables in memory: what is compared is arithmetic alone."""
    begun = Diagnosing(vehicle, default_store(), lasting=True)
    begun.common.take_tables(other.common)
    return begun


def _milliseconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return 1e3 * (time.process_time() - start)


def _process() -> float:
    """Processor time [s] of `judge` on the example visit, from start to end."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    with as_file(EXAMPLE_VISIT) as file:
        command = [sys.executable, "-c", _JUDGE, "judge", str(file)]
        subprocess.run(command, env=os.environ, stdout=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _spread(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> str:
    low, middle, high = np.percentile(values, [25, 50, 75])
    return f"{middle:.0f} ({low:.0f} to {high:.0f})"


def _met(value: float, goal: float) -> str:
    return "met" if value <= goal else "missed"
