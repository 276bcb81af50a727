"""Tables that add single parts and correct pairs, against the mechanics solved anew for all worn parts at once."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.diagnosis.tables.pairs import tabulate_pairs
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import vehicle_states
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import nominal_specimen
from studies.table_accuracy import compared, share_good
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import CARRIER, FOLLOWER, ON_ARM, ON_FRAME, beliefs, states_of, yard_pickup

SETS = 300
GOOD_SHARE, WORST_MM = 0.93, 0.3
"""Seen over about a hundred readings that move: 98 % on the arm stand and 94 % on the frame within 0.02 mm or 2 %; the
others are sets of three worn parts at the sway bar, the worst off by 0.23 mm. More setups: studies/table_accuracy.py.
"""
GOOD_FREE_SHARE = 0.9
"""The dead zone hangs on which joints touch at the ends, so it adds less well: seen 0.92 to 0.998."""


@pytest.mark.parametrize("setup", [ON_ARM, ON_FRAME], ids=["arm", "frame"])
def test_independent_sets_of_up_to_four_worn_parts_as_the_mechanics_solves_them(
    preparation: Preparation, setup: Setup
) -> None:
    told, exact = compared(yard_pickup(), preparation.table(setup), beliefs(), SETS, np.random.default_rng(11))
    total, free = (share_good(told[..., q], exact[..., q]) for q in (0, 1))
    assert np.max(np.abs(exact)) > 0.4
    assert total >= GOOD_SHARE
    assert free >= GOOD_FREE_SHARE
    assert np.max(np.abs(told[..., 0] - exact[..., 0])) < WORST_MM


def test_independent_both_ball_joints_of_a_side_as_they_are_solved_together(preparation: Preparation) -> None:
    """The pair that interacts most on the arm stand, in the states that the grid is solved in, and both ways round."""
    table, vehicle = preparation.table(ON_ARM), yard_pickup()
    a, b = states_of(CARRIER, FOLLOWER)
    correction = table.correction(CARRIER, FOLLOWER)
    assert correction is not None
    solver = Solver(vehicle, nominal_specimen(vehicle), table.prepared)
    for knots in ((0, 0), (3, 3), (6, 1)):
        i = int(np.flatnonzero((a.index[:, 0] == knots[0]) & (a.index[:, 1] < 0))[0])
        j = int(np.flatnonzero((b.index[:, 0] == knots[1]) & (b.index[:, 1] < 0))[0])
        plain = table.singles[CARRIER][i] + table.singles[FOLLOWER][j]
        beyond: Array = solver.changes([{**a.worn(i), **b.worn(j)}])[0] - plain
        kept = np.abs(correction.of_states(i, j)).max(axis=1) > 0.0
        np.testing.assert_allclose(correction.of_states(i, j)[kept], beyond[kept], atol=1e-5)
        assert np.max(np.abs(beyond[~kept]), initial=0.0) < 0.1
        other = table.correction(FOLLOWER, CARRIER)
        assert other is not None
        np.testing.assert_array_equal(other.of_states(j, i), correction.of_states(i, j))
        watch = int(np.argmax(np.abs(correction.of_states(i, j)).max(axis=1)))
        np.testing.assert_array_equal(correction.of_watch(watch)[i, j], correction.of_states(i, j)[watch])


def test_independent_no_pair_that_interacts_is_passed_over(preparation: Preparation) -> None:
    """Solved without the forces' word on who may interact: what is left out is below what counts, for drawn pairs."""
    table, vehicle = preparation.table(ON_ARM), yard_pickup()
    states = vehicle_states(vehicle, beliefs())
    solver, rng = Solver(vehicle, nominal_specimen(vehicle), table.prepared), np.random.default_rng(3)
    none = np.zeros((len(table.watches), 2))
    worst = 0.0
    for _ in range(150):
        a, b = (states[i] for i in rng.choice(len(states), 2, replace=False))
        if table.correction(a.part.id, b.part.id) is not None:
            continue
        i, j = a.middle, b.middle
        alone = [table.singles[s.part.id][at] if s.part.id in table.singles else none for s, at in ((a, i), (b, j))]
        beyond = solver.changes([{**a.worn(i), **b.worn(j)}])[0] - sum(alone)
        worst = max(worst, float(np.max(np.abs(beyond))))
    assert worst < 0.06


def test_exact_parts_that_do_not_touch_each_other_have_no_correction(preparation: Preparation) -> None:
    table, vehicle = preparation.table(ON_ARM), yard_pickup()
    states = [s for s in vehicle_states(vehicle, beliefs()) if s.part.id in (CARRIER, "rear-wheel-bearing-left")]
    assert len(states) == 2
    solver = Solver(vehicle, nominal_specimen(vehicle), table.prepared)
    assert tabulate_pairs(solver, states, table.singles) == {}
