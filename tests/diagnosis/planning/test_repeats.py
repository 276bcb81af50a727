"""What a reading taken again would tell: against joint likelihoods counted out, and where it must come first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.many_sets import SetStates
from looseends.diagnosis.inference.readings import ReadingSet
from looseends.diagnosis.inference.views import change_together
from looseends.diagnosis.next_step import Enough, Step, next_step, resting_on_one_reading
from looseends.diagnosis.observed.evidence import Clue, cell_width
from looseends.diagnosis.observed.forecast import Forecasts
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import GaugeReading
from looseends.diagnosis.observed.read_again import calls_again
from looseends.diagnosis.observed.repeated import Repeated
from looseends.diagnosis.planning.next_check import next_checks
from looseends.diagnosis.planning.repeats import _chances, repeats_of
from looseends.diagnosis.planning.stands import Again, change_minutes, look_minutes
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import CheckDone, Hidden, Reading, Replaced
from looseends.language import Speech
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from tests.diagnosis.inference.test_independent_posterior import case_table
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    FOLLOWER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
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
from tests.diagnosis.made_visits import made_diagnosed

MOVEMENT, SPREAD = np.array([[0.2, 0.1], [1.6, 1.2], [3.4, 3.0]]), np.array([[0.2, 0.1], [0.4, 0.2], [0.5, 0.3]])
SPANISH = Speech("es")


def clue_of(*readings: Reading) -> Clue:
    """These readings of one watch as one clue."""
    states = states_of(JAM_NUT)
    clues = made_clues(made_table({}), states, *readings)
    return ReadingSet.of(clues, beliefs()).clues[0]


@pytest.mark.parametrize("before", [("slight",), ("none", "clear")])
def test_independent_a_grade_again_as_by_the_likelihood_of_both(before: tuple[str, ...]) -> None:
    """Chance of each grade given what was called: likelihood of all over that of those that were called."""
    clue = clue_of(*(by_hand(CARRIER, grade) for grade in before))  # type: ignore[arg-type]
    _, calls = calls_again(clue, MOVEMENT, SPREAD, beliefs())
    hand = load_catalogue().observers["hand"]
    read = [Grade(hand.grades.index(grade), hand) for grade in before]
    alone = Repeated.of(read).log_likelihood(MOVEMENT, SPREAD)
    for number in range(len(hand.grades)):
        together = Repeated.of([*read, Grade(number, hand)]).log_likelihood(MOVEMENT, SPREAD)
        np.testing.assert_allclose(calls[:, number], np.exp(together - alone), atol=0.01)
    np.testing.assert_allclose(calls.sum(axis=1), 1.0, atol=1e-3)


@pytest.mark.parametrize("before", [(1.6,), (0.2, 3.1)])
def test_independent_a_gauge_again_as_by_the_likelihood_of_both(before: tuple[float, ...]) -> None:
    """Chance to read as before, within so many errors: the density of all, over the reading, by a fine sum."""
    clue = clue_of(*(gauge(CARRIER, mm) for mm in before))
    log_read, calls = calls_again(clue, MOVEMENT, SPREAD, beliefs())
    # The gauge's resolution is the one that the check foresees at this watch.
    recorded = clue.evidence if isinstance(clue.evidence, Repeated) else Repeated.of([clue.evidence])
    resolution = recorded.gauges[0].resolution
    read = [GaugeReading(mm, resolution, beliefs()) for mm in before]
    alone = Repeated.of(read).log_likelihood(MOVEMENT, SPREAD)
    np.testing.assert_allclose(log_read, alone, atol=1e-9)
    counted = _counted(read, alone, clue)
    assert calls.shape == counted.shape
    np.testing.assert_allclose(calls, counted, atol=0.01)


def _counted(read: list[GaugeReading], alone: Array, clue: Clue) -> Array:
    """Chance (3, steps) of a reading in every step, by a sum over finely parted readings."""
    sound, error = read[-1].expected(clue.sound, clue.spread)
    ends = [float(sound) + float(error) * step for step in (-1.0, 1.0, 2.0, 4.0, 8.0, 16.0)]
    for one in read:
        own = float(one.error_parts(np.full(2, float(one.reading)), np.zeros(2))[2])
        ends += [float(one.reading) - 2.5 * own, float(one.reading) + 2.5 * own]
    fine = np.arange(-1.0, 12.0, 0.004) + 0.002
    again = np.array([Repeated.of([*read, GaugeReading(y, read[0].resolution, beliefs())]).log_likelihood(
        MOVEMENT, SPREAD) for y in fine])  # fmt: skip
    mass = 0.004 * np.exp(again - alone)
    mass[fine < 0.0] -= 0.004 * beliefs().wrong_chance / beliefs().wrong_reach_mm
    step = np.searchsorted(np.sort(ends), fine)
    return np.stack([mass[step == number].sum(axis=0) for number in range(len(ends) + 1)], axis=1)


def tables() -> Mapping[Setup, ResponseTable]:
    """The jam nut shows at one watch under the arms, the carrier under the frame."""
    nut, carrier = states_of(JAM_NUT, CARRIER)
    return {
        ON_ARM: made_table({JAM_NUT: growing(nut, {2: 1.0})}, setup=ON_ARM),
        ON_FRAME: made_table({CARRIER: growing(carrier, {0: 1.0})}, setup=ON_FRAME),
    }


THREE = (CARRIER, JAM_NUT, "sway-bar-bushing-left")
"""Of these the first two interact, and vehicles show shares of them."""

READ = st.sampled_from([gauge(CARRIER, 1.6), gauge(TREAD, 0.9, 0.4), gauge(TREAD, 0.1), by_hand(BEARING, "slight"),
                        by_hand(FOLLOWER, "none"), by_hand(FOLLOWER, "clear")])  # fmt: skip


@settings(deadline=None, max_examples=12)
@given(read=st.lists(READ, min_size=1, max_size=5), masked=st.booleans(), beside=st.booleans())
def test_independent_all_sets_at_once_as_each_state_of_each_set_by_itself(
    read: list[Reading], masked: bool, beside: bool
) -> None:
    hidden = (Hidden(CARRIER, "rust"),) if masked else ()
    found = made_diagnosed(
        {ON_ARM: case_table(1, shared=True, beside=beside)},
        THREE,
        replace(check_done(*read), hidden=hidden),
        odds=dict.fromkeys(THREE, -1.0),
    )
    readings = ReadingSet.of(found.clues, beliefs())
    sets = [SetStates.leading(e, 8) for e, _ in found.posterior.leading(20)]
    assert {len(one.parts) for one in sets} >= {0, 1, 2}
    for k in range(len(readings.clues)):
        at_once = _chances(sets, found, readings, k)
        for one, chances in zip(sets, at_once, strict=True):
            plain = sum(
                weight * called_again(one.parts, places, found, readings, k)
                for places, weight in zip(one.places, one.weights, strict=True)
            )
            np.testing.assert_allclose(chances, plain, rtol=1e-9)


@settings(deadline=None, max_examples=12)
@given(visits=st.lists(st.lists(READ, min_size=1, max_size=3), min_size=2, max_size=4), few=st.booleans())
def test_independent_what_a_repeat_tells_does_not_depend_on_what_was_asked_before(
    visits: list[list[Reading]], few: bool
) -> None:
    """One visit after another by the same vehicle's forecasts, the first once more, however little is kept of them."""
    kept = Forecasts()
    with pytest.MonkeyPatch.context() as patch:
        if few:
            patch.setattr("looseends.diagnosis.observed.kept_calls._MOST_READINGS", 1)
            patch.setattr("looseends.diagnosis.observed.kept_calls._MOST_ROWS", 3)
        for read, surer in zip([visits[0], *visits], (False, True, False, False, False), strict=False):
            found = made_diagnosed(
                {ON_ARM: case_table(1, shared=True)}, THREE, check_done(*read), odds=dict.fromkeys(THREE, -1.0)
            )
            share = (0.2 if surer else 1.0) * beliefs().share_of_change
            found = replace(found, beliefs=replace(beliefs(), share_of_change=share))
            told, plain = repeats_of(replace(found, forecasts=kept)), repeats_of(found)
            assert told.keys() == plain.keys()
            for look, repeat in plain.items():
                assert told[look].told.bits == pytest.approx(repeat.told.bits, rel=1e-9, abs=1e-12)
                assert dict(told[look].told.settles) == pytest.approx(dict(repeat.told.settles), rel=1e-9, abs=1e-12)
            if few:
                assert len(kept.again._of) <= 1


