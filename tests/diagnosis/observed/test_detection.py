"""What a check could have shown."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from looseends.diagnosis.observed.detect import at_reject, best_by_hand, chance_seen, told_apart
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any
from looseends.inspection.types import Reading
from tests.diagnosis.enumeration import dead_zone, grade_chance, normal_below
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
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

READINGS = [
    gauge(CARRIER, 0.1),
    gauge(CARRIER, 0.2, 0.1),
    by_hand(CARRIER, "none"),
    Reading(CARRIER, "eye", None, "none", ""),
]
CAP = 1.0 - beliefs().masked_chance


def chance(reading: Reading, share: float, sound_free: float = 0.1) -> float:
    """Chance that this reading would have shown the carrier, of whose play the watch sees a share."""
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: share})}, sound=[[0.2, sound_free]] * 4)
    (clue,) = made_clues(table, [states], reading)
    return chance_seen(clue, states, "axial", beliefs())


@pytest.mark.parametrize("reading", READINGS)
def test_exact_nothing_is_seen_where_the_table_has_no_response(reading: Reading) -> None:
    (states,) = states_of(CARRIER)
    (clue,) = made_clues(made_table({}), [states], reading)
    assert chance_seen(clue, states, "axial", beliefs()) == 0.0


@pytest.mark.parametrize("reading", READINGS)
def test_exact_nothing_is_seen_at_a_watch_that_the_part_does_not_move(reading: Reading) -> None:
    assert chance(reading, 0.0) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("reading", [gauge(FOLLOWER, 0.1), by_hand(FOLLOWER, "none")])
def test_exact_many_readings_that_cannot_show_it_add_up_to_nothing(reading: Reading) -> None:
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 1.0})}, sound=[[0.2, 0.15]] * 4)
    clues = made_clues(table, [states], *[reading] * 40)
    assert chance_seen_by_any(clues, states, "axial", beliefs()) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("reading", READINGS)
@given(less=st.floats(0.0, 2.0), more=st.floats(0.0, 2.0))
def test_invariant_more_response_is_seen_more_surely(reading: Reading, less: float, more: float) -> None:
    low, high = sorted([less, more])
    assert chance(reading, high) >= chance(reading, low) - 1e-9


@pytest.mark.parametrize("reading", READINGS)
def test_exact_the_chance_is_the_mean_over_the_shares_that_vehicles_show(reading: Reading) -> None:
    (states,) = states_of(CARRIER)
    shares = np.ones((4, len(WATCHES)))
    shares[:, 0] = [0.0, 0.4, 1.0, 1.5]
    singles = {CARRIER: growing(states, {0: 0.6})}
    (clue,) = made_clues(made_table(singles, shares={CARRIER: shares}), [states], reading)
    expected = np.mean([chance(reading, 0.6 * share) for share in shares[:, 0]])
    got = chance_seen(clue, states, "axial", beliefs())
    assert got == pytest.approx(expected)
    assert abs(got - chance(reading, 0.6 * float(shares[:, 0].mean()))) > 0.02


def test_independent_a_dead_zone_stands_out_by_how_sharply_dead_zones_are_read() -> None:
    """Beyond two standard deviations of a sound vehicle's dead zone, less the share of sound ones that are too."""
    held, shown = beliefs(), 1.3 * 0.4
    sd = [math.hypot(0.1 * factor, held.floor_mm) for factor in (held.shared_softness, 1.0)]
    worn_sd = [math.hypot(each, held.share_of_change * shown) for each in sd]
    sound = dead_zone((0.9, sd[0]), (0.1, sd[1]), held)
    worn = dead_zone((0.9 + shown, worn_sd[0]), (0.1 + shown, worn_sd[1]), held)
    edge = sound[0] + 2.0 * math.hypot(sound[1], 0.02 / math.sqrt(12.0))
    called = normal_below((worn[0] - edge) / math.hypot(worn[1], 0.02 / math.sqrt(12.0)))
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 0.4})}, sound=[[0.9, 0.1]] * 4)
    (clue,) = made_clues(table, [states], gauge(CARRIER, 0.2, 0.1))
    expected = CAP * (called - normal_below(-2.0))
    assert 0.3 < expected < 0.95
    assert chance_seen(clue, states, "axial", held) == pytest.approx(expected)


@pytest.mark.parametrize("reading", READINGS)
def test_exact_masking_caps_the_chance(reading: Reading) -> None:
    assert 0.9 * CAP < chance(reading, 50.0, sound_free=0.0) <= CAP


def test_invariant_play_of_a_sound_joint_makes_the_hand_a_weaker_witness() -> None:
    assert chance(by_hand(CARRIER, "none"), 0.5, 0.5) < 0.7 < 0.8 < chance(by_hand(CARRIER, "none"), 0.5, 0.02)


