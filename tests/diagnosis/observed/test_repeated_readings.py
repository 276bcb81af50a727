"""Readings of one watch taken again: against drawn errors (independent), and what repetition must do (invariant)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import norm

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import FREE, Evidence, GaugeReading
from looseends.diagnosis.observed.repeated import Repeated, grouped, log_all_right, off_chance
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any
from looseends.diagnosis.observed.springs import log_alike, mean_of
from looseends.inspection.types import Reading
from looseends.mechanics.bodies import Array
from tests.diagnosis.enumeration import gauge_density, grade_chance
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    JAM_NUT,
    TREAD,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_clues,
    made_table,
    states_of,
)

MOVEMENT, SPREAD = np.array([1.6, 1.0]), np.array([0.5, 0.2])
DRAWS = 200_000


def total(mm: float) -> GaugeReading:
    """A gauge reading of the movement in all."""
    return GaugeReading(mm, 0.02, beliefs())


def dead_zone(mm: float) -> GaugeReading:
    """A gauge reading of the dead zone."""
    return GaugeReading(mm, 0.02, beliefs(), FREE)


def hand(grade: int) -> Grade:
    """A call by hand."""
    return Grade(grade, load_catalogue().observers["hand"])


CASES: dict[str, list[Evidence]] = {
    "two gauges": [total(1.9), total(2.0)],
    "two of three agree": [total(1.9), total(0.1), total(2.1)],
    "dead zone, total and hand": [dead_zone(0.9), total(1.9), hand(2)],
    "two hands": [hand(2), hand(3)],
    "hands that contradict": [hand(0), hand(2), hand(2)],
    "gauge and hand": [total(1.7), hand(1)],
}


def drawn_likelihood(recordings: list[Evidence], t: Array) -> float:
    """Mean over drawn errors of the model of what all recordings say, each by itself with its own error only."""
    b, (in_all, free), (sd_all, sd_free) = beliefs(), MOVEMENT, SPREAD
    product = np.ones(len(t))
    for one in recordings:
        if isinstance(one, GaugeReading):
            springs, a = in_all - free, b.springy_taken
            mean = in_all if one.quantity != FREE else free + a * springs
            shared = sd_all if one.quantity != FREE else np.hypot(sd_free, a * sd_all)
            own = (b.again_error_mm**2 + (b.again_error_share * mean) ** 2) ** 0.5
            if one.quantity == FREE:
                judged = np.hypot(b.dead_zone_error_mm, b.dead_zone_error_share * free)
                own = float(np.sqrt(own**2 + judged**2 + (b.springy_taken_spread * springs) ** 2))
            product *= [gauge_density(one.reading, m, own, one.resolution, b) for m in mean + shared * t]
        elif isinstance(one, Grade):
            off = np.hypot(sd_free, one.observer.elastic_share * sd_all) * t
            product *= [
                grade_chance(one.grade, "hand", (max(in_all + x, 0.0), 0.0), (max(free + x, 0.0), 0.0)) for x in off
            ]
    return float(np.log(product.mean()))


@pytest.mark.parametrize("recordings", CASES.values(), ids=CASES)
def test_independent_likelihood_of_recordings_as_by_drawn_errors(recordings: list[Evidence]) -> None:
    # Middles of equally probable intervals: a draw without its noise.
    t = ndtri((np.arange(DRAWS // 4) + 0.5) / (DRAWS // 4))
    found = Repeated.of(recordings).log_likelihood(MOVEMENT, SPREAD)
    assert float(found) == pytest.approx(drawn_likelihood(recordings, t), abs=2e-3)


@pytest.mark.parametrize("recordings", CASES.values(), ids=CASES)
def test_exact_a_place_that_may_be_off_mixes_both_errors(recordings: list[Evidence]) -> None:
    usual, wide = (
        float(Repeated.of(recordings).log_likelihood(MOVEMENT, spread))
        for spread in (SPREAD, np.hypot(SPREAD, [4.0, 2.0]))
    )
    found = float(Repeated.of(recordings, 0.005).log_likelihood(MOVEMENT, SPREAD))
    assert np.exp(found) == pytest.approx(0.995 * np.exp(usual) + 0.005 * np.exp(wide))


def test_invariant_the_tread_that_moves_strangely_again_and_again_does_not_prove_ever_more() -> None:
    """It is off the model on this vehicle; at a joint, where its own play alone shows, there is no such excuse."""
    fits, strange, spread = np.array([4.0, 2.5]), np.array([4.0, 0.8]), np.array([0.7, 0.15])

    def told(count: int, watch: str) -> float:
        clues = made_clues(
            made_table({}), states_of(JAM_NUT), *(gauge(watch, 4.0, 2.4 + 0.05 * n) for n in range(count))
        )
        (clue,) = grouped(clues)
        logs = [clue.evidence.log_likelihood(movement, spread) for movement in (fits, strange)]
        return float(logs[0] - logs[1])

    assert told(3, TREAD) - told(1, TREAD) < 4.0 < 10.0 < told(3, CARRIER) - told(1, CARRIER)


def test_exact_without_error_of_the_model_recordings_are_independent() -> None:
    recordings = [hand(1), hand(2), hand(2)]
    each = sum(float(one.log_likelihood(MOVEMENT, np.zeros(2))) for one in recordings)
    assert float(Repeated.of(recordings).log_likelihood(MOVEMENT, np.zeros(2))) == pytest.approx(each, abs=1e-9)


def test_independent_slope_is_the_difference_of_the_likelihood() -> None:
    for recordings in CASES.values():
        together, h = Repeated.of(recordings), 1e-4
        _, slope, information = together.expanded(MOVEMENT, SPREAD)
        up, down = (float(together.log_likelihood(MOVEMENT + step, SPREAD)) for step in (h, -h))
        assert float(slope) == pytest.approx((up - down) / (2 * h), rel=0.1, abs=0.3)
        assert information >= 0.0


def test_independent_draws_go_together_as_their_common_error_says() -> None:
    movement, spread = np.tile(MOVEMENT, (DRAWS // 10, 1)), np.tile(SPREAD, (DRAWS // 10, 1))
    drawn = Repeated.of([total(0.0), total(0.0)]).sample(movement, spread, np.random.default_rng(1))
    right = drawn[np.abs(np.diff(drawn, axis=1)[:, 0]) < 0.6]
    own = np.hypot(0.05, 0.03 * MOVEMENT[0])
    assert np.corrcoef(right.T)[0, 1] == pytest.approx(0.25 / (0.25 + own**2), abs=0.03)


def test_exact_recordings_are_grouped_by_setup_and_watch_in_order() -> None:
    states, table = states_of(CARRIER), made_table({})
    readings = (gauge(CARRIER, 1.0), gauge(TREAD, 2.0), by_hand(CARRIER, "slight"))
    clues = clues_of(
        [check_done(*readings), check_done(gauge(TREAD, 2.1), number=2)], {1: table, 2: table}, states, beliefs()
    )
    together = grouped(clues)
    assert [clue.reading.watch for clue in together] == [CARRIER, TREAD]
    assert [clue.evidence for clue in together] == [
        Repeated((clues[0].evidence,), (clues[2].evidence,)),  # type: ignore[arg-type]
        Repeated((clues[1].evidence, clues[3].evidence), (), off_chance(clues[1])),  # type: ignore[arg-type]
    ]
    assert grouped(together) == together
    assert [off_chance(clue) > 0.0 for clue in together] == [False, True]  # at a joint, and at the tread


def found(*readings: Reading, spread: float = 0.3) -> Posterior:
    """The posterior of one part, as often worn as not, seen at two watches."""
    (states,) = states_of(JAM_NUT)
    table = made_table({JAM_NUT: growing(states, {0: 2.0, 2: 2.0})}, spread=spread)
    return posterior([states], {JAM_NUT: 0.0}, made_clues(table, [states], *readings), beliefs())


def test_invariant_the_model_s_error_does_not_wear_off_by_reading_again() -> None:
    """Where vehicles scatter by 0.3 mm a second reading of the same watch tells less than one of another watch."""
    once = found(gauge(CARRIER, 0.85)).marginal(JAM_NUT)
    again = found(gauge(CARRIER, 0.85), gauge(CARRIER, 0.85)).marginal(JAM_NUT)
    elsewhere = found(gauge(CARRIER, 0.85), gauge(BEARING, 0.85)).marginal(JAM_NUT)
    assert once < elsewhere and abs(again - once) < 0.3 * (elsewhere - once)


def test_invariant_reading_again_tells_a_slip_from_play() -> None:
    """One reading of 3 mm may be a slip; the same again may not, and two of nothing beside it say that it was one."""
    once = found(gauge(CARRIER, 3.0), spread=0.1).marginal(JAM_NUT)
    assert found(gauge(CARRIER, 3.0), gauge(CARRIER, 3.02), spread=0.1).marginal(JAM_NUT) > max(once, 0.99)
    slip = found(gauge(CARRIER, 3.0), gauge(CARRIER, 0.2), gauge(CARRIER, 0.22), spread=0.1)
    assert slip.marginal(JAM_NUT) < 0.2


def test_invariant_the_same_reading_again_proves_no_more() -> None:
    """What the model hides in one reading of a watch it hides in the next."""
    (states,) = states_of(JAM_NUT)
    clues = made_clues(made_table({JAM_NUT: growing(states, {0: 2.0})}), [states], *[by_hand(CARRIER, "none")] * 3)
    one, three = (chance_seen_by_any(some, states, states.axes[0], beliefs()) for some in (clues[:1], clues))
    assert 0.0 < one == pytest.approx(three)


@pytest.mark.parametrize("count", [2, 3, 5])
def test_invariant_a_soft_place_read_again_and_again_says_so_once(count: int) -> None:
    """Twice the movement that the model knows, and no dead zone: worn and pressed to one end, or only soft.

    What springs is the place's own each time. What tells the two apart after several readings is what one told, but
    for the error of reading, which several wear down.
    """
    soft, pressed = np.array([0.25, 0.02]), np.array([0.52, 0.02])
    spread = np.array([0.05, 0.02])
    one = GaugeReading(0.0, 0.05, beliefs(), FREE, 0.5)
    by_one = float(one.log_likelihood(pressed, spread) - one.log_likelihood(soft, spread))
    again = Repeated.of([one] * count)
    by_all = float(again.log_likelihood(pressed, spread) - again.log_likelihood(soft, spread))
    assert by_one > 0.5
    assert by_all < 1.5 * by_one


def test_exact_one_reading_of_a_dead_zone_is_as_by_itself_but_for_the_error_of_setting_up() -> None:
    one = GaugeReading(0.3, 0.02, beliefs(), FREE, 0.9)
    springs = one.springs
    assert springs is not None
    assert log_alike([springs]) == pytest.approx(0.0, abs=1e-12)
    assert mean_of([springs]) == springs
    assert log_all_right([one], MOVEMENT, SPREAD) == pytest.approx(one.log_right(MOVEMENT, SPREAD))


def test_exact_readings_alike_have_the_density_given_their_mean() -> None:
    """Of normal numbers about any level, all levels alike likely: the density of all over that of their mean."""
    springs = [GaugeReading(0.1, 0.02, beliefs(), FREE, in_all).springs for in_all in (0.50, 0.56, 0.53)]
    known = [one for one in springs if one is not None]
    error = float(np.sqrt(np.mean([float(one.own_error) ** 2 for one in known])))
    rests, levels = [0.40, 0.46, 0.43], np.linspace(-2.0, 3.0, 400_001)
    each = np.prod([norm.pdf(rest, levels, error) for rest in rests], axis=0)
    integral = float(each.sum() * (levels[1] - levels[0]))
    assert log_alike(known) == pytest.approx(np.log(integral), abs=1e-6)


def test_invariant_nothing_makes_repeated_readings_likelier_than_said() -> None:
    again = Repeated.of([GaugeReading(0.1, 0.02, beliefs(), FREE, 0.5)] * 5)
    free, in_all = np.meshgrid(np.linspace(0.0, 0.4, 41), np.linspace(0.0, 1.0, 51), indexing="ij")
    movement = np.stack([free + in_all, free], axis=-1)
    assert float(again.log_likelihood(movement, np.full(2, 1e-3)).max()) <= again.most(np.full(2, 1e-3))
