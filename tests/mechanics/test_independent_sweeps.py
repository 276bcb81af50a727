"""Independent: the block descent against a general solver, and that it never goes up."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from looseends.mechanics.clearance import Block
from looseends.mechanics.sweeps import least_in_ball, swept


def energy(P: np.ndarray, q: np.ndarray, h: np.ndarray) -> float:
    return float(0.5 * h @ P @ h + q @ h)


@pytest.mark.parametrize("seed", range(12))
def test_one_ball_agrees_with_a_general_solver(seed: int) -> None:
    """scipy's SLSQP, a general nonlinear solver, on one ellipsoid; every third matrix is singular."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(3 if seed % 3 else 2, 3))
    P, q = root.T @ root, 3.0 * rng.normal(size=3)
    ours = least_in_ball(P, q)
    inside = {"type": "ineq", "fun": lambda h: 1.0 - h @ h}
    other = minimize(lambda h: energy(P, q, h), np.zeros(3), constraints=[inside], method="SLSQP", tol=1e-12)
    assert float(ours @ ours) <= 1.0 + 1e-12
    assert energy(P, q, ours) <= other.fun + 1e-6


@pytest.mark.parametrize("seed", range(5))
def test_sweeps_never_raise_the_energy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(9, 10))
    P, q = root.T @ root, 5.0 * rng.normal(size=10)
    balls = (Block("ball", 0, 3), Block("ball", 3, 5), Block("ball", 6, 9), Block("ball", 9, 10))
    blocks = (*balls[:2], Block("half-line", 5, 6), *balls[2:])
    h = np.zeros(10)
    before = energy(P, q, h)
    for _ in range(10):
        h = swept(P, q, blocks, h, 1)
        assert energy(P, q, h) <= before + 1e-12
        before = energy(P, q, h)
    assert h[5] >= 0.0
    assert all(np.linalg.norm(h[b.start : b.stop]) <= 1.0 + 1e-12 for b in blocks if b.kind == "ball")
