"""Vehicles of the same kind whose joint centers lie elsewhere: alike on both sides but for each side's own part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.mechanics.bodies import Array
from looseends.vehicle.scatter import scattered
from tests.vehicle.front_end import yard_pickup

MIRROR = np.array([1.0, -1.0, 1.0])
LEFT = sorted(name for name in yard_pickup().points if name.endswith("-left"))
DRAWS = 60


def moves(seed: int, common_mm: float, own_mm: float) -> tuple[Array, Array]:
    """How far (points, 3) [mm] each left point moved, and its right counterpart seen in the mirror."""
    plain, drawn = yard_pickup(), scattered(yard_pickup(), np.random.default_rng(seed), common_mm, own_mm)
    left = np.array([drawn.point(name) - plain.point(name) for name in LEFT])
    rights = [name.removesuffix("-left") + "-right" for name in LEFT]
    return left, np.array([MIRROR * (drawn.point(name) - plain.point(name)) for name in rights])


def test_exact_without_scatter_of_a_side_for_itself_both_sides_stay_mirror_images() -> None:
    left, right = moves(1, 2.0, 0.0)
    np.testing.assert_allclose(left, right, atol=1e-9)
    assert np.abs(left).max() > 1.0


def test_independent_sides_differ_by_their_own_scatter_and_move_alike_for_the_rest() -> None:
    """Standard deviations of independent draws add in squares: each side 2² + 1², their difference 1² + 1²."""
    drawn = [moves(seed, 2.0, 1.0) for seed in range(DRAWS)]
    left, right = (np.array([pair[side] for pair in drawn]) for side in (0, 1))
    for side in (left, right):
        assert side.std() == pytest.approx(np.sqrt(5.0), rel=0.05)
        assert abs(side.mean()) < 0.1
    assert (left - right).std() == pytest.approx(np.sqrt(2.0), rel=0.05)
    np.testing.assert_allclose(np.corrcoef(left.ravel(), right.ravel())[0, 1], 4.0 / 5.0, atol=0.03)


def test_exact_no_scatter_gives_the_vehicle_back_and_scatter_moves_nothing_but_points() -> None:
    plain = yard_pickup()
    assert scattered(plain, np.random.default_rng(3), 0.0, 0.0) == plain
    drawn = scattered(plain, np.random.default_rng(3), 2.0, 1.0)
    assert all(drawn.points[name] != point for name, point in plain.points.items())
    assert replace(drawn, points=plain.points) == plain
