"""Readings of people who still learn count for less, whether somebody said so or their readings do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis.inference import diagnose as behind
from looseends.diagnosis.inference.before import with_conditions
from looseends.diagnosis.inference.diagnose import Diagnosing, Weighed, weighed
from looseends.diagnosis.inference.in_common import InCommon
from looseends.diagnosis.inference.practice import look_by_learner, taken_as_learners
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.detect import chance_seen
from looseends.diagnosis.observed.forecast import Forecasts
from looseends.diagnosis.observed.grade import Grade
from looseends.diagnosis.observed.likelihood import GaugeReading
from looseends.diagnosis.observed.looked import looks_at
from looseends.diagnosis.tables.states import worn_axes
from looseends.diagnosis.tables.store import TableStore
from looseends.inspection.types import ConditionSeen, Reading
from looseends.inspection.types import Grade as GradeWord
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import (
    JAM_NUT,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_clues,
    made_table,
    seen,
    states_of,
    visit,
    yard_pickup,
)

WHO = "Ines Calder"
OTHER_NUT = JAM_NUT.replace("left", "right")
SHAKE = Setup("wheel39", "frame", "left", "held", "off", 0.0)
PARTS = tuple(
    watch.part
    for watch in watches_of(load_catalogue().checks["wheel39"], "left")
    if watch.part == watch.id and watch.part in yard_pickup().parts and worn_axes(yard_pickup().parts[watch.part])
)
SHAKES = tuple(
    Setup("wheel39", support, "left", steer, brake, 0.0)  # type: ignore[arg-type]
    for support in ("frame", "arm")
    for steer in ("held", "free")
    for brake in ("off", "on")
)
"""So many checks that one person gives enough grades to be known by."""

STATES = states_of(*PARTS)
SINGLES = {s.part.id: growing(s, {n: 1.0}, len(PARTS)) for n, s in enumerate(STATES)}
PRIOR = Prior(dict.fromkeys(PARTS, -3.0))


def laid(*readings: Reading, learners: tuple[str, ...] = ()) -> Weighed:
    """Readings of one shake, each part shown at its own place alone."""
    table = made_table(SINGLES, setup=SHAKE, watches=PARTS, sound=[[0.02, 0.01]] * len(PARTS), spread=0.02)
    return weighed(STATES, PRIOR, made_clues(table, STATES, *readings), beliefs(), None, learners)


def shaken_often(grades: dict[tuple[int, str], GradeWord]) -> Weighed:
    """Every part graded in many checks: nothing, but where said otherwise by check and part."""
    clues = []
    for n, setup in enumerate(SHAKES):
        table = made_table(SINGLES, setup=setup, watches=PARTS, sound=[[0.02, 0.01]] * len(PARTS), spread=0.02)
        clues += made_clues(table, STATES, *(by_hand(part, grades.get((n, part), "none")) for part in PARTS))
    return weighed(STATES, PRIOR, clues, beliefs())


@pytest.mark.parametrize("reading", [by_hand(PARTS[0], "clear"), by_hand(PARTS[0], "none"), gauge(PARTS[0], 1.2)])
def test_what_a_learner_reads_moves_a_part_less(reading: Reading) -> None:
    before = 1.0 / (1.0 + np.exp(3.0))
    practised, learner = (laid(reading, learners=who).posterior.marginal(PARTS[0]) for who in ((), (WHO,)))
    assert abs(np.log(learner / before)) < 0.9 * abs(np.log(practised / before))
    assert (learner > before) == (practised > before)


def test_a_silent_reading_of_a_learner_is_less_likely_to_have_shown_wear() -> None:
    reading = by_hand(PARTS[0], "none")
    practised, learner = (
        chance_seen(laid(reading, learners=who).clues[0], STATES[0], STATES[0].axes[0], beliefs())
        for who in ((), (WHO,))
    )
    assert learner < practised - 0.02


def test_exact_a_learners_grade_is_that_of_a_duller_observer() -> None:
    figures, hand = beliefs().learner, load_catalogue().observers["hand"]
    (clue,) = laid(by_hand(PARTS[0], "slight"), learners=(WHO,)).clues
    duller = replace(hand, spread=hand.spread * figures.spread_factor, lapse=figures.wrong_chance)
    movement, spread = np.array([[0.3, 0.2], [0.9, 0.8]]), np.array([0.05, 0.03])
    expected = Grade(1, duller).log_likelihood(movement, spread)
    assert np.allclose(clue.evidence.log_likelihood(movement, spread), expected, rtol=0.0, atol=1e-12)
    ratio = clue.evidence.personal(movement)[1] / Grade(1, hand).personal(movement)[1]
    assert np.allclose(ratio, figures.threshold_spread_factor)


def test_exact_a_learners_gauge_is_wrong_more_often_and_no_less_sharp() -> None:
    (clue,) = laid(gauge(PARTS[0], 0.4), learners=(WHO,)).clues
    evidence = clue.evidence
    assert isinstance(evidence, GaugeReading)
    assert np.exp(float(evidence.log_wrong)) == pytest.approx(beliefs().learner.wrong_chance / beliefs().wrong_reach_mm)
    movement, spread = np.array([0.4, 0.3]), np.array([0.05, 0.03])
    plain = GaugeReading(0.4, evidence.resolution, beliefs())
    assert evidence.expected(movement, spread) == plain.expected(movement, spread)


def test_readings_of_others_stay_as_they_are() -> None:
    clues = laid(by_hand(PARTS[0], "slight")).clues
    assert taken_as_learners(clues, ("Tom Orrin",), beliefs()) == clues


def test_whose_grades_fit_nothing_is_taken_as_a_learner_and_blames_less() -> None:
    wild: dict[tuple[int, str], GradeWord] = {
        (n, part): "clear" for n in range(len(SHAKES)) for p, part in enumerate(PARTS) if (n + p) % 7 == 0
    }
    found = shaken_often(wild)
    assert found.learning == (WHO,)
    assert max(found.posterior.marginal(part) for part in PARTS) < 0.5


def test_looks_too_count_for_less_of_whom_readings_tell_that_they_learn(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same visit with the loose nut found by her, and by somebody of whom no reading tells anything."""
    monkeypatch.setattr(behind, "weighed_again", lambda before, *_: before)
    wild: dict[tuple[int, int], GradeWord] = {
        (n, p): "clear" for n in range(len(SHAKES)) for p in range(len(PARTS)) if (n + p) % 7 == 0
    }
    states = (*STATES, *states_of(OTHER_NUT))
    singles = {**SINGLES, OTHER_NUT: growing(states[-1], {}, len(PARTS))}
    tables = {
        setup: made_table(singles, setup=setup, watches=PARTS, sound=[[0.02, 0.01]] * len(PARTS), spread=0.02)
        for setup in SHAKES
    }
    checks = [
        check_done(*(by_hand(part, wild.get((n, p), "none")) for p, part in enumerate(PARTS)), setup=setup, number=n)
        for n, setup in enumerate(SHAKES)
    ]
    common = SimpleNamespace(
        states=states, beliefs=beliefs(), tables_of=lambda *_: tables, bench=None, forecasts=Forecasts()
    )
    diagnosing = Diagnosing(yard_pickup(), TableStore(Path()), common=cast(InCommon, common))

    def odds(*conditions: ConditionSeen) -> float:
        found = diagnosing.diagnosed(visit(*checks, conditions=conditions), usual=False)
        assert found.learning == (WHO,)
        chance = found.posterior.marginal(OTHER_NUT)
        return float(np.log(chance / (1.0 - chance)))

    there = seen(OTHER_NUT, "jam-nut-loose")
    learner, other = odds(there) - odds(), odds(replace(there, observer="Tom Orrin")) - odds()
    assert 0.0 < learner < 0.9 * other


