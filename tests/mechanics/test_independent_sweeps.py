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


@pytest.mark.parametrize("seed", range(24))
@pytest.mark.parametrize("radius", [1.0, np.inf])
def test_one_seated_ball_agrees_with_a_general_solver(seed: int, radius: float) -> None:
    """SLSQP on the same block with the seat's corner rounded off; some seats hold, some slide, some touch."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(4, 3))
    P, q = root.T @ root, 3.0 * rng.normal(size=3)
    seat = float(np.linalg.norm(q)) * float(rng.uniform(0.0, 1.3))
    ours = least_in_ball(P, q, seat, radius)
    if seat >= float(np.linalg.norm(q)):
        assert np.all(ours == 0.0)
        return
    walls = [{"type": "ineq", "fun": lambda h: 1.0 - h @ h}] if radius == 1.0 else []

    def rounded(h: np.ndarray) -> float:
        return energy(P, q, h) + seat * float(np.sqrt(h @ h + 1e-12))

    other = minimize(rounded, -0.1 * q, constraints=walls, method="SLSQP", tol=1e-13)
    assert float(np.linalg.norm(ours)) <= radius + 1e-12
    here = energy(P, q, ours) + seat * float(np.linalg.norm(ours))
    assert here == pytest.approx(other.fun, abs=1e-6 * (1.0 + seat))
    assert here <= other.fun + 1e-7


def test_a_seated_ball_without_a_wall_slides_by_what_exceeds_the_seat() -> None:
    # P = 30: |h| = (|q| - seat)/30 against q.
    q = np.array([-60.0, 80.0])
    assert least_in_ball(30.0 * np.eye(2), q, 40.0, np.inf) == pytest.approx(-(60.0 / 30.0) * q / 100.0, rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_sweeps_with_seats_never_raise_the_energy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(9, 9))
    P, q = root.T @ root, 5.0 * rng.normal(size=9)
    blocks = (Block("ball", 0, 3), Block("half-line", 3, 4), Block("ball", 4, 6), Block("ball", 6, 9))
    seats, radii = np.array([3.0, 0.0, 0.0, 1.0]), np.array([1.0, 1.0, np.inf, np.inf])

    def whole(h: np.ndarray) -> float:
        return energy(P, q, h) + 3.0 * float(np.linalg.norm(h[:3])) + float(np.linalg.norm(h[6:]))

    h = np.zeros(9)
    before = whole(h)
    for _ in range(10):
        h = swept(P, q, blocks, h, 1, seats, radii)
        assert whole(h) <= before + 1e-12
        before = whole(h)
