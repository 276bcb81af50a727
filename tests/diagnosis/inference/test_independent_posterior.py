"""The posterior against plain enumeration (independent), and what must hold of any posterior (invariant)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.tables.states import log_odds
from looseends.diagnosis.tables.table import PairCorrection, ResponseTable
from looseends.inspection.types import Reading
from looseends.mechanics.bodies import Array
from tests.diagnosis.enumeration import Case, Worn
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    TREAD,
    WATCHES,
    beliefs,
    by_hand,
    gauge,
    growing,
    made_clues,
    made_table,
    states_of,
)

PARTS = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
RESOLUTIONS = {CARRIER: 0.02, FOLLOWER: 0.02, BEARING: 0.02, TREAD: 0.1}
VISITS = {
    "gauges": (gauge(CARRIER, 1.6), gauge(TREAD, 0.9), gauge(BEARING, 0.3)),
    "hand and eye": (by_hand(CARRIER, "clear"), Reading(TREAD, "eye", None, "slight", ""), by_hand(FOLLOWER, "none")),
    "both, one far off": (gauge(CARRIER, 0.1), gauge(CARRIER, 7.5), by_hand(TREAD, "gross"), gauge(TREAD, 0.4)),
    "dead zones": (gauge(CARRIER, 2.4, 1.1), gauge(TREAD, 1.5, 0.6), gauge(BEARING, 0.5), gauge(FOLLOWER, 0.3, 0.1)),
    "dead zone and hand": (gauge(CARRIER, 2.0, 0.3), by_hand(CARRIER, "slight"), gauge(TREAD, 6.0, 4.0)),
    "nothing": (),
}


def drawn_shares(seed: int) -> dict[str, Array]:
    """Shares that three vehicles show: wide apart but at the tread for the first part, none known for the third."""
    rng = np.random.default_rng(seed)
    shares = {part: rng.uniform(0.0, 1.6, (3, len(WATCHES), 2)) for part in PARTS[:2]}
    shares[PARTS[0]][:, 3] = np.linspace(0.55, 0.65, 3)[:, None]
    return shares


def case_table(seed: int, *, shared: bool = False, beside: bool = False) -> ResponseTable:
    """A table in which the first two parts interact and no part by itself moves the follower's watch.

    `beside`: together they do, and at the tread the second shows only beside the first.
    """
    rng = np.random.default_rng(seed)
    singles = {}
    for states in states_of(*PARTS):
        change = growing(states, {watch: float(rng.uniform(0.1, 1.0)) for watch in (0, 2, 3)})
        change[..., 1] *= rng.uniform(0.3, 1.0)
        singles[states.part.id] = change + rng.normal(0.0, 0.02, change.shape) * (change != 0.0)
    shares = drawn_shares(seed) if shared else {}
    pair = drawn_correction(rng)
    if beside:
        singles[PARTS[1]][:, 3] = 0.0
        for grid in pair.grids.values():
            grid[:, :, 1] = 3.0 * np.abs(grid[:, :, 0])
    return made_table(singles, pairs={(PARTS[1], PARTS[0]): pair}, shares=shares)


def drawn_correction(rng: np.random.Generator) -> PairCorrection:
    """What the second and the first part show beyond the sum: growing with both, at the first and the last watch."""
    first, second = states_of(*PARTS[:2])
    grids = {}
    for a in range(len(second.axes)):
        grow = np.multiply.outer(np.arange(len(second.knots[a]) + 1.0), np.arange(len(first.knots[0]) + 1.0))
        grid = np.zeros((*grow.shape, len(WATCHES), 2))
        grid[:, :, [0, 3]] = (grow / grow.max())[:, :, None, None] * rng.uniform(-0.5, 0.3, (2, 2))
        grids[a, 0] = grid
    return PairCorrection(grids, second.index, first.index)


def judged(table: ResponseTable, readings: tuple[Reading, ...], more_often: float = 2.0) -> tuple[Posterior, Case]:
    """The posterior, and the case for plain enumeration."""
    states = states_of(*PARTS)
    # More often worn than the beliefs say, so that pairs carry weight too.
    odds = {s.part.id: more_often + log_odds(s.part, beliefs()) for s in states}
    found = posterior(states, odds, made_clues(table, states, *readings), beliefs())
    return found, Case({s.part.id: s for s in states}, odds, table, readings, RESOLUTIONS, beliefs())


@pytest.mark.parametrize("shared", [False, True], ids=["as the nominal vehicle", "in shares"])
@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("readings", VISITS.values(), ids=VISITS)
def test_independent_sets_and_states_as_by_plain_enumeration(
    readings: tuple[Reading, ...], seed: int, shared: bool
) -> None:
    compared(case_table(seed, shared=shared), readings)


@pytest.mark.parametrize("readings", [VISITS["gauges"], VISITS["dead zones"]], ids=["gauges", "dead zones"])
def test_independent_parts_that_show_together_only_as_by_plain_enumeration(readings: tuple[Reading, ...]) -> None:
    compared(case_table(1, beside=True), readings)


def compared(table: ResponseTable, readings: tuple[Reading, ...]) -> None:
    """Hold all sets of up to two parts and their joint states against plain enumeration."""
    found, case = judged(table, readings)
    expected = case.probabilities()
    got = {worn: p for worn, p in of_joint_states(found).items() if len(worn) <= 2}
    total = sum(got.values())
    # Readings of one watch are put together by a fine sum over their common error there, by quadrature here; joint
    # states below a millionth of the leading one are not kept.
    repeated = len({reading.watch for reading in readings}) < len(readings)
    within = 3e-4 if repeated else 3e-6
    assert got.keys() <= expected.keys()
    sets = {frozenset(e.parts): p / total for e, p in zip(found.explanations, found.probabilities, strict=True)}
    for parts in {frozenset(dict(worn)) for worn in expected}:
        in_all = sum(p for worn, p in expected.items() if frozenset(dict(worn)) == parts)
        assert sets[parts] == pytest.approx(in_all, abs=within)
    if not readings:  # of joint states that nothing tells apart only the leading ones are kept
        return
    assert max(abs(got.get(worn, 0.0) / total - expected[worn]) for worn in expected) < within


def of_joint_states(found: Posterior) -> dict[Worn, float]:
    """Probability of every joint state that the posterior keeps."""
    return {
        tuple(zip(explanation.parts, numbers, strict=True)): float(p * weight)
        for explanation, p in zip(found.explanations, found.probabilities, strict=True)
        for numbers, weight in zip(explanation.places.tolist(), explanation.weights, strict=True)
    }


THREE_WORN = {
    "gauges": (VISITS["gauges"], 1, False),
    "gauges, others": (VISITS["gauges"], 2, False),
    "hand and eye": (VISITS["hand and eye"], 1, False),
    "hand and eye, others": (VISITS["hand and eye"], 2, False),
    "gauges, together only": (VISITS["gauges"], 2, True),
}


@pytest.mark.parametrize(("readings", "seed", "beside"), THREE_WORN.values(), ids=THREE_WORN)
def test_independent_three_worn_parts_as_by_plain_enumeration(
    readings: tuple[Reading, ...], seed: int, beside: bool
) -> None:
    """Larger sets grow from a few joint states of smaller ones, so they are right within a hundredth, not exact."""
    found, case = judged(case_table(seed, beside=beside), readings, more_often=4.0)
    expected = case.probabilities(most=3)
    for part in PARTS:
        marginal = sum(p for worn, p in expected.items() if part in dict(worn))
        assert found.marginal(part) == pytest.approx(marginal, abs=0.01)
    all_three = sum(p for worn, p in expected.items() if len(worn) == 3)
    got = sum(p for e, p in zip(found.explanations, found.probabilities, strict=True) if len(e.parts) == 3)
    assert all_three > 0.01
    assert got == pytest.approx(all_three, abs=0.01)


def test_independent_pair_corrections_matter_in_that_enumeration() -> None:
    table = case_table(1)
    with_pairs, _ = judged(table, VISITS["gauges"])
    without = made_table(table.singles)
    assert np.max(np.abs(with_pairs.probabilities - judged(without, VISITS["gauges"])[0].probabilities)) > 1e-4


def test_invariant_a_part_that_some_vehicles_hide_is_not_cleared_by_one_that_reads_sound() -> None:
    """Where three vehicles in four keep the worn joint shut, a sound reading leaves about that much of its odds."""
    (states,) = states_of(JAM_NUT)
    singles = {JAM_NUT: growing(states, {0: 5.0})}

    def marginal(shares: dict[str, Array]) -> float:
        clues = made_clues(made_table(singles, shares=shares), [states], gauge(CARRIER, 0.2))
        return posterior([states], {JAM_NUT: 0.0}, clues, beliefs()).marginal(JAM_NUT)

    hidden = np.ones((4, len(WATCHES)))
    hidden[:3, 0] = 0.0
    assert marginal({}) < 0.05
    assert marginal({JAM_NUT: hidden}) == pytest.approx(0.75 / 1.75, abs=0.02)


def test_independent_what_springs_beyond_a_dead_zone_says_whether_the_reading_is_right_and_little_of_play() -> None:
    """A little softer says little; far more than anything springs there, and the reading is no longer trusted."""
    taken = beliefs().springy_taken
    usual, softer, absurd = (
        judged(case_table(1), (gauge(CARRIER, 1.1 + more, 1.1 + taken * more),))[0] for more in (0.1, 0.25, 7.9)
    )
    np.testing.assert_allclose(usual.probabilities, softer.probabilities, atol=0.2)
    before, _ = judged(case_table(1), ())
    off = [float(np.abs(found.probabilities - before.probabilities).max()) for found in (usual, absurd)]
    assert off[1] < 0.85 * off[0]
    in_all, _ = judged(case_table(1), (gauge(CARRIER, 1.1 + 7.9),))
    assert np.max(np.abs(absurd.probabilities - in_all.probabilities)) > 0.15


@pytest.mark.parametrize("readings", VISITS.values(), ids=VISITS)
def test_invariant_state_weights_sum_to_the_marginal(readings: tuple[Reading, ...]) -> None:
    found, _ = judged(case_table(3), readings)
    assert found.probabilities.sum() == pytest.approx(1.0, abs=1e-12)
    for part in PARTS:
        assert found.state_weights(part).sum() == pytest.approx(found.marginal(part), abs=1e-12)


@pytest.mark.parametrize("reading", [gauge(FOLLOWER, 0.2), gauge(FOLLOWER, 6.0), by_hand(FOLLOWER, "gross")])
def test_invariant_a_reading_that_no_part_moves_changes_nothing(reading: Reading) -> None:
    before, _ = judged(case_table(1), VISITS["gauges"])
    after, _ = judged(case_table(1), (*VISITS["gauges"], reading))
    np.testing.assert_allclose(after.probabilities, before.probabilities, atol=1e-12)


def test_exact_without_readings_the_prior_odds_come_back() -> None:
    found, case = judged(case_table(1), ())
    none = found.probabilities[0]
    for explanation, p in zip(found.explanations, found.probabilities, strict=True):
        assert np.log(p / none) == pytest.approx(sum(case.log_odds[part] for part in explanation.parts))


def test_independent_sizes_are_log_normal_with_a_share_spread_evenly_so_that_gross_wear_stays_possible() -> None:
    (states,) = states_of(JAM_NUT)
    reject = states.reject[0]
    bells = [math.exp(-((math.log(mm / reject / 1.3) / 0.7) ** 2) / 2.0) for mm in states.knots[0]]
    expected = [0.85 * bell / sum(bells) + 0.15 / len(bells) for bell in bells]
    np.testing.assert_allclose(states.weight, expected, rtol=1e-12)
    assert states.knots[0][-1] == pytest.approx(8.0 * reject)


def test_invariant_the_order_of_readings_does_not_matter() -> None:
    readings = VISITS["both, one far off"]
    forth, _ = judged(case_table(2), readings)
    back, _ = judged(case_table(2), readings[::-1])
    np.testing.assert_allclose(forth.probabilities, back.probabilities, atol=1e-12)