def test_exact_masking_hides_a_joint_in_all_readings_alike() -> None:
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 5.0, 2: 5.0, 3: 5.0})})
    clues = made_clues(
        table, [states], gauge(CARRIER, 0.1), gauge(BEARING, 0.1), gauge(TREAD, 0.1), gauge(CARRIER, 0.1)
    )
    assert chance_seen_by_any(clues, states, "axial", beliefs()) == pytest.approx(CAP, abs=1e-4)


def test_exact_one_reading_among_any_is_its_own_chance() -> None:
    (states,) = states_of(CARRIER)
    clues = made_clues(made_table({CARRIER: growing(states, {0: 0.4})}), [states], gauge(CARRIER, 0.1))
    alone = chance_seen(clues[0], states, "axial", beliefs())
    assert 0.2 < alone < 0.95
    assert chance_seen_by_any(clues, states, "axial", beliefs()) == pytest.approx(alone)


def test_exact_change_at_reject_is_read_off_the_ladder() -> None:
    """Changes that grow with clearance give the reject clearance back; the other axis stays sound."""
    (states,) = states_of(CARRIER)
    change = np.stack([states.clearance(0), 2.0 * states.clearance(1)], axis=1)
    np.testing.assert_allclose(at_reject(states, "axial", change), [1.3, 0.0], atol=1e-12)
    np.testing.assert_allclose(at_reject(states, "radial", change), [0.0, 1.6], atol=1e-12)


def by_the_best_step(shown: float) -> float:
    """How much more often a worn joint than a sound one is called beyond a grade, by the grade that parts them best."""
    sound_sd = math.hypot(0.1, beliefs().floor_mm)
    worn_sd = math.hypot(sound_sd, beliefs().share_of_change * shown)
    steps = []
    for step in (1, 2, 3):
        worn = sum(grade_chance(g, "hand", (0.2 + shown, worn_sd), (0.1 + shown, worn_sd)) for g in range(step, 4))
        sound = sum(grade_chance(g, "hand", (0.2, sound_sd), (0.1, sound_sd)) for g in range(step, 4))
        steps.append(worn - sound)
    return max(steps)


@pytest.mark.parametrize(
    ("worn", "sound", "apart"),
    [
        ((0.0, 0.1, 0.9, 0.0), (0.1, 0.8, 0.1, 0.0), 0.8),
        ((0.1, 0.9, 0.0, 0.0), (0.8, 0.2, 0.0, 0.0), 0.7),
        ((0.0, 0.0, 0.3, 0.7), (0.0, 0.0, 0.9, 0.1), 0.6),
        ((0.4, 0.3, 0.2, 0.1), (0.4, 0.3, 0.2, 0.1), 0.0),
        ((0.9, 0.1, 0.0, 0.0), (0.2, 0.8, 0.0, 0.0), 0.0),
    ],
)
def test_exact_grades_tell_by_the_step_that_parts_best(
    worn: tuple[float, ...], sound: tuple[float, ...], apart: float
) -> None:
    assert told_apart(np.array(worn), np.array(sound)) == pytest.approx(apart)


def test_exact_the_parts_own_watch_comes_first_where_it_shows_the_part_at_all() -> None:
    """Another watch that shows more is named only where the own joint shows the play less often than not."""
    (states,) = states_of(CARRIER)
    own, other = 0.5, 2.0
    table = made_table({CARRIER: growing(states, {0: own, 3: other})})
    best, watch = best_by_hand(table, states, "axial", beliefs())
    assert watch == CARRIER
    assert 0.5 < best < CAP * by_the_best_step(1.3 * other)
    assert best == pytest.approx(CAP * by_the_best_step(1.3 * own))
    hidden = made_table({CARRIER: growing(states, {0: 0.1, 3: other})})
    assert CAP * by_the_best_step(1.3 * 0.1) < 0.5
    assert best_by_hand(hidden, states, "axial", beliefs())[1] == TREAD


def test_exact_the_best_watch_by_hand_is_the_one_that_moves() -> None:
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 0.1, 3: 1.0})})
    best, watch = best_by_hand(table, states, "axial", beliefs())
    assert watch == TREAD
    # Reject is 1.3 mm, all of it shown: 1.5 mm in all and 1.4 mm free, where a sound one has 0.2 and 0.1 mm.
    assert best == pytest.approx(CAP * by_the_best_step(1.3))
    assert best_by_hand(made_table({}), states, "axial", beliefs()) == (0.0, "")


def test_exact_the_best_watch_by_hand_is_found_by_what_the_poorest_quarter_of_vehicles_shows() -> None:
    (states,) = states_of(CARRIER)
    shares = np.ones((5, len(WATCHES)))
    shares[:, 0] = [1.6, 0.0, 0.8, 0.4, 1.2]
    table = made_table({CARRIER: growing(states, {0: 1.5})}, shares={CARRIER: shares})
    best, watch = best_by_hand(table, states, "axial", beliefs())
    assert watch == CARRIER
    assert best == pytest.approx(CAP * by_the_best_step(1.3 * 1.5 * 0.4))
    assert best < CAP * by_the_best_step(1.3 * 1.5) - 0.02
