"""What sums of single parts' answers lack, against answers that are solved with both parts worn."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import vehicle_states
from looseends.diagnosis.tables.superposed import Superposed
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.specimen import nominal_specimen
from tests.diagnosis.made_tables import CARRIER, FOLLOWER, ON_ARM, beliefs, states_of, yard_pickup

ANSWERED_MM = 1e-3
"""What a solved answer may lack: the load is raised by a little and not by nothing, and walls are round."""


@pytest.fixture(scope="module")
def sums() -> Superposed:
    """The stroke of the check on the arm stand."""
    vehicle = yard_pickup()
    specimen = nominal_specimen(vehicle)
    prepared = prepare_check(vehicle, specimen, ON_ARM, nominal_preload(vehicle.id))
    return Superposed(Solver(vehicle, specimen, prepared), 0)


def test_independent_solved_answers_lack_nothing_and_the_sum_of_both_ball_joints_does(sums: Superposed) -> None:
    a, b = states_of(CARRIER, FOLLOWER)
    i, j = len(a.weight) - 1, len(b.weight) - 1
    (of_a, wider_a), (of_b, wider_b) = sums.alone(a, [i]), sums.alone(b, [j])
    both, _ = sums.solved([{**a.worn(i), **b.worn(j)}], of_a + of_b)
    assert np.max(sums.lack(of_a, wider_a)) < ANSWERED_MM
    assert np.max(sums.lack(both, wider_a + wider_b)) < ANSWERED_MM
    assert np.max(sums.lack(of_a + of_b, wider_a + wider_b)) > 20.0 * ANSWERED_MM
    # An answer for smaller clearances is none for larger ones, nor the other way round.
    assert np.max(sums.lack(of_a, wider_a + wider_b)) > 20.0 * ANSWERED_MM
    assert np.max(sums.lack(both, wider_a)) > 20.0 * ANSWERED_MM


def test_independent_sums_that_lack_next_to_nothing_are_answers(sums: Superposed) -> None:
    """Every pair of a side's parts at their largest: the movements are those of the sums as far as the lack says."""
    states = [s for s in vehicle_states(yard_pickup(), beliefs()) if s.part.id.endswith("left")]
    largest = [(s, len(s.weight) - 1) for s in states]
    pairs = list(combinations(range(len(states)), 2))
    alone = [sums.alone(s, [i]) for s, i in largest]
    shown = [sums.solver.changes([s.worn(i)])[0] for s, i in largest]
    change = np.concatenate([alone[a][0] + alone[b][0] for a, b in pairs])
    wider = np.concatenate([alone[a][1] + alone[b][1] for a, b in pairs])
    worn = [{**states[a].worn(largest[a][1]), **states[b].worn(largest[b][1])} for a, b in pairs]
    _, moved = sums.solved(worn, change)
    beyond = np.abs(moved - np.array([shown[a] + shown[b] for a, b in pairs])).max(axis=(1, 2))
    lack = sums.lack(change, wider).max(axis=(1, 2))
    silent = lack < 5e-4
    assert np.sum(silent) > len(pairs) / 3
    assert np.max(beyond[silent]) < 0.05
    assert np.max(beyond) > 0.2
