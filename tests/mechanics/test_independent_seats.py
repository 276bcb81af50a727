"""Independent: seats, missing and softened parts against the full problem in displacements and clearances.

min ½ |J u + e0 - E g|² + ½ gᵀ D g - F·u + Σ t over residual, u, g and the seats' costs t, every set and every
t >= seat × size × |g / semi-axis| as a constraint: by Clarabel as one cone program without any elimination or scaling,
and on smaller draws by SciPy's SLSQP, which knows nothing of cones.
"""

from __future__ import annotations

from dataclasses import replace

import clarabel
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import sparse
from scipy.optimize import minimize

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Clearance, ClearanceArrays
from looseends.mechanics.lash import LashSolution, solve_lash
from looseends.mechanics.reduction import displacement
from tests.mechanics.mechanisms import Sample, energy, random_sample

KINDS = ("plain", "zero", "tiny", "parallel", "coincident", "no-load")


def _sample(rng: np.random.Generator, kind: str = "plain") -> Sample:
    """A random mechanism whose joints stick, have lost stiffness or are missing."""
    sample = random_sample(rng, kind)
    return replace(sample, clearances={name: _worn(rng, c) for name, c in sample.clearances.items()})


def _worn(rng: np.random.Generator, clearance: Clearance) -> Clearance:
    seat = float(10.0 ** rng.uniform(0.0, 3.5)) if rng.random() < 0.6 else 0.0
    radial, axial = (float(rng.choice([1.0, 1.0, 0.0, rng.uniform(0.02, 0.98)])) for _ in range(2))
    return replace(
        clearance,
        seat=seat,
        radial_stiffness_left=radial,
        axial_stiffness_left=axial,
        missing=bool(rng.random() < 0.15),
    )


def _sizes(sample: Sample, arrays: ClearanceArrays) -> Array:
    """What turns a seat into a cost, written out block by block: the largest finite semi-axis, else 1."""
    sizes = []
    for block in sample.stroke.reduced.blocks:
        finite = [s for s in arrays.semi[block.start : block.stop] if 0.0 < s < np.inf]
        sizes.append(max(finite, default=1.0))
    return np.array(sizes)


def _value(sample: Sample, arrays: ClearanceArrays, u: Array, g: Array) -> float:
    """The whole energy, with what softness stores and what the seats cost."""
    unit = np.where((arrays.semi > 0.0) & np.isfinite(arrays.semi), arrays.semi, 1.0)
    cost = 0.0
    for block, seat, size in zip(sample.stroke.reduced.blocks, arrays.seats, _sizes(sample, arrays), strict=True):
        part = slice(block.start, block.stop)
        cost += float(seat * size * np.linalg.norm(g[part] / unit[part]))
    return energy(sample.stroke.system, sample.stroke.F_hand, u, g) + 0.5 * float(arrays.softness @ g**2) + cost


def _ours(sample: Sample, arrays: ClearanceArrays) -> tuple[LashSolution, float]:
    reduced = sample.stroke.reduced
    S, f0 = reduced.S + np.diag(arrays.softness), reduced.f_base + reduced.f_hand
    solution = solve_lash(S, f0, reduced.blocks, arrays.semi, seats=arrays.seats)
    u = displacement(sample.stroke.factors, sample.stroke.system.F + sample.stroke.F_hand, solution.g)
    return solution, _value(sample, arrays, u, solution.g)


def _cone_program(sample: Sample, arrays: ClearanceArrays) -> tuple[float, Array]:
    """Least energy, and what the slopes on g are there: E r - D g (p,) [N]."""
    system, semi = sample.stroke.system, arrays.semi
    m, n, p, b = *system.J.shape, len(system.root), len(system.blocks)
    E = np.zeros((m, p))
    E[system.unknown_rows, np.arange(p)] = system.root
    P = np.diag(np.concatenate([np.ones(m), np.zeros(n), arrays.softness, np.zeros(b)]))
    q = np.concatenate([np.zeros(m), -(sample.stroke.F_hand + system.F), np.zeros(p), np.ones(b)])
    size = len(q)
    A, right, cones = [np.hstack([np.eye(m), -system.J, E, np.zeros((m, b))])], [system.e0], [clarabel.ZeroConeT(m)]

    def hold(rows: Array, value: Array, cone: object) -> None:
        A.append(-rows)
        right.append(value)
        cones.append(cone)

    for number, (block, scale) in enumerate(zip(system.blocks, _sizes(sample, arrays), strict=True)):
        part = semi[block.start : block.stop]
        pick = np.zeros((len(part), size))
        pick[:, m + n + block.start : m + n + block.stop] = np.eye(len(part))
        cost = np.zeros((1, size))
        cost[0, m + n + p + number] = 1.0
        if block.kind == "half-line":
            hold(pick, np.zeros(1), clarabel.NonnegativeConeT(1))
            hold(cost, np.zeros(1), clarabel.NonnegativeConeT(1))
            continue
        locked, walled = part == 0.0, (part > 0.0) & np.isfinite(part)
        if np.any(locked):
            hold(pick[locked], np.zeros(int(np.sum(locked))), clarabel.ZeroConeT(int(np.sum(locked))))
        if np.any(walled):
            rows = np.vstack([np.zeros((1, size)), pick[walled] / part[walled][:, None]])
            hold(rows, np.eye(len(rows))[0], clarabel.SecondOrderConeT(len(rows)))
        unit = np.where((part > 0.0) & np.isfinite(part), part, 1.0)
        rows = np.vstack([cost, float(arrays.seats[number] * scale) * pick / unit[:, None]])
        hold(rows, np.zeros(len(rows)), clarabel.SecondOrderConeT(len(rows)))
    options = clarabel.DefaultSettings()
    options.verbose = False
    options.max_threads = 1
    options.max_step_fraction = 0.95
    options.tol_gap_abs = options.tol_gap_rel = options.tol_feas = 1e-10
    solver = clarabel.DefaultSolver(
        sparse.csc_matrix(P), q, sparse.csc_matrix(np.vstack(A)), np.concatenate(right), cones, options
    )
    found = solver.solve()
    assert "Solved" in str(found.status)
    x = np.array(found.x)
    r, u, g = x[:m], x[m : m + n], x[m + n : m + n + p]
    return _value(sample, arrays, u, g), system.root * r[system.unknown_rows] - arrays.softness * g