def called_again(parts: tuple[str, ...], places: Array, found: Diagnosed, readings: ReadingSet, k: int) -> Array:
    """Chance (calls,) of each call of one reading again, in one joint state, over what may be shown of it."""
    clue, views = readings.clues[k], found.posterior.views
    movers = [n for n, name in enumerate(parts) if views[name].moves[k]]
    if len(movers) == 1:
        name, state = parts[movers[0]], places[movers[0]]
        width = cell_width(found.posterior.states[name], clue.change[name])[state]
        shares, masked = clue.shares(name), max(clue.masked_chance(name), 1e-12)
        seen = [(share, 1.0 / len(shares)) for share in shares]
        if any(reading.free_mm is not None for reading in clue.check.readings if reading.watch == clue.reading.watch):
            pressed, chance = np.array([shares.mean(axis=0)[0], 0.0]), beliefs().pressed_chance
            seen = [*((share, (1.0 - chance) * own) for share, own in seen), (pressed, chance)]
        change = clue.change[name][state]
        shown = [((1.0 - masked) * own, share * change, share * width) for share, own in seen]
        shown.append((masked, np.zeros(2), np.zeros(2)))
    else:
        change, cell = change_together(parts, places[None], views, readings, np.array([k]))
        shown = [(1.0, change[0, 0], np.broadcast_to(cell, change.shape)[0, 0])]
    total, over = 0.0, np.zeros(1)
    for chance, change, cell in shown:
        movement = np.maximum(clue.sound + change, 0.0)
        log_read, calls = calls_again(clue, movement[None], clue.spread_at(change, cell, beliefs())[None], beliefs())
        total, over = total + chance * np.exp(log_read[0]), over + chance * np.exp(log_read[0]) * calls[0]
    return over / total


