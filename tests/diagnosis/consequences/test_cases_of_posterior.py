"""The ways in which a posterior thinks parts worn, against sums written by hand and against the judgement."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.diagnosis.consequences.wear import Case, PartWear, cases_of, clearances, known, part_wears
from looseends.diagnosis.inference.counted import Counted
from looseends.diagnosis.inference.diagnose import diagnose
from looseends.diagnosis.inference.explanation import Explanation, Posterior, normalized
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.judge import judge_visit
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    ON_ARM,
    TREAD,
    check_done,
    gauge,
    states_of,
    visit,
    yard_pickup,
)

STATES = {states.part.id: states for states in states_of(CARRIER, FOLLOWER, BEARING)}


def at(part: str, *states: int) -> np.ndarray:
    """Even weight on some states of a part."""
    weights = np.zeros(len(STATES[part].weight))
    weights[list(states)] = 1.0 / len(states)
    return weights


def made(*explanations: tuple[tuple[str, ...], float, np.ndarray]) -> Posterior:
    """A posterior from sets, probabilities and state weights."""
    found = []
    for parts, p, grid in explanations:
        kept = np.argwhere(grid > 0.0) if parts else np.zeros((1, 0), dtype=np.intp)
        weights = grid[tuple(kept.T)] if parts else np.ones(1)
        found.append(Explanation(parts, float(np.log(p)), Counted(kept, weights)))
    return normalized(found, STATES, {}, Prior({}))


def test_exact_every_set_comes_in_its_states() -> None:
    pair = np.multiply.outer(at(CARRIER, 3), at(FOLLOWER, 1, 2))
    found = cases_of(made(((), 0.1, np.ones(1)), ((CARRIER,), 0.3, at(CARRIER, 5)), ((CARRIER, FOLLOWER), 0.6, pair)))
    weights = sorted(case.weight for case in found.cases)
    assert weights == pytest.approx([0.1, 0.3, 0.3, 0.3])
    assert (found.covered, found.none) == (pytest.approx(1.0), pytest.approx(0.1))
    assert found.parts == (CARRIER, FOLLOWER)
    assert dict(found.marginals) == pytest.approx({CARRIER: 0.9, FOLLOWER: 0.6})
    assert found.leading_set == {CARRIER, FOLLOWER}
    worn = STATES[CARRIER].worn(5)
    assert Case(part_wears(worn), pytest.approx(0.3)) in found.cases


def test_exact_a_part_that_nobody_suspects_is_taken_as_sound_and_its_set_counts_for_the_rest() -> None:
    pair = np.multiply.outer(at(CARRIER, 5), at(FOLLOWER, 1, 2))
    found = cases_of(made(((CARRIER,), 0.96, at(CARRIER, 5)), ((CARRIER, FOLLOWER), 0.04, pair)))
    assert found.parts == (CARRIER,)
    assert [case.weight for case in found.cases] == pytest.approx([1.0])
    assert found.covered == pytest.approx(1.0)
    assert dict(found.sets) == {frozenset([CARRIER]): pytest.approx(1.0)}


def test_exact_states_that_are_left_out_are_not_covered() -> None:
    """Of 63 even states 24 are taken."""
    even = np.full(len(STATES[CARRIER].weight), 1.0 / len(STATES[CARRIER].weight))
    found = cases_of(made(((CARRIER,), 1.0, even)))
    assert len(even) == 63 and len(found.cases) == 24
    assert found.covered == pytest.approx(24.0 / 63.0)
    assert sum(case.weight for case in found.cases) == pytest.approx(1.0)


def test_exact_one_set_taken_as_known_has_all_the_weight() -> None:
    found = cases_of(made(((), 0.4, np.ones(1)), ((CARRIER,), 0.6, at(CARRIER, 2, 5))))
    alone = found.of_set(frozenset([CARRIER]))
    assert [case.weight for case in alone.cases] == pytest.approx([0.5, 0.5])
    assert [case.worn for case in found.of_set(frozenset()).cases] == [{}]


def test_exact_cases_that_become_alike_are_one() -> None:
    one, two = PartWear(radial_mm=1.0), PartWear(axial_mm=2.0)
    pair = np.multiply.outer(at(CARRIER, 3), at(FOLLOWER, 1, 2))
    found = cases_of(made(((CARRIER, FOLLOWER), 1.0, pair))).only(frozenset([CARRIER]))
    assert [case.weight for case in found.cases] == pytest.approx([1.0])
    assert known({CARRIER: one, FOLLOWER: two}).only(frozenset()).cases == (Case({}, 1.0),)
    assert clearances({CARRIER: one, FOLLOWER: two}, frozenset([FOLLOWER])) == {(FOLLOWER, "axial"): 2.0}


@pytest.mark.slow
def test_invariant_the_posterior_is_the_one_that_the_judgement_has(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("looseends.diagnosis.inference.in_common.usual_setups", lambda vehicle: (ON_ARM,))
    recorded = visit(check_done(gauge(CARRIER, 2.4), gauge(TREAD, 3.0), setup=ON_ARM))
    judged = judge_visit(recorded, yard_pickup(), store=preparation.store)
    found = diagnose(recorded, yard_pickup(), store=preparation.store, usual=False).posterior
    for suspect in judged.suspects:
        assert found.marginal(suspect.part) == pytest.approx(suspect.probability, abs=1e-12)
    assert found.marginal(CARRIER) > 0.5
