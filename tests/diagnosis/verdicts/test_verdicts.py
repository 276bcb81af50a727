"""One test per row of the verdict table, and the grounds that each verdict must name."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import resources

import numpy as np
import pytest

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.inference.before import with_conditions
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.observed.seen_by_any import chance_seen_by_any
from looseends.diagnosis.tables.states import part_states, plain_odds
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.all_read import AllRead
from looseends.diagnosis.verdicts.verdict import finding_of, verdict_of
from looseends.diagnosis.verdicts.verdict_word import GRAVITY_OF, PartEvidence
from looseends.inspection.types import ConditionSeen, Finding, Reading
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.vehicle import Part
from tests.diagnosis.made_tables import (
    CARRIER,
    FOLLOWER,
    TREAD,
    beliefs,
    by_hand,
    gauge,
    growing,
    made_clues,
    made_table,
    seen,
    states_of,
    yard_pickup,
)

OUTER_END = "outer-tie-rod-end-left"
SOUND = (gauge(CARRIER, 0.2), gauge(TREAD, 0.2))


def shows(part: str, share: float = 1.0) -> ResponseTable:
    """A table in which the carrier's watch and the tread show the part's leading clearance."""
    return made_table({part: growing(states_of(part)[0], {0: share, 3: share})})


def finding(
    part: str, *readings: Reading, table: ResponseTable | None = None, conditions: Sequence[ConditionSeen] = ()
) -> Finding:
    """The finding on one part, with only this part in doubt."""
    states = states_of(part)
    clues = made_clues(table or shows(part), states, *readings)
    found = posterior(*with_conditions(states, plain_odds(states, beliefs()), conditions), clues, beliefs())
    evidence = PartEvidence(yard_pickup().parts[part], states[0], AllRead(found, clues, beliefs()), conditions)
    made = finding_of(evidence)
    assert verdict_of(evidence) == made.verdict
    return made


def kinds(of: Finding) -> set[str]:
    """Kinds of grounds."""
    return {grounds.kind for grounds in of.grounds}


@pytest.mark.parametrize("condition", ["missing-cotter-pin", "stud-loose-in-taper", "separated"])
def test_unsafe_is_a_condition_of_that_class_that_was_seen(condition: str) -> None:
    found = finding(CARRIER, *SOUND, conditions=[seen(CARRIER, condition)])
    assert found.verdict == "unsafe"
    assert found.grounds[0].kind == "observation" and "Ines Calder" in found.grounds[0].words
    assert "Do not drive" in found.advice


def test_unsafe_never_comes_from_readings_alone() -> None:
    assert finding(CARRIER, gauge(CARRIER, 5.3), gauge(TREAD, 5.3), by_hand(CARRIER, "gross")).verdict == "replace"


def test_replace_is_play_beyond_the_limit_that_holds_with_the_limit_named() -> None:
    found = finding(CARRIER, gauge(CARRIER, 3.0), gauge(TREAD, 2.9))
    assert found.verdict == "replace"
    assert found.axis == "axial" and found.clearance_mm is not None and found.clearance_range_mm is not None
    assert found.clearance_range_mm[0] <= found.clearance_mm <= found.clearance_range_mm[1]
    (limit,) = [grounds for grounds in found.grounds if grounds.kind == "limit"]
    assert limit.status == "common practice" and "1.3 mm" in limit.words
    assert "confirm with the maker's limit" in limit.words
    assert "observation" in kinds(found)


def with_makers_limit(part: str, axial_mm: float) -> Part:
    """The part of a yard pickup whose maker states an axial limit."""
    text = (resources.files("looseends.vehicle") / "data/vehicles/yard-pickup.toml").read_text(encoding="utf-8")
    entry = f'lower-ball-joint = {{ axial_mm = {axial_mm}, procedure = "service manual, page 12" }}'
    assert text.count("[maker_limits]\n") == 1
    return parse_vehicle(text.replace("[maker_limits]\n", f"[maker_limits]\n{entry}\n"), "x.toml").parts[part]


@pytest.mark.parametrize(("makers_mm", "verdict"), [(None, "plan"), (0.5, "replace"), (1.2, "plan")])
def test_the_makers_limit_decides_and_is_named_as_the_makers(makers_mm: float | None, verdict: VerdictWord) -> None:
    """1.0 mm of play read twice: within the 1.3 mm of common practice, beyond a maker's 0.5 mm."""
    part = yard_pickup().parts[CARRIER] if makers_mm is None else with_makers_limit(CARRIER, makers_mm)
    states = (part_states(part, beliefs()),)
    table = made_table({CARRIER: growing(states[0], {0: 1.0, 3: 1.0})}, sound=[[0.05, 0.02]] * 4, spread=0.02)
    clues = made_clues(table, states, *[gauge(CARRIER, 0.95), gauge(TREAD, 0.95)] * 2)
    found = posterior(states, plain_odds(states, beliefs()), clues, beliefs())
    told = finding_of(PartEvidence(part, states[0], AllRead(found, clues, beliefs()), ()))
    assert told.verdict == verdict
    (limit,) = [grounds for grounds in told.grounds if grounds.kind == "limit"]
    if makers_mm is None:
        assert limit.status == "common practice" and "confirm with the maker's limit" in limit.words
    else:
        assert (limit.status, limit.source) == ("maker", "service manual, page 12")
        assert limit.words.startswith(f"The maker rejects at {makers_mm:g} mm axial (")
        assert "; common practice rejects at 0.8 mm radial (" in limit.words
        assert limit.words.lower().count("the maker") == 1


