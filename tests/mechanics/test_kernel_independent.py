"""Independent: 2,000 small problems by the kernel and by SciPy's SLSQP, which knows nothing of cones or faces.

SLSQP gets the energy in h = g / semi-axis, every block counted in the root of its own stiffness, |h|² <= 1 and h >= 0
as constraints and the corner of every seat rounded off. Its answer, put back into the sets, has an energy that the
kernel's must not exceed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import minimize

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import ball_sizes
from tests.mechanics.lash_problems import DEGENERATE, MADE_UP, Problems, draw

DRAWS = {**dict.fromkeys((*MADE_UP, *DEGENERATE), 34), "linkage": 30, "worn linkage": 30}
"""Draws of five like problems, by family: 2,000 problems."""

ROUNDED = 1e-5
"""Length |h| over which a seat's corner is rounded off."""


@dataclass(frozen=True)
class Other:
    """What SLSQP found: energy [N·mm] at its answer put back into the sets, and whether it says it has arrived."""

    energy: float
    arrived: bool


def _small(family: str, seed: int) -> Problems:
    """Made-up problems of 1 to 6 joints; the random linkages are as small as that."""
    return draw(family, 10_000 + seed, joints=1 + seed % 6)


def by_slsqp(problem: Problems, i: int) -> Other:
    """Problem i by a general nonlinear solver."""
    semi, S, load = problem.semi[i], problem.stiffness(i), problem.loads[i]
    scale = np.where(np.isinf(semi), 1.0, semi)
    parts = [slice(block.start, block.stop) for block in problem.blocks]
    costs = problem.seats[i] * ball_sizes(problem.blocks, semi)
    # Each block in its own unit, so that metres and thousandths stand side by side.
    unit = np.ones(len(semi))
    for part in parts:
        stiffest = float(np.max(np.diag(S)[part] * scale[part] ** 2))
        unit[part] = 1.0 / np.sqrt(stiffest) if stiffest > 0.0 else 1.0
    way = scale * unit
    P, q = S * np.outer(way, way), load * way
    size = max(float(np.max(np.abs(q), initial=0.0)), float(np.max(costs, initial=0.0)), 1e-9)
    walled = [b for b in range(len(parts)) if np.all(np.isfinite(semi[parts[b]])) and np.any(semi[parts[b]])]
    lines = [block.start for block in problem.blocks if block.kind == "half-line"]

    def lengths(h: Array) -> Array:
        return np.array([np.sqrt(float(h[part] @ h[part]) + ROUNDED**2) for part in parts])

    def value(x: Array) -> float:
        return float(0.5 * x @ P @ x - q @ x + costs @ lengths(x * unit)) / size

    def slope(x: Array) -> Array:
        down = P @ x - q
        for part, cost, length in zip(parts, costs, lengths(x * unit), strict=True):
            down[part] += cost * unit[part] ** 2 * x[part] / length
        return np.asarray(down / size)

    def inside(x: Array) -> Array:
        h = x * unit
        return np.array([*(1.0 - h[parts[b]] @ h[parts[b]] for b in walled), *(h[s] for s in lines)])

    def inside_slope(x: Array) -> Array:
        rows = np.zeros((len(walled) + len(lines), len(x)))
        for row, b in enumerate(walled):
            rows[row, parts[b]] = -2.0 * unit[parts[b]] ** 2 * x[parts[b]]
        for row, s in enumerate(lines, len(walled)):
            rows[row, s] = unit[s]
        return rows

    found = minimize(
        value,
        np.zeros(len(semi)),
        jac=slope,
        method="SLSQP",
        constraints=[{"type": "ineq", "fun": inside, "jac": inside_slope}] if walled or lines else [],
        options={"maxiter": 500, "ftol": 1e-13},
    )
    return Other(problem.energy(i, _put_back(problem, i, found.x * unit)), bool(found.success))


def _put_back(problem: Problems, i: int, h: Array) -> Array:
    """g of the nearest h inside every set along its own radius."""
    semi = problem.semi[i]
    h = np.where(semi > 0.0, h, 0.0)
    for block in problem.blocks:
        part = slice(block.start, block.stop)
        if block.kind == "half-line":
            h[part] = np.maximum(h[part], 0.0)
        elif np.all(np.isfinite(semi[part])):
            h[part] /= max(1.0, float(np.linalg.norm(h[part])))
    return np.asarray(h * np.where(np.isinf(semi), 1.0, semi))


def _in_play(problem: Problems, i: int, g: Array) -> float:
    """Energy that both energies are differences of [N·mm]."""
    seats = problem.energy(i, g) - 0.5 * g @ problem.stiffness(i) @ g + problem.loads[i] @ g
    return float(0.5 * g @ problem.stiffness(i) @ g + abs(problem.loads[i] @ g) + seats) + 1e-9


@pytest.mark.parametrize("family", DRAWS)
def test_two_thousand_small_problems_against_slsqp(family: str) -> None:
    """Never above the other's energy; and not below it by more than its own accuracy where it says it has arrived."""
    arrived = close = count = 0
    for seed in range(DRAWS[family]):
        problem = _small(family, seed)
        answers = problem.solved()
        for i in range(len(problem)):
            ours, other = problem.energy(i, answers.g[i]), by_slsqp(problem, i)
            scale = _in_play(problem, i, answers.g[i])
            rounded_off = ROUNDED * float(problem.seats[i] @ ball_sizes(problem.blocks, problem.semi[i]))
            certificate = problem.certificate(i, answers.g[i])
            assert certificate.holds, (seed, i)
            assert ours <= other.energy + certificate.gap + 1e-12 * scale, (seed, i)
            count += 1
            arrived += other.arrived
            close += other.arrived and other.energy <= ours + 1e-6 * scale + rounded_off
    assert arrived >= 0.8 * count
    assert close >= 0.95 * arrived