def _agrees(sample: Sample) -> None:
    arrays = sample.stroke.arrays(sample.clearances)
    solution, ours = _ours(sample, arrays)
    theirs, forces = _cone_program(sample, arrays)
    assert ours == pytest.approx(theirs, abs=1e-6 * max(1.0, abs(ours)))
    assert solution.f == pytest.approx(forces, abs=3e-3 * max(1.0, float(np.max(np.abs(forces)))))


def _slsqp(sample: Sample, arrays: ClearanceArrays) -> tuple[float, float]:
    """Energy in (u, h) with g = semi-axis × h and every seat's corner rounded off, and what that may add to it."""
    system, semi = sample.stroke.system, arrays.semi
    n = system.J.shape[1]
    scale = np.where(np.isinf(semi), 1.0, semi)
    F = sample.stroke.F_hand + system.F
    costs = arrays.seats * _sizes(sample, arrays)
    parts = [slice(block.start, block.stop) for block in system.blocks]

    def lengths(h: Array) -> Array:
        return np.array([np.sqrt(float(h[part] @ h[part]) + 1e-10) for part in parts])

    def value(x: Array) -> float:
        g = scale * x[n:]
        stored = 0.5 * float(arrays.softness @ g**2)
        return energy(system, sample.stroke.F_hand, x[:n], g) + stored + float(costs @ lengths(x[n:]))

    def slope(x: Array) -> Array:
        g = scale * x[n:]
        residual = system.J @ x[:n] + system.e0
        residual[system.unknown_rows] -= system.root * g
        on_h = scale * (arrays.softness * g - system.root * residual[system.unknown_rows])
        for part, cost, length in zip(parts, costs, lengths(x[n:]), strict=True):
            on_h[part] += cost * x[n:][part] / length
        return np.concatenate([system.J.T @ residual - F, on_h])

    def inside(x: Array) -> Array:
        h, found = x[n:], []
        for block, part in zip(system.blocks, parts, strict=True):
            if block.kind == "half-line":
                found.append(h[block.start])
            elif np.all(np.isfinite(semi[part])):
                found.append(1.0 - h[part] @ h[part])
        return np.array(found)

    options = {"maxiter": 3000, "ftol": 1e-13}
    constraints = [{"type": "ineq", "fun": inside}]
    start = np.zeros(n + len(semi))
    found = minimize(value, start, jac=slope, constraints=constraints, method="SLSQP", options=options)
    return float(found.fun), 1e-5 * float(np.sum(costs))


@pytest.mark.parametrize("seed", range(6))
def test_random_worn_mechanisms_against_the_full_cone_program(seed: int) -> None:
    rng = np.random.default_rng(300 + seed)
    for _ in range(20):
        _agrees(_sample(rng))


@pytest.mark.parametrize("seed", range(10))
def test_random_worn_mechanisms_against_slsqp(seed: int) -> None:
    sample = _sample(np.random.default_rng(2000 + seed))
    arrays = sample.stroke.arrays(sample.clearances)
    _, ours = _ours(sample, arrays)
    theirs, rounded_off = _slsqp(sample, arrays)
    assert ours <= theirs + 1e-8 * max(1.0, abs(ours))
    assert ours == pytest.approx(theirs, abs=rounded_off + 1e-4 * max(1.0, abs(ours)))


@settings(max_examples=80)
@given(seed=st.integers(0, 2**32 - 1), kind=st.sampled_from(KINDS))
def test_degenerate_worn_mechanisms_against_the_full_cone_program(seed: int, kind: str) -> None:
    _agrees(_sample(np.random.default_rng(seed), kind))


def test_the_draws_have_every_kind_of_block() -> None:
    """Stuck, sliding, at the wall, and softened or missing without a wall: all of them are among what is compared."""
    rng = np.random.default_rng(300)
    seen: set[str] = set()
    for _ in range(40):
        sample = _sample(rng)
        arrays = sample.stroke.arrays(sample.clearances)
        solution, _ = _ours(sample, arrays)
        for number, block in enumerate(sample.stroke.reduced.blocks):
            part = slice(block.start, block.stop)
            moved, endless = bool(np.any(solution.g[part])), bool(np.any(np.isinf(arrays.semi[part])))
            seat = arrays.seats[number] > 0.0 and np.any(arrays.semi[part])
            seen.add(
                f"{'seat' if seat else 'bare'} {'endless' if endless else 'walled'} {'moved' if moved else 'still'}"
            )
    assert seen >= {"seat endless moved", "seat endless still", "seat walled moved", "seat walled still"}
    assert "bare endless moved" in seen