def test_replace_is_clear_play_in_a_joint_that_may_have_none_though_below_the_customary_reject() -> None:
    reading = 0.2 + 0.19 / 0.3
    found = finding(OUTER_END, *[gauge(CARRIER, reading), gauge(TREAD, reading)] * 2, table=shows(OUTER_END, 1.0 / 0.3))
    assert found.probability >= beliefs().worn_at_least
    assert found.axis == "radial"
    assert found.clearance_mm is not None and found.clearance_mm < 0.3
    assert found.verdict == "replace"


def test_the_size_is_that_of_the_axis_that_was_read() -> None:
    """An axis that no reading speaks of may be worn too, but its size is a guess and no finding."""
    for part in (CARRIER, OUTER_END):
        found = finding(part, *[gauge(CARRIER, 1.0), gauge(TREAD, 1.0)] * 2, table=shows(part))
        assert found.axis == states_of(part)[0].axes[0]


def test_independent_the_range_reaches_a_fifth_beyond_the_knots_that_hold_nine_tenths() -> None:
    (states,) = states_of(OUTER_END)
    readings = [gauge(CARRIER, 1.0), gauge(TREAD, 1.0)] * 2
    clues = made_clues(shows(OUTER_END), [states], *readings)
    found = posterior([states], plain_odds([states], beliefs()), clues, beliefs())
    weight: dict[float, float] = {}
    for state, part_of in enumerate(found.state_weights(OUTER_END)):
        if states.clearance(0)[state] > 0.0:
            weight[float(states.clearance(0)[state])] = weight.get(float(states.clearance(0)[state]), 0.0) + part_of
    all_of = sum(weight.values())
    within = [mm for mm in weight if sum(w for at, w in weight.items() if at <= mm) >= 0.05 * all_of]
    below = [mm for mm in weight if sum(w for at, w in weight.items() if at <= mm) >= 0.95 * all_of]
    assert finding(OUTER_END, *readings).clearance_range_mm == pytest.approx((0.8 * min(within), 1.2 * min(below)))


def test_replace_is_a_torn_boot_whether_or_not_there_is_play() -> None:
    found = finding(CARRIER, *SOUND, conditions=[seen(CARRIER, "torn-boot")])
    assert found.verdict == "replace"
    assert found.probability <= beliefs().sound_at_most
    assert found.grounds[0].status == "common practice"


