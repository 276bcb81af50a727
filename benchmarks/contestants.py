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

from looseends.mechanics.lash_conic import interior_point
from looseends.mechanics.lash_scaled import Scaled
from tests.mechanics.lash_problems import Problems
from tests.mechanics.test_kernel_independent import by_slsqp

_REPEATED = 100


@dataclass
class Times:
    """Seconds a problem of one size, each list over the same problems in the same order."""

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

    The whole draw goes through the kernel once, for its fallbacks; the first `singles` problems go through everybody,
    through the kernel alone and many times over in one batch.
    """
    answers = problems.solved()
    times.problems += len(problems)
    times.fallbacks += int(np.sum(answers.fallback))
    for i in range(singles):
        alone, repeated = problems.only(i), _repeated(problems, i)
        times.kernel_batch.append(seconds(repeated.solved, 5) / len(repeated))
        times.kernel_call.append(seconds(alone.solved))
        whole, own, solve = _conic(problems, i)
        times.conic_call.append(whole)
        times.conic_own.append(own)
        times.conic_solve.append(solve)
        times.slsqp.append(seconds(partial(by_slsqp, problems, i), 1) if slsqp and i == 0 else np.nan)


def _repeated(problems: Problems, i: int) -> Problems:
    """Problem i many times over: so the time of a call and of its set-up hardly counts."""
    rows = np.full(_REPEATED, i)
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
