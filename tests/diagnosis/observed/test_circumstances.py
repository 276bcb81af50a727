"""What is replaced, hidden, absent, passed, told and known of a vehicle: how it moves the posterior, on made tables."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.before import (
    believed_before,
    log_use_factor,
    symptoms_in_words,
    symptoms_of,
    with_conditions,
    witnessed,
)
from looseends.diagnosis.inference.diagnose import Diagnosed
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.circumstances import load_circumstances
from looseends.diagnosis.observed.complaints import complaints_meant
from looseends.diagnosis.observed.detect import chance_seen
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.observed.symptoms import Symptom, Witnesses
from looseends.diagnosis.tables.states import plain_odds
from looseends.diagnosis.verdicts.remarks import contradiction_remarks
from looseends.diagnosis.verdicts.repairs import repairs_of
from looseends.inspection.types import By, CheckDone, Grade, Hidden, Hider, Reading, Repair, Replaced, SymptomSeen, Use
from tests.diagnosis.made_tables import (
    BEARING,
    CARRIER,
    JAM_NUT,
    ON_ARM,
    beliefs,
    by_hand,
    check_done,
    gauge,
    growing,
    made_table,
    seen,
    states_of,
    visit,
    yard_pickup,
)

BUSHING = "sway-bar-bushing-left"
SHOWS, SHOWS_NOT = {0: 1.0}, {3: 0.5}
NEVER, AT_FIRST = (), (Replaced(1, CARRIER, 1, "Ines Calder", ""),)
WORN_THEN_SILENT = (check_done(gauge(CARRIER, 4.0)), check_done(gauge(CARRIER, 0.2), number=2))


def table_of(part: str, shown: dict[int, float]) -> Any:
    """One part that shows its play at some watches."""
    (states,) = states_of(part)
    return made_table({part: growing(states, shown)})


def judged(part: str, shown: dict[int, float], *checks: CheckDone, replaced: tuple[Replaced, ...] = ()) -> Posterior:
    """The posterior of one part."""
    states = states_of(part)
    clues = clues_of(checks, dict.fromkeys((1, 2, 3), table_of(part, shown)), states, beliefs(), replaced)
    return posterior(states, {part: -1.0}, clues, beliefs())


def graded(by: By, grade: Grade, watch: str = CARRIER) -> Reading:
    """A call by one of the observers."""
    return Reading(watch, by, None, grade, "")


def test_what_is_read_after_a_repair_says_nothing_about_the_old_part() -> None:
    """With the part replaced in between, the same posterior as without the second reading; else it takes much away."""
    before = judged(CARRIER, SHOWS, WORN_THEN_SILENT[0])
    repaired = judged(CARRIER, SHOWS, *WORN_THEN_SILENT, replaced=AT_FIRST)
    assert repaired.marginal(CARRIER) == pytest.approx(before.marginal(CARRIER), abs=1e-12)
    np.testing.assert_allclose(repaired.state_weights(CARRIER), before.state_weights(CARRIER), atol=1e-12)
    assert judged(CARRIER, SHOWS, *WORN_THEN_SILENT).marginal(CARRIER) < before.marginal(CARRIER) - 0.1


def test_play_that_is_read_before_a_repair_does_not_contradict_silence_after_it() -> None:
    (states,), table = states_of(CARRIER), table_of(CARRIER, SHOWS)
    said = []
    for replaced in (NEVER, AT_FIRST):
        clues = clues_of(WORN_THEN_SILENT, {1: table, 2: table}, [states], beliefs(), replaced)
        found = posterior([states], {CARRIER: -1.0}, clues, beliefs())
        said.append(any("contradict" in str(remark.words) for remark in contradiction_remarks(clues, found, beliefs())))
    assert said == [True, False]


def repair(shown: dict[int, float], *checks: CheckDone) -> Repair:
    """What is said of the carrier that was replaced after the first check."""
    states = states_of(CARRIER)
    table, recorded = table_of(CARRIER, shown), replace(visit(*checks), replaced=AT_FIRST)
    clues = clues_of(checks, dict.fromkeys((1, 2), table), states, beliefs(), AT_FIRST)
    found = posterior(states, {CARRIER: -1.0}, clues, beliefs())
    by_id = {CARRIER: states[0]}
    (said,) = repairs_of(Diagnosed(recorded, yard_pickup(), beliefs(), checks, {ON_ARM: table}, by_id, clues, found))
    return said


def test_the_same_check_silent_after_a_repair_proves_it() -> None:
    proven = repair(SHOWS, *WORN_THEN_SILENT)
    assert proven.proven and proven.chance >= beliefs().seen_at_least and not proven.proving_words


@pytest.mark.parametrize(
    ("shown", "checks"),
    [
        (SHOWS, WORN_THEN_SILENT[:1]),
        (SHOWS, (WORN_THEN_SILENT[0], check_done(gauge(CARRIER, 4.0), number=2))),
        (SHOWS_NOT, WORN_THEN_SILENT),
        (SHOWS, (WORN_THEN_SILENT[0], replace(WORN_THEN_SILENT[1], hidden=(Hidden(CARRIER, "grease"),)))),
    ],
    ids=["nothing done since", "it moves again", "where it does not show", "hidden by grease"],
)
def test_a_repair_is_not_proven_by(shown: dict[int, float], checks: tuple[CheckDone, ...]) -> None:
    said = repair(shown, *checks)
    assert not said.proven and said.chance < beliefs().seen_at_least and said.proving_words


@pytest.mark.parametrize("hider", load_circumstances().hidden)
def test_what_hides_a_part_weakens_what_its_silence_proves(hider: Hider) -> None:
    """Silence of a part that shows its play if it is not hidden leaves it the odds of being hidden and worn."""
    silent = check_done(gauge(CARRIER, 0.2))
    clear = judged(JAM_NUT, {0: 9.0}, silent).marginal(JAM_NUT)
    hidden = judged(JAM_NUT, {0: 9.0}, replace(silent, hidden=(Hidden(JAM_NUT, hider),))).marginal(JAM_NUT)
    odds = np.exp(-1.0) * load_circumstances().hidden[hider]
    assert clear < 0.01
    assert hidden == pytest.approx(odds / (1.0 + odds), abs=0.01)


def test_what_hides_a_part_takes_as_much_from_the_chance_to_have_seen_it() -> None:
    (states,), table = states_of(CARRIER), table_of(CARRIER, SHOWS)
    done = check_done(gauge(CARRIER, 0.2))
    clear, hidden = (
        chance_seen(clues_of([d], {1: table}, [states], beliefs())[0], states, "axial", beliefs())
        for d in (done, replace(done, hidden=(Hidden(CARRIER, "rust"),)))
    )
    share = (1.0 - load_circumstances().hidden["rust"]) / (1.0 - beliefs().masked_chance)
    assert hidden == pytest.approx(share * clear)


def test_what_hides_one_part_takes_nothing_from_another() -> None:
    silent = check_done(gauge(CARRIER, 0.2))
    hidden = replace(silent, hidden=(Hidden(BUSHING, "grease"),))
    assert judged(JAM_NUT, SHOWS, hidden).marginal(JAM_NUT) == judged(JAM_NUT, SHOWS, silent).marginal(JAM_NUT)


def test_an_indicator_that_is_absent_lowers_and_one_that_is_there_raises_most_the_states_past_the_reject() -> None:
    (states,) = states_of(CARRIER)
    odds = {}
    for present in (True, False):
        there = replace(seen(CARRIER, "wear-indicator-flush"), present=present)
        (weighed,), odds[present] = with_conditions([states], {CARRIER: -1.0}, [there])
        beyond = states.clearance(0) >= states.reject[0]
        assert weighed.weight.sum() == pytest.approx(1.0)
        assert (weighed.weight[beyond].sum() > states.weight[beyond].sum()) == present
    assert odds[False][CARRIER] < -1.0 < odds[True][CARRIER]


def test_a_condition_that_says_nothing_of_play_changes_no_odds() -> None:
    (states,) = states_of(CARRIER)
    (weighed,), odds = with_conditions([states], {CARRIER: -1.0}, [seen(CARRIER, "bent")])
    assert odds == {CARRIER: -1.0} and weighed is states


def test_a_group_that_was_passed_proves_a_part_sound_where_it_could_show_and_nothing_where_it_could_not() -> None:
    passed = check_done(gauge(BEARING, 0.2), passed=(CARRIER,))
    unread = check_done(gauge(BEARING, 0.2))
    by_itself = check_done(gauge(BEARING, 0.2), by_hand(CARRIER, "none"))
    shown, hidden = {0: 2.0}, SHOWS_NOT
    group, hand = judged(CARRIER, shown, passed), judged(CARRIER, shown, by_itself)
    prior = np.exp(-1.0) / (1.0 + np.exp(-1.0))
    assert judged(CARRIER, shown, unread).marginal(CARRIER) == pytest.approx(prior)
    # Less care for each joint than a call of its own.
    assert hand.marginal(CARRIER) < group.marginal(CARRIER) < 0.5 * prior
    assert judged(CARRIER, hidden, passed).marginal(CARRIER) == pytest.approx(prior)


def test_a_part_that_was_passed_and_read_counts_by_its_reading_alone() -> None:
    (states,), table = states_of(CARRIER), table_of(CARRIER, SHOWS)
    clues = clues_of([check_done(gauge(CARRIER, 0.2), passed=(CARRIER,))], {1: table}, [states], beliefs())
    assert [clue.reading.by for clue in clues] == ["gauge"]


@pytest.mark.parametrize(
    ("by", "sound", "worn"), [("ear", "silent", "knock"), ("feel", "rising", "dead zone"), ("group", "none", "moved")]
)
def test_each_way_of_looking_raises_and_lowers(by: By, sound: Grade, worn: Grade) -> None:
    prior = judged(JAM_NUT, SHOWS).marginal(JAM_NUT)
    lower, higher = (judged(JAM_NUT, {0: 3.0}, check_done(graded(by, g))).marginal(JAM_NUT) for g in (sound, worn))
    assert lower < 0.6 * prior and higher > 1.4 * prior


def test_one_watch_read_by_gauge_ear_and_feel_in_one_check_tells_more_than_each_alone() -> None:
    ways = (gauge(CARRIER, 2.4), graded("ear", "knock"), graded("feel", "dead zone"))
    alone = [judged(JAM_NUT, SHOWS, check_done(reading)).marginal(JAM_NUT) for reading in ways]
    assert judged(JAM_NUT, SHOWS, check_done(*ways)).marginal(JAM_NUT) > max(alone)


def told(present: bool, *readings: Reading) -> Posterior:
    """Two parts that may cause one symptom; only the jam nut shows, at the carrier's watch."""
    states = states_of(JAM_NUT, BUSHING)
    table = made_table({JAM_NUT: growing(states[0], {0: 3.0}), BUSHING: growing(states[1], {3: 1.0})})
    clues = clues_of([check_done(*readings)], {1: table}, states, beliefs())
    symptom = Symptom("knocks", present, {JAM_NUT: 0.5, BUSHING: 0.5}, 0.05)
    return posterior(states, Prior(dict.fromkeys((JAM_NUT, BUSHING), -2.0), (symptom,)), clues, beliefs())