ODDS = {JAM_NUT: -3.5, CARRIER: -4.5}


def diagnosed(*checks: CheckDone, replaced: tuple[Replaced, ...] = ()) -> Diagnosed:
    """A visit with these checks."""
    found = made_diagnosed(tables(), [JAM_NUT, CARRIER], *checks, odds=ODDS)
    return replace(found, visit=replace(found.visit, replaced=replaced))


LOOSE = check_done(gauge(BEARING, 1.6, 1.5), gauge(TREAD, 0.2, 0.1), setup=ON_ARM)
QUIET = check_done(gauge(CARRIER, 0.2, 0.1), gauge(FOLLOWER, 0.2, 0.1), setup=ON_FRAME, number=2)


def test_a_reading_on_which_all_rests_is_the_next_step_and_says_between_what_it_decides() -> None:
    found = diagnosed(QUIET, LOOSE)
    step = next_step(found)
    assert isinstance(step, Step) and step.check.again
    assert (step.check.setup, step.check.watches) == (ON_ARM, (BEARING,))
    assert step.check.minutes == look_minutes(Again(ON_ARM, BEARING))
    assert step.check.reason == (
        "do it again (left wheel bearing): it decides between no worn part and the left tie-rod jam nut"
    )
    assert SPANISH.words(step.check.reason).startswith("repítalo (balero de rueda")
    first, *_ = next_checks(found, load_policy())
    assert first.again and first.watches == (BEARING,)


def test_a_part_that_counts_as_worn_on_one_reading_is_read_again_before_it_is_enough() -> None:
    found = made_diagnosed(tables(), [JAM_NUT, CARRIER], QUIET, LOOSE, odds=ODDS | {JAM_NUT: -0.5})
    assert found.posterior.marginal(JAM_NUT) > beliefs().worn_at_least
    assert resting_on_one_reading(found) == {JAM_NUT}
    step = next_step(found)
    assert isinstance(step, Step) and step.check.again and step.check.watches == (BEARING,)


def test_the_stands_that_must_move_for_it_are_counted() -> None:
    step = next_step(diagnosed(LOOSE, QUIET), looks=False)
    assert isinstance(step, Step) and step.check.again
    assert step.check.minutes == change_minutes("frame", "arm", load_policy()) + look_minutes(Again(ON_ARM, BEARING))


def test_invariant_what_was_read_again_and_agrees_tells_no_more_and_is_decided() -> None:
    once, twice = (diagnosed(QUIET, LOOSE, *more) for more in ((), (replace(LOOSE, number=3),)))
    assert twice.posterior.marginal(JAM_NUT) > 0.95
    bits = [repeats_of(found).get(Again(ON_ARM, BEARING)) for found in (once, twice)]
    assert bits[0] is not None and bits[0].told.bits > 0.3
    assert bits[1] is None or bits[1].told.bits < 0.3 * bits[0].told.bits
    assert isinstance(next_step(twice), Enough)


def test_exact_nothing_is_read_more_often_than_the_limit_nor_after_its_part_was_replaced() -> None:
    slips = [check_done(gauge(BEARING, mm, mm), setup=ON_ARM, number=n) for n, mm in enumerate((1.6, 0.2, 3.0), 2)]
    asked = [Again(ON_ARM, BEARING) in repeats_of(diagnosed(QUIET, *slips[:count])) for count in (1, 2, 3)]
    assert asked == [True, True, False]
    assert beliefs().again_at_most == 3
    replaced = (Replaced(1, JAM_NUT, 3, "Ines Calder", ""),)
    assert not repeats_of(diagnosed(QUIET, *slips[:1], replaced=replaced))


def test_invariant_sound_readings_ask_for_nothing_again() -> None:
    silent = check_done(gauge(BEARING, 0.2, 0.1), gauge(TREAD, 0.2, 0.1), setup=ON_ARM)
    assert all(repeat.told.bits < 0.02 for repeat in repeats_of(diagnosed(QUIET, silent)).values())
