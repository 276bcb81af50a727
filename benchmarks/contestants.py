"""One lash problem by each contestant, timed."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any
from unittest.mock import patch

import clarabel
import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.lash_conic import interior_point
from looseends.mechanics.lash_scaled import Scaled
from tests.mechanics.lash_problems import Problems
from tests.mechanics.test_kernel_independent import by_slsqp

_TOGETHER = 100
"""Problems in a batch."""


@dataclass
class Times:
    """Seconds a problem of one size: each list over the same draws in the same order, each number a draw's mean."""

    kernel_call: list[float] = field(default_factory=list)
    kernel_batch: list[float] = field(default_factory=list)
    conic_call: list[float] = field(default_factory=list)
    conic_own: list[float] = field(default_factory=list)
    conic_solve: list[float] = field(default_factory=list)
    slsqp: list[float] = field(default_factory=list)
    problems: int = 0
    fallbacks: int = 0


def seconds(work: Callable[[], object], repeats: int = 3) -> float:
    """The least of a few runs one after the other: what the work takes when nothing comes between."""
    least = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        least = min(least, time.perf_counter() - start)
    return float(least)


def race(problems: Problems, times: Times, singles: int, slsqp: bool) -> None:
    """All contestants on one draw, in turn, so that a busy machine hits all alike.

    The whole draw goes through the kernel once, for its fallbacks; the first `singles` problems that have anything to
    solve go through everybody one by one, and through the kernel in one batch too, taking turns.
    """
    answers = problems.solved()
    times.problems += len(problems)
    times.fallbacks += int(np.sum(answers.fallback))
    chosen = np.flatnonzero(np.any(problems.semi > 0.0, axis=1))[:singles]
    if not chosen.size:
        return
    together = _rows(problems, np.resize(chosen, _TOGETHER // len(chosen) * len(chosen)))
    times.kernel_batch.append(seconds(together.solved, 5) / len(together))
    times.kernel_call.append(float(np.mean([seconds(problems.only(i).solved) for i in chosen])))
    whole, own, solve = np.mean([_conic(problems, i) for i in chosen], axis=0)
    times.conic_call.append(whole)
    times.conic_own.append(own)
    times.conic_solve.append(solve)
    times.slsqp.append(seconds(partial(by_slsqp, problems, chosen[0]), 1) if slsqp else np.nan)


def _rows(problems: Problems, rows: NDArray[np.intp]) -> Problems:
    """Those problems in that order. None stands twice in a row: the kernel must not know the next by the last."""
    return replace(
        problems,
        loads=problems.loads[rows],
        semi=problems.semi[rows],
        seats=problems.seats[rows],
        softness=problems.softness[rows],
    )


def _conic(problems: Problems, i: int) -> tuple[float, float, float]:
    """The general cone solver: whole call with scaling and set-up, its own count, and its solve() alone."""
    S, seats = problems.stiffness(i), problems.seats[i]

    def call() -> object:
        scaled = Scaled.of(S, problems.loads[i], problems.blocks, problems.semi[i], seats)
        return interior_point(scaled, even=True) if scaled.size else None

    with _listening() as heard:
        whole = seconds(call)
    if not heard:
        return whole, np.nan, np.nan
    return whole, min(own for own, _ in heard), min(solve for _, solve in heard)


@contextmanager
def _listening() -> Any:
    """What the cone solver says of its own time, and what its solve() takes, run by run."""
    heard: list[tuple[float, float]] = []
    real = clarabel.DefaultSolver

    class Listened:
        def __init__(self, *arguments: Any) -> None:
            self.solver = real(*arguments)

        def solve(self) -> Any:
            start = time.perf_counter()
            solution = self.solver.solve()
            heard.append((float(solution.solve_time), time.perf_counter() - start))
            return solution

    with patch.object(clarabel, "DefaultSolver", Listened):
        yield heard