def test_one_cause_that_is_proven_explains_the_other_away_and_one_that_is_ruled_out_leaves_it_to_the_other() -> None:
    play, silence = [gauge(CARRIER, 4.0), graded("ear", "knock")], [gauge(CARRIER, 0.2), graded("ear", "silent")]
    plain, proven, ruled_out = told(True), told(True, *play), told(True, *silence)
    assert proven.marginal(JAM_NUT) > 0.95 and ruled_out.marginal(JAM_NUT) < 0.1
    assert proven.marginal(BUSHING) < plain.marginal(BUSHING) < ruled_out.marginal(BUSHING)
    assert proven.marginal(BUSHING) == pytest.approx(1.0 / (1.0 + np.exp(2.0)), abs=0.08)


def test_exact_a_symptom_that_is_absent_makes_no_cause_explain_another() -> None:
    """Absence is a product over the parts, so that what is found of one changes nothing of another."""
    with_play, without = told(False, gauge(CARRIER, 4.0)), told(False)
    assert with_play.marginal(BUSHING) == pytest.approx(without.marginal(BUSHING), abs=1e-9)
    assert without.marginal(BUSHING) < 1.0 / (1.0 + np.exp(2.0))


PARTS = [s.part for s in states_of("idler-arm", "lower-ball-joint-left", "lower-ball-joint-right")]