def test_a_torn_boot_raises_the_odds_by_its_factor() -> None:
    (states,) = states_of(CARRIER)
    plain = plain_odds([states], beliefs())
    weighed, torn = with_conditions([states], plain, [seen(CARRIER, "torn-boot")])
    assert torn[CARRIER] - plain[CARRIER] == pytest.approx(1.6094, abs=1e-4)
    np.testing.assert_allclose(weighed[0].weight, states.weight)
    assert with_conditions([states], plain, [seen(FOLLOWER, "torn-boot")])[1] == plain


def test_plan_is_play_within_the_limit() -> None:
    found = finding(CARRIER, *[gauge(CARRIER, 1.0), gauge(TREAD, 1.0)] * 2)
    assert found.probability >= beliefs().worn_at_least
    assert found.clearance_mm is not None and found.clearance_mm < 1.3
    assert found.verdict == "plan"
    assert "limit" in kinds(found)


def test_plan_is_a_condition_of_that_class_on_a_part_that_is_else_sound() -> None:
    assert finding(CARRIER, *SOUND, conditions=[seen(CARRIER, "corroded")]).verdict == "plan"


def test_sound_asks_for_a_check_that_could_have_shown_it() -> None:
    found = finding(CARRIER, *SOUND)
    assert found.verdict == "sound"
    assert {"observation", "model"} <= kinds(found)


@pytest.mark.parametrize("share", [0.0, 0.02, 0.2, 0.4, 0.6, 1.0, 2.0])
def test_sound_is_said_only_above_the_chance_asked_for(share: float) -> None:
    states, table = states_of(CARRIER), shows(CARRIER, share)
    could = chance_seen_by_any(made_clues(table, states, *SOUND), states[0], "axial", beliefs())
    found = finding(CARRIER, *SOUND, table=table)
    assert (found.verdict == "sound") == (could >= 0.9)
    assert found.verdict in ("sound", "unproven")


def test_sound_names_the_axis_that_was_not_looked_for() -> None:
    assert any("radial play was not looked for" in grounds.words for grounds in finding(CARRIER, *SOUND).grounds)


def test_unproven_is_the_rest() -> None:
    for found in (finding(CARRIER), finding(CARRIER, *SOUND, table=made_table({}))):
        assert found.verdict == "unproven"
        assert "do not buy" in found.advice


def test_unproven_is_also_what_may_be_worn_and_may_not() -> None:
    found = finding(CARRIER, gauge(CARRIER, 0.75))
    assert beliefs().sound_at_most < found.probability < beliefs().worn_at_least
    assert found.verdict == "unproven"


def test_unproven_where_a_sound_joint_draws_the_same_grade() -> None:
    """A hand that calls every joint slight says nothing by calling this one so."""
    (states,) = states_of(CARRIER)
    table = made_table({CARRIER: growing(states, {0: 0.05})}, sound=[[0.4, 0.3]] * 4)
    assert finding(CARRIER, *[by_hand(CARRIER, "slight")] * 10, table=table).verdict == "unproven"


@pytest.mark.parametrize(
    ("conditions", "gravest"),
    [(["corroded", "torn-boot"], "replace"), (["torn-boot", "cracked", "corroded"], "unsafe"), (["corroded"], "plan")],
)
def test_the_gravest_of_several_counts(conditions: Sequence[str], gravest: VerdictWord) -> None:
    assert finding(CARRIER, *SOUND, conditions=[seen(CARRIER, c) for c in conditions]).verdict == gravest
    assert max(GRAVITY_OF, key=lambda word: GRAVITY_OF[word]) == "unsafe"


def test_a_part_that_mechanics_does_not_know_is_judged_by_what_is_seen() -> None:
    part, conditions = yard_pickup().parts["shock-absorber-left"], [seen("shock-absorber-left", "leaking")]
    nothing = posterior((), {}, (), beliefs())
    assert finding_of(PartEvidence(part, None, AllRead(nothing, (), beliefs()), conditions)).verdict == "replace"
    assert finding_of(PartEvidence(part, None, AllRead(nothing, (), beliefs()), ())).verdict == "unproven"


def test_exact_the_beliefs_hold_the_thresholds_of_the_verdict_table() -> None:
    assert beliefs().seen_at_least == 0.9