def test_who_finds_one_part_again_and_again_is_believed() -> None:
    found = shaken_often({(n, PARTS[0]): "clear" for n in range(len(SHAKES))})
    assert found.learning == ()
    assert found.posterior.marginal(PARTS[0]) > 0.99


def test_one_slip_makes_nobody_a_learner() -> None:
    assert shaken_often({(2, PARTS[1]): "clear"}).learning == ()


@pytest.mark.parametrize("present", [True, False])
def test_a_learners_look_moves_the_odds_less(present: bool) -> None:
    (states,) = states_of(JAM_NUT)
    there = replace(seen(JAM_NUT, "jam-nut-loose"), present=present)
    moved = [
        with_conditions([states], {JAM_NUT: -1.0}, [there], who, beliefs())[1][JAM_NUT] + 1.0 for who in ((), (WHO,))
    ]
    assert 0.0 < moved[1] / moved[0] < 0.9


def test_exact_figures_of_a_learners_look() -> None:
    look, *_ = looks_at(yard_pickup().parts[JAM_NUT].kind.id)
    taken, figures = look_by_learner(look, beliefs().learner), beliefs().learner
    assert taken.chance == pytest.approx(look.chance * figures.look_sees_share)
    assert taken.false_call == pytest.approx(look.false_call * figures.look_false_calls_factor)
    assert replace(taken, chance=look.chance, false_call=look.false_call) == look