def symptom(kind: Any, id: str, wheel: Any = None, *, present: bool = True) -> SymptomSeen:
    """A symptom as recorded."""
    return SymptomSeen(1, kind, id, wheel, "Ines Calder", "", present)


def test_a_symptom_may_come_from_the_parts_that_the_catalogue_names_by_their_strongest_weight() -> None:
    (found,) = symptoms_of([symptom("complaint", "wanders")], PARTS)
    figures, known = load_circumstances().symptoms["complaint"], load_catalogue().complaints["wanders"]
    for part in PARTS:
        named = [c.weight for c in known.causes if {part.kind.id, part.kind.group} & set(c.points_to)]
        expected = max((figures.by_weight[weight] for weight in named), default=None)
        assert found.causes.get(part.id) == expected
    assert found.causes and (found.otherwise, found.present) == (figures.otherwise, True)


def test_a_tires_wear_speaks_less_of_the_other_sides_parts() -> None:
    (found,) = symptoms_of([symptom("tire", "cupped", "front-left")], PARTS)
    left, right = found.causes["lower-ball-joint-left"], found.causes["lower-ball-joint-right"]
    assert right == pytest.approx(left * load_circumstances().symptoms["tire"].elsewhere) and right < left


WORDS = "It clunks when it brakes, and it wanders on the highway."


def test_a_customers_words_are_one_symptom_with_the_most_of_the_complaints_that_they_are_like() -> None:
    recorded = replace(visit(), complaint=WORDS)
    (said,) = symptoms_in_words(recorded, PARTS)
    meant = complaints_meant(WORDS, load_catalogue().complaints.values())
    assert {"clunk-braking", "wanders"} <= {complaint.id for complaint in meant}
    each = symptoms_of([symptom("complaint", complaint.id) for complaint in meant], PARTS)
    for part in PARTS:
        assert said.causes.get(part.id, 0.0) == max(one.causes.get(part.id, 0.0) for one in each)
    assert (said.words, said.present) == (WORDS, True)


