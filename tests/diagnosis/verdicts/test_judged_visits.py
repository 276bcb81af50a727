"""Whole visits of the yard pickup on real tables: what proves nothing, what contradicts, what one wild reading does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.judge import judge_visit
from looseends.diagnosis.observed.detect import at_reject
from looseends.diagnosis.observed.evidence import clues_of
from looseends.diagnosis.tables.states import plain_odds, vehicle_states
from looseends.inspection.types import (
    GRADES,
    Finding,
    Hidden,
    Judgement,
    Reading,
    Replaced,
    SymptomSeen,
    Use,
)
from looseends.vehicle.loading import load_vehicles
from tests.diagnosis.conftest import Preparation
from tests.diagnosis.made_tables import (
    CARRIER,
    FOLLOWER,
    LOCKED,
    ON_ARM,
    ON_FRAME,
    WATCHES,
    beliefs,
    by_hand,
    check_done,
    gauge,
    seen,
    states_of,
    visit,
    yard_pickup,
)

Judge = Callable[..., Judgement]
NAME = "left lower ball joint"


def of_carrier(judgement: Judgement) -> list[Finding]:
    """The finding on the carrier, if there is one."""
    return [finding for finding in judgement.findings if finding.part == CARRIER]


def chance(judgement: Judgement, part: str = CARRIER) -> float:
    """Chance that a part is worn."""
    return next(suspect.probability for suspect in judgement.suspects if suspect.part == part)


def remarks(judgement: Judgement, kind: str) -> list[str]:
    """Words of the remarks of one kind."""
    return [remark.words for remark in judgement.remarks if remark.kind == kind]


def test_what_to_watch_next_is_on_this_vehicle(judged: Judge) -> None:
    """A check serves every layout, so that its own list names struts and king pins too."""
    judgement = judged(check_done(gauge(CARRIER, 0.1), setup=ON_FRAME, passed=[CARRIER]))
    watched = [watch.removesuffix(".axial") for check in judgement.next_checks for watch in check.watches]
    others = {part.id for vehicle in load_vehicles().values() for part in vehicle.wearable} - set(yard_pickup().parts)
    assert len(others) > 50 and CARRIER in watched
    assert [watch for watch in watched if watch in others] == []


def test_a_pass_with_the_spring_on_the_joint_proves_nothing(judged: Judge) -> None:
    """Held at the frame the springs press through the ball joints: whatever the play, the bar shows none."""
    judgement = judged(check_done(gauge(CARRIER, 0.1), setup=ON_FRAME, passed=[CARRIER]))
    (words,) = [w for w in remarks(judgement, "cannot show") if w.startswith(NAME)]
    assert "proves nothing" in words and "spring still presses" in words
    assert of_carrier(judgement) == []
    (unproven,) = [entry for entry in judgement.unproven if entry.part == CARRIER]
    assert (unproven.proving_check, unproven.proving_support) == ("bj-axial", "arm")


def test_the_same_reading_on_an_arm_stand_proves_it_sound(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 0.1)))
    (finding,) = of_carrier(judgement)
    assert finding.verdict == "sound"
    assert any("axial play with a chance of" in grounds.words for grounds in finding.grounds)
    assert CARRIER not in [entry.part for entry in judgement.unproven]
    assert remarks(judgement, "cannot show") == []


def test_play_on_an_arm_stand_is_found_and_sized(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 2.6), gauge("tread-lift", 2.7)))
    (finding,) = of_carrier(judgement)
    assert (finding.verdict, finding.axis) == ("replace", "axial")
    assert finding.clearance_mm == pytest.approx(2.5, abs=0.4)


def test_a_touching_stop_makes_the_arm_stand_a_locked_one(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 0.1), stop_gap_mm=0.0))
    assert of_carrier(judgement) == []
    assert any("rebound stop was touching" in words for words in remarks(judgement, "cannot show"))
    # With a gap the same reading proves the joint sound.
    assert of_carrier(judged(check_done(gauge(CARRIER, 0.1), stop_gap_mm=0.5)))[0].verdict == "sound"


def test_the_locked_setup_presses_the_stop_and_hides_the_play(preparation: Preparation) -> None:
    (states,) = states_of(CARRIER)
    shown = {}
    for setup in (LOCKED, ON_ARM):
        table = preparation.table(setup)
        change = table.singles.get(CARRIER, np.zeros((len(states.weight), len(table.watches), 2)))
        shown[setup] = at_reject(states, "axial", change)[table.watches.index(CARRIER), 0] / states.reject[0]
    assert preparation.table(LOCKED).prepared.stop_gaps["rebound-stop-left"] <= 0.0
    assert preparation.table(ON_ARM).prepared.stop_gaps["rebound-stop-left"] > 0.0
    # The rest of what it shows on the arm stand a sound joint shows already.
    assert shown[LOCKED] < 0.15 < 0.8 < shown[ON_ARM]


def test_no_gap_written_down_is_remarked_and_taken_as_open(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 0.1), stop_gap_mm=None))
    assert any("no gap at the rebound stop" in words for words in remarks(judgement, "policy"))
    assert of_carrier(judgement)[0].verdict == "sound"


def test_contradictory_readings_are_both_kept_and_remarked(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 0.1)), check_done(gauge(CARRIER, 2.6), number=2))
    (words,) = [w for w in remarks(judgement, "contradiction") if "both were kept" in w]
    assert "0.1 mm" in words and "2.6 mm" in words and "check 1" in words and "check 2" in words
    assert [reading.gauge_mm for check in judgement.visit.checks for reading in check.readings] == [0.1, 2.6]
    assert of_carrier(judgement) == []
    assert chance(judgement) <= 0.9


def test_a_contradiction_is_settled_by_doing_it_again(judged: Judge) -> None:
    again = [check_done(gauge(CARRIER, mm), number=number) for number, mm in enumerate((0.1, 2.6, 0.15), 1)]
    assert of_carrier(judged(*again))[0].verdict == "sound"
    again[2] = check_done(gauge(CARRIER, 2.5), number=3)
    again.append(check_done(gauge(CARRIER, 2.55), number=4))
    assert of_carrier(judged(*again))[0].verdict == "replace"


@pytest.mark.parametrize("high", [by_hand(CARRIER, "gross"), gauge(CARRIER, 11.0)])
def test_one_reading_of_play_keeps_a_part_from_being_called_sound(judged: Judge, high: Reading) -> None:
    assert of_carrier(judged(check_done(gauge(CARRIER, 0.1)), check_done(high, number=2))) == []


def test_readings_that_agree_are_not_called_a_contradiction(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 2.4)), check_done(gauge(CARRIER, 2.6), number=2))
    assert not any("both were kept" in words for words in remarks(judgement, "contradiction"))


@pytest.mark.parametrize("wild", [1.5, 2.6, 5.0, 11.0])
def test_never_confidently_wrong_by_one_wild_reading(judged: Judge, wild: float) -> None:
    """Two readings say sound, one says worn: the part must not be called worn."""
    checks = [check_done(gauge(CARRIER, mm), number=number) for number, mm in enumerate((0.15, wild, 0.2), 1)]
    judgement = judged(*checks)
    assert chance(judgement) <= 0.9
    assert all(finding.verdict != "replace" for finding in of_carrier(judgement))
    assert remarks(judgement, "contradiction")


def test_two_such_readings_would_have_called_it_worn(judged: Judge) -> None:
    """Without this the test above would pass on a diagnosis that never calls anything worn."""
    assert chance(judged(*(check_done(gauge(CARRIER, 2.6), number=number) for number in (1, 2)))) > 0.9


def test_a_visit_with_every_kind_of_evidence_is_judged_and_the_same_check_proves_its_repair(
    preparation: Preparation, judged: Judge
) -> None:
    """Told, heard, felt, passed, hidden and absent; the second check reads the new part and contradicts nothing."""
    loose = (Reading(CARRIER, "ear", None, "knock", ""), Reading(CARRIER, "feel", None, "dead zone", ""))
    before = check_done(gauge(CARRIER, 2.4), *loose, passed=[FOLLOWER])
    after = check_done(gauge(CARRIER, 0.15), Reading(CARRIER, "ear", None, "silent", ""), number=2)
    recorded = replace(
        visit(replace(before, hidden=(Hidden(FOLLOWER, "grease"),)), after),
        conditions=(replace(seen(FOLLOWER, "wear-indicator-flush"), present=False),),
        symptoms=(SymptomSeen(1, "road-test", "knock-small-bumps", None, "Ines Calder", ""),),
        complaint="Knocks on the ramp.",
        use=Use(14.0, "hard", "heavy"),
        odometer_km=148_200.0,
        replaced=(Replaced(1, CARRIER, 1, "Tom Orrin", ""),),
    )
    judgement = judge_visit(recorded, yard_pickup(), store=preparation.store)
    (repair,) = judgement.repairs
    assert chance(judgement) > 0.9 and of_carrier(judgement)[0].verdict == "replace"
    assert repair.proven and repair.chance >= beliefs().seen_at_least
    assert [said for said in remarks(judgement, "contradiction") if "they contradict" in str(said)] == []


def test_conditions_and_findings_stand_gravest_first(judged: Judge) -> None:
    judgement = judged(
        check_done(gauge(CARRIER, 0.1)),
        conditions=(seen("outer-tie-rod-end-left", "torn-boot"), seen("idler-arm", "box-or-bracket-loose")),
    )
    assert [finding.verdict for finding in judgement.findings][:2] == ["unsafe", "replace"]
    assert chance(judgement, "outer-tie-rod-end-left") > 2.0 * chance(judgement, "outer-tie-rod-end-right")


def test_the_leading_sets_are_solved_exactly(judged: Judge) -> None:
    judgement = judged(check_done(gauge(CARRIER, 2.6), gauge("upper-ball-joint-left", 1.4)))
    assert judgement.sets[0].solved_exactly
    assert len([s for s in judgement.sets if len(s.parts) == 2 and s.solved_exactly]) > 0
    assert sum(s.probability for s in judgement.sets) <= 1.0 + 1e-9


def test_a_visit_of_nothing_leaves_everything_unproven(judged: Judge) -> None:
    judgement = judged()
    assert judgement.findings == ()
    assert {entry.part for entry in judgement.unproven} == {s.part.id for s in vehicle_states(yard_pickup(), beliefs())}
    for suspect in judgement.suspects:
        assert suspect.probability <= suspect.prior + 1e-9


READINGS = st.one_of(
    st.builds(gauge, st.sampled_from(WATCHES), st.floats(0.0, 200.0)),
    st.builds(by_hand, st.sampled_from(WATCHES), st.sampled_from(GRADES)),
    st.builds(
        lambda watch, grade: Reading(watch, "eye", None, grade, ""), st.sampled_from(WATCHES), st.sampled_from(GRADES)
    ),
)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(on_arm=st.lists(READINGS, max_size=5), on_frame=st.lists(READINGS, max_size=3))
def test_invariant_any_evidence_gives_probabilities(
    preparation: Preparation, on_arm: Sequence[Reading], on_frame: Sequence[Reading]
) -> None:
    states = vehicle_states(yard_pickup(), beliefs())
    checks = [check_done(*on_arm), check_done(*on_frame, setup=ON_FRAME, number=2)]
    tables = {1: preparation.table(ON_ARM), 2: preparation.table(ON_FRAME)}
    clues = clues_of(checks, tables, states, beliefs())
    found = posterior(states, plain_odds(states, beliefs()), clues, beliefs())
    assert np.all(np.isfinite(found.probabilities)) and found.probabilities.sum() == pytest.approx(1.0)
    for s in states:
        assert -1e-12 <= found.marginal(s.part.id) <= 1.0 + 1e-12
        assert np.all(np.isfinite(found.state_weights(s.part.id)))
