"""Independent: the reduced problem against the full one in displacements and clearances, by other solvers.

The full form min ½ |J u + e0 - E g|² - F·u over u and g together, with every clearance set as a constraint, is
handed to Clarabel as one cone program without any elimination, and on smaller draws to SciPy's SLSQP, which knows
nothing of cones. Energies must agree, and so must the joint forces, which are unique even where g is not.
"""

from __future__ import annotations

import clarabel
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import sparse
from scipy.optimize import minimize

from looseends.mechanics.bodies import Array
from looseends.mechanics.lash import LashSolution, solve_lash
from looseends.mechanics.reduction import displacement
from tests.mechanics.mechanisms import Sample, energy, random_sample

KINDS = ("plain", "zero", "tiny", "huge", "parallel", "coincident", "no-load")


def _solve(sample: Sample) -> tuple[LashSolution, float]:
    """Our answer and its energy, written out in u and g."""
    reduced = sample.stroke.reduced
    solution = solve_lash(reduced.S, reduced.f_base + reduced.f_hand, reduced.blocks, sample.semi)
    F = sample.stroke.F_hand
    u = displacement(sample.stroke.factors, sample.stroke.system.F + F, solution.g)
    return solution, energy(sample.stroke.system, F, u, solution.g)


def _cone_program(sample: Sample) -> tuple[float, Array]:
    """Energy and joint forces of the full problem: variables r (residual), u, g; r = J u + e0 - E g; cones on g."""
    system, semi = sample.stroke.system, sample.semi
    rows, width, p = *system.J.shape, len(system.root)
    E = np.zeros((rows, p))
    E[system.unknown_rows, np.arange(p)] = system.root
    size = rows + width + p
    P = np.zeros((size, size))
    P[:rows, :rows] = np.eye(rows)
    q = np.concatenate([np.zeros(rows), -(sample.stroke.F_hand + system.F), np.zeros(p)])
    A = [np.hstack([np.eye(rows), -system.J, E])]
    b = [system.e0]
    cones: list[object] = [clarabel.ZeroConeT(rows)]
    for block in system.blocks:
        pick = np.zeros((block.stop - block.start, size))
        pick[:, rows + width + block.start : rows + width + block.stop] = np.eye(block.stop - block.start)
        part = semi[block.start : block.stop]
        if block.kind == "half-line":
            A.append(-pick)
            b.append(np.zeros(1))
            cones.append(clarabel.NonnegativeConeT(1))
            continue
        if np.any(part == 0.0):
            A.append(pick[part == 0.0])
            b.append(np.zeros(int(np.sum(part == 0.0))))
            cones.append(clarabel.ZeroConeT(len(b[-1])))
        if np.any(part > 0.0):
            loose = pick[part > 0.0] / part[part > 0.0][:, None]
            A.append(np.vstack([np.zeros((1, size)), -loose]))
            b.append(np.concatenate([[1.0], np.zeros(len(loose))]))
            cones.append(clarabel.SecondOrderConeT(len(b[-1])))
    settings_ = clarabel.DefaultSettings()
    settings_.verbose = False
    settings_.max_threads = 1
    settings_.max_step_fraction = 0.95  # full steps run into the corner of some degenerate draws and stay there
    settings_.tol_gap_abs = settings_.tol_gap_rel = settings_.tol_feas = 1e-10
    solver = clarabel.DefaultSolver(
        sparse.csc_matrix(np.triu(P)), q, sparse.csc_matrix(np.vstack(A)), np.concatenate(b), cones, settings_
    )
    found = solver.solve()
    x = np.array(found.x)
    assert "Solved" in str(found.status)
    r, u, g = x[:rows], x[rows : rows + width], x[rows + width :]
    return energy(system, sample.stroke.F_hand, u, g), system.root * r[system.unknown_rows]


def _slsqp(sample: Sample) -> float:
    """Energy of the full problem in (u, h) with g = semi-axis × h, |h| <= 1 on each ball."""
    system, semi = sample.stroke.system, sample.semi
    width = system.J.shape[1]
    scale = np.where(np.isinf(semi), 1.0, semi)
    F = sample.stroke.F_hand + system.F

    def value(x: Array) -> float:
        return energy(system, sample.stroke.F_hand, x[:width], scale * x[width:])

    def slope(x: Array) -> Array:
        residual = system.J @ x[:width] + system.e0
        residual[system.unknown_rows] -= system.root * scale * x[width:]
        on_g = -system.root * scale * residual[system.unknown_rows]
        return np.concatenate([system.J.T @ residual - F, on_g])

    def inside(x: Array) -> Array:
        h = x[width:]
        return np.array(
            [
                h[b.start] if b.kind == "half-line" else 1.0 - h[b.start : b.stop] @ h[b.start : b.stop]
                for b in system.blocks
            ]
        )

    start = np.zeros(width + len(semi))
    options = {"maxiter": 3000, "ftol": 1e-13}
    constraints = [{"type": "ineq", "fun": inside}]
    return float(minimize(value, start, jac=slope, constraints=constraints, method="SLSQP", options=options).fun)


def _agrees(sample: Sample) -> None:
    solution, ours = _solve(sample)
    theirs, forces = _cone_program(sample)
    scale = max(1.0, abs(ours))
    # With metres of clearance the energy in play, and so the gap that is allowed, is far above the energy itself.
    assert ours == pytest.approx(theirs, abs=1e-6 * scale + solution.certificate.gap)
    assert solution.f == pytest.approx(forces, abs=2e-3 * max(1.0, float(np.max(np.abs(forces)))))


@pytest.mark.parametrize("seed", range(10))
def test_two_hundred_random_mechanisms_against_the_full_cone_program(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for _ in range(20):
        _agrees(random_sample(rng))


@pytest.mark.parametrize("seed", range(12))
def test_random_mechanisms_against_slsqp(seed: int) -> None:
    sample = random_sample(np.random.default_rng(1000 + seed))
    _, ours = _solve(sample)
    assert ours == pytest.approx(_slsqp(sample), abs=2e-5 * max(1.0, abs(ours)))


@settings(max_examples=80)
@given(seed=st.integers(0, 2**32 - 1), kind=st.sampled_from(KINDS))
def test_degenerate_mechanisms_against_the_full_cone_program(seed: int, kind: str) -> None:
    _agrees(random_sample(np.random.default_rng(seed), kind))