def test_words_count_where_no_complaint_is_written_down_as_a_symptom() -> None:
    recorded = replace(visit(), complaint=WORDS)
    noticed = replace(recorded, symptoms=(symptom("road-test", "wanders"),))
    written = replace(recorded, symptoms=(symptom("complaint", "wanders", present=False),))
    assert symptoms_in_words(recorded, PARTS) == symptoms_in_words(noticed, PARTS) != ()
    assert symptoms_in_words(written, PARTS) == ()
    assert symptoms_in_words(replace(visit(), complaint="annual inspection"), PARTS) == ()
    assert symptoms_in_words(visit(), PARTS) == ()


def test_what_is_told_and_noticed_too_is_one_symptom_with_two_witnesses() -> None:
    recorded = replace(visit(), symptoms=(symptom("complaint", "wanders"), symptom("road-test", "wanders")))
    (pair,) = witnessed(recorded, PARTS)
    assert isinstance(pair, Witnesses) and pair.symptoms == symptoms_of(recorded.symptoms, PARTS)
    in_words = replace(visit(), complaint=WORDS, symptoms=(symptom("road-test", "wanders"),))
    (of_words,) = witnessed(in_words, PARTS)
    assert isinstance(of_words, Witnesses) and [one.words for one in of_words.symptoms][1] == WORDS


def test_other_complaints_and_a_tires_pattern_are_symptoms_of_their_own() -> None:
    recorded = replace(
        visit(),
        symptoms=(
            symptom("complaint", "wanders"), symptom("road-test", "clunk-braking"),
            symptom("tire", "cupped", "front-left"), symptom("tire", "cupped", "front-right"),
        ),
    )  # fmt: skip
    assert witnessed(recorded, PARTS) == symptoms_of(recorded.symptoms, PARTS)


def test_all_that_is_recorded_beside_movement_is_in_the_prior() -> None:
    states = states_of("idler-arm", "lower-ball-joint-left")
    recorded = replace(
        visit(conditions=[seen("lower-ball-joint-left", "torn-boot")]),
        complaint=WORDS, symptoms=(symptom("tire", "cupped", "front-left"),), use=Use(20.0, "hard", "heavy"),
    )  # fmt: skip
    _, prior = believed_before(recorded, states, beliefs())
    plain = plain_odds(states, beliefs())
    torn = np.log(load_circumstances().conditions["torn-boot"].odds_factor or 1.0)
    for s in states:
        use = log_use_factor(s.part, recorded.use, None)
        added = torn if s.part.id == "lower-ball-joint-left" else 0.0
        assert use > 0.0
        assert prior.log_odds[s.part.id] == pytest.approx(plain[s.part.id] + use + added)
    assert [one.words for one in prior.symptoms] == [load_catalogue().wear_patterns["cupped"].name, WORDS]


@pytest.mark.parametrize(
    ("part", "use", "odometer_km", "factor"),
    [
        ("lower-ball-joint-left", Use(), None, 1.0),
        ("lower-ball-joint-left", Use(), 160_000.0, 1.0),
        ("lower-ball-joint-left", Use(), 80_000.0, 0.5**0.8),
        ("lower-ball-joint-left", Use(), 0.0, 0.3),
        ("lower-ball-joint-left", Use(), 4e6, 3.0),
        ("lower-ball-joint-left", Use(age_years=30.0), None, 1.0),
        ("lower-arm-front-bushing-left", Use(age_years=18.0), 4e6, 1.5),
        ("lower-ball-joint-left", Use(work="hard"), 80_000.0, 1.6 * 0.5**0.8),
    ],
)
def test_exact_use_multiplies_the_odds_by_distance_or_age_and_by_work(
    part: str, use: Use, odometer_km: float | None, factor: float
) -> None:
    """Distance for what slides, age for rubber, each within its bounds."""
    assert np.exp(log_use_factor(yard_pickup().parts[part], use, odometer_km)) == pytest.approx(factor)


def test_rust_takes_those_joints_more_that_it_takes_badly() -> None:
    parts = [part for part in yard_pickup().wearable if part.figure is not None]
    for rust in ("light", "heavy"):
        factors = {p.figure.corrosion_sensitivity or 0: log_use_factor(p, Use(rust=rust), None) for p in parts}
        by_sensitivity = [factors[sensitivity] for sensitivity in sorted(factors)]
        assert by_sensitivity == sorted(by_sensitivity) and by_sensitivity[-1] > by_sensitivity[0] >= 0.0
