"""A few problems by the general solver give what the compiled kernel gives: the same energy, forces and slopes."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.answers import solve_few
from looseends.mechanics.constants import GAP_TOLERANCE
from tests.mechanics.lash_problems import REAL, draw


@pytest.mark.parametrize("family", REAL)
@pytest.mark.parametrize("started", [False, True], ids=["cold", "from a like answer"])
def test_independent_the_few_as_the_many(family: str, started: bool) -> None:
    for seed in (900, 901):
        problems = draw(family, seed)
        many = problems.solved()
        start = (np.roll(many.g, 1, axis=0), np.roll(many.f, 1, axis=0)) if started else None
        few = solve_few(
            problems.S,
            problems.loads,
            problems.blocks,
            problems.semi,
            seats=problems.seats,
            softness=problems.softness,
            df=problems.df,
            start=start,
        )
        assert np.all(few.scaled_gap <= GAP_TOLERANCE) and np.all(few.fallback)
        np.testing.assert_allclose(few.f, many.f, atol=1e-3 * np.abs(many.f).max())
