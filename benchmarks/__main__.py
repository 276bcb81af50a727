"""Runs the benchmarks and prints their tables: `python -m benchmarks`, or some of them by their names."""

from __future__ import annotations

import sys

import numpy as np

from benchmarks.contestants import Times, race
from benchmarks.judging import print_judging
from benchmarks.machine import described, starts
from benchmarks.tables import print_tables
from benchmarks.tablets import print_load
from benchmarks.visits import print_visits
from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel import warm_up
from tests.mechanics.lash_problems import draw

GROUPS = {
    "3 joints": ("full", 3, 60),
    "12 joints": ("full", 12, 40),
    "40 joints": ("full", 40, 24),
    "yard pickup": ("yard pickup", None, 24),
}
"""Family, joints and number of draws of each line; the pickup has some 35 joints and stops."""

GOALS = {"3 joints": 25.0, "12 joints": 20.0, "40 joints": 20.0}
"""How many times faster than the cone solver's own count the kernel should be in a batch."""

BATCH, SINGLES = 50, 10
FIRST_SEED = 500_000


BENCHMARKS = ("kernel", "tables", "judging", "visits", "load")


def main() -> int:
    """Exit code 0: a missed goal is reported, not an error."""
    chosen = sys.argv[1:] or BENCHMARKS
    if unknown := [name for name in chosen if name not in BENCHMARKS]:
        print(f'no benchmark is called "{unknown[0]}"; there are {", ".join(BENCHMARKS)}', file=sys.stderr)
        return 2
    print(f"{described()}\n")
    if "kernel" in chosen:
        print_kernel()
    if "tables" in chosen:
        print_tables()
    if "judging" in chosen:
        print_judging()
    if "load" in chosen:
        print_load()
    if "visits" in chosen:
        print_visits()
    return 0


def print_kernel() -> None:
    """The kernel beside other solvers, and how long it takes to start."""
    warm_up()
    times = {name: Times() for name in GROUPS}
    # Round by round over all sizes, so that a spell of other work on the machine falls on all of them.
    for number in range(max(count for *_, count in GROUPS.values())):
        for name, (family, joints, count) in GROUPS.items():
            if number < count:
                problems = draw(family, FIRST_SEED + number, count=BATCH, joints=joints)
                race(problems, times[name], SINGLES, slsqp=joints is not None and number < 8)
    print_times(times)
    print_ratios(times)
    (first_import, first), (second_import, second) = starts()
    print(f"First start: {first_import:.1f} s to import, {first:.1f} s to compile.")
    print(f"Second start: {second_import:.1f} s to import, {second:.2f} s to load.\n")


def print_times(times: dict[str, Times]) -> None:
    """Median times [µs] a problem."""
    print("Median time a problem [µs]\n")
    heads = ("size", "kernel, one call", "kernel, in a batch", "cone solver, call with set-up", "its own count")
    print(f"| {' | '.join(heads)} | its solve() alone | SLSQP | problems | left to the general solver |")
    print("|" + " --- |" * 9)
    for name, t in times.items():
        lists = (t.kernel_call, t.kernel_batch, t.conic_call, t.conic_own, t.conic_solve, t.slsqp)
        cells = [_middle(np.array(values), 1e6, 0) for values in lists]
        print(f"| {name} | {' | '.join(cells)} | {t.problems} | {t.fallbacks} |")
    print()


def print_ratios(times: dict[str, Times]) -> None:
    """Medians of the ratios, draw by draw, and whether the goals are met."""
    print("Median of the ratios, draw by draw: how many times faster the kernel is\n")
    heads = ("size", "batch against own count", "quartiles", "goal", "batch against solve() alone")
    print(f"| {' | '.join(heads)} | call against call | batch against SLSQP |")
    print("|" + " --- |" * 7)
    for name, t in times.items():
        batch = np.array(t.kernel_batch)
        own = np.array(t.conic_own) / batch
        low, high = np.nanpercentile(own, [25, 75])
        cells = [_middle(own), f"{low:.1f} to {high:.1f}", _goal(name, own), _middle(np.array(t.conic_solve) / batch)]
        cells += [_middle(np.array(t.conic_call) / np.array(t.kernel_call)), _middle(np.array(t.slsqp) / batch, 1.0, 0)]
        print(f"| {name} | {' | '.join(cells)} |")
    print()


def _middle(values: Array, unit: float = 1.0, digits: int = 1) -> str:
    """The median of those that were measured, empty if none was."""
    return f"{unit * np.nanmedian(values):.{digits}f}" if np.any(np.isfinite(values)) else ""


def _goal(name: str, ratios: Array) -> str:
    if name not in GOALS:
        return ""
    return f"{GOALS[name]:.0f}, {'met' if np.nanmedian(ratios) >= GOALS[name] else 'missed'}"


if __name__ == "__main__":
    sys.exit(main())
