"""The next step, planned anew after each reading, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain, combinations

import numpy as np
import pytest

from looseends.diagnosis.next_step import Enough, Step, next_step, raised_by_complaint
from looseends.diagnosis.planning.information import Told
from looseends.diagnosis.planning.next_plan import Plan, best_plan, whole_plan, worth_of
from looseends.diagnosis.planning.stands import change_minutes, check_minutes, look_minutes
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import CheckDone, NotChecked, Reading
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import (
    CARRIER,
    ON_ARM,
    ON_FRAME,
    TREAD,
    by_hand,
    check_done,
    gauge,
    growing,
    made_table,
    states_of,
)
from tests.diagnosis.made_visits import made_diagnosed

ARM = "idler-arm"
LINK = "sway-bar-link-left"
WEAK = Setup("wheel126", "arm", "left", "held", "off", 0.0)
ODDS = {CARRIER: -1.0, ARM: -2.8}


def tables(frame_share: float = 1.0) -> dict[Setup, ResponseTable]:
    """The carrier shows under the arms, the idler arm under the frame, the carrier also in a poor check."""
    carrier, arm = states_of(CARRIER, ARM)
    return {
        ON_ARM: made_table({CARRIER: growing(carrier, {0: 1.0, 3: 1.0})}, setup=ON_ARM),
        WEAK: made_table({CARRIER: growing(carrier, {0: 0.25})}, setup=WEAK),
        ON_FRAME: made_table({ARM: growing(arm, {0: frame_share, 3: frame_share})}, setup=ON_FRAME),
    }


def step(*checks: CheckDone, minutes: float | None = None, complaint: str = "") -> Step | Enough:
    """What to do after some checks, with carrier and idler arm in doubt."""
    found = made_diagnosed(tables(), [CARRIER, ARM], *checks, odds=ODDS, complaint=complaint)
    return next_step(found, minutes)


def silent(setup: Setup, number: int = 1) -> CheckDone:
    """A check in which a gauge showed nothing beyond a sound vehicle's, twice."""
    readings = [gauge(CARRIER, 0.2), gauge(TREAD, 0.2)]
    return check_done(*readings, *readings, setup=setup, number=number)


def taken(planned: Step | Enough) -> Setup:
    """The setup of a step."""
    assert isinstance(planned, Step)
    return planned.check.setup


def told(**settles: float) -> Told:
    """A setup that settles these shares of the doubt; p stands for a part."""
    return Told(1.0, settles)


def test_the_step_is_the_check_that_tells_about_what_is_open() -> None:
    assert taken(step()) in (ON_ARM, ON_FRAME)
    assert taken(step(silent(ON_FRAME))) == ON_ARM
    assert taken(step(silent(ON_ARM))) == ON_FRAME


def test_what_was_read_changes_what_comes_next() -> None:
    """Told silent, the idler arm is settled; told loose in one reading, it is looked at again in the other check."""
    loose = check_done(by_hand(CARRIER, "slight"), setup=ON_FRAME)
    others = {setup: table for setup, table in tables(3.0).items() if setup != ON_ARM}
    found = made_diagnosed(others, [CARRIER, ARM], loose, odds={**ODDS, ARM: -2.0})
    after_loose = next_step(found)
    assert isinstance(after_loose, Step) and ARM in after_loose.open_parts
    after_silence = step(silent(ON_FRAME))
    assert isinstance(after_silence, Step) and ARM not in after_silence.open_parts


def test_a_part_of_the_steering_is_left_with_less_suspicion_than_another() -> None:
    """At 1.5 % the idler arm is looked at, a sway bar link is not."""
    odds = {ARM: np.log(0.015 / 0.985), LINK: np.log(0.015 / 0.985)}
    over = {ON_FRAME: made_table({p: growing(states_of(p)[0], {0: 1.0}) for p in (ARM, LINK)}, setup=ON_FRAME)}
    found = next_step(made_diagnosed(over, [ARM, LINK], odds=odds))
    assert isinstance(found, Step | Enough) and found.open_parts == (ARM,)


def test_the_complaint_moves_its_parts_to_the_front() -> None:
    """A knock on small bumps points to the ball joint, not to the idler arm, which is as likely by itself."""
    odds = {CARRIER: -1.6, ARM: -1.0}
    firsts = []
    for words in ("", "knocks on small bumps", "purple elephants"):
        found = made_diagnosed(tables(), [CARRIER, ARM], odds=odds, complaint=words)
        assert (CARRIER in raised_by_complaint(found), ARM in raised_by_complaint(found)) == ("knocks" in words, False)
        firsts.append(taken(next_step(found)))
    assert firsts == [ON_FRAME, ON_ARM, ON_FRAME]


def test_stop_when_every_suspect_is_decided() -> None:
    worn = check_done(*[gauge(CARRIER, 3.0), gauge(TREAD, 2.9)] * 2, setup=ON_ARM, number=2)
    found = step(silent(ON_FRAME), worn)
    assert isinstance(found, Enough) and found.because == "decided"
    assert found.open_parts == ()
    assert "Enough is known to act" in found.words and found.words.count(".") == 1


def test_stop_when_the_minutes_are_used_up() -> None:
    least = check_minutes(WEAK) + change_minutes(None, "arm", load_policy())
    assert isinstance(step(minutes=least), Step)
    found = step(minutes=least - 0.5)
    assert isinstance(found, Enough) and found.because == "no time"
    assert set(found.open_parts) == {CARRIER, ARM}
    assert "left lower ball joint" in found.words and "2 parts stay unproven" in found.words


def test_stop_when_nothing_left_is_worth_its_minutes() -> None:
    found = next_step(made_diagnosed({WEAK: tables()[WEAK]}, [CARRIER, ARM], odds={CARRIER: -3.0, ARM: -3.0}))
    assert isinstance(found, Enough) and found.because == "little left"
    assert next_step(made_diagnosed({}, [CARRIER], odds=ODDS)) == replace(
        found, open_parts=(CARRIER,), unproven=(CARRIER,), words=next_step_words({}, [CARRIER])
    )


def next_step_words(over: dict[Setup, ResponseTable], parts: Sequence[str]) -> str:
    """The words of stopping with these tables."""
    found = next_step(made_diagnosed(over, parts, odds=ODDS))
    assert isinstance(found, Enough)
    return found.words


def test_a_part_that_could_not_be_checked_is_not_asked_for_again_and_stays_unproven() -> None:
    skipped = [NotChecked(1, CARRIER, "seized")]
    found = next_step(made_diagnosed(tables(), [CARRIER, ARM], silent(ON_FRAME), odds=ODDS, not_checked=skipped))
    assert isinstance(found, Enough) and found.because == "decided"
    assert found.unproven == (CARRIER,)


def test_minutes_left_are_those_after_the_step_with_the_stands_moved() -> None:
    found = step(silent(ON_FRAME), minutes=30.0)
    assert isinstance(found, Step)
    move = change_minutes("frame", "arm", load_policy())
    assert found.check.minutes == check_minutes(ON_ARM) + move
    assert found.minutes_left == 30.0 - found.check.minutes


def test_stands_move_once_for_several_checks() -> None:
    """Alone no check under the arms is worth the move; the three of them together are."""
    policy = load_policy()
    arms = [replace(ON_ARM, side="left"), replace(ON_ARM, side="right"), WEAK]
    entries = {ON_FRAME: told(a=0.34)} | {s: told(**{p: 0.5}) for s, p in zip(arms, "bcd", strict=True)}
    stakes = dict.fromkeys("abcd", 1.0)
    rate_here = 0.34 / check_minutes(ON_FRAME)
    alone = max(0.5 / (check_minutes(s) + change_minutes("frame", "arm", policy)) for s in arms)
    assert alone < rate_here
    plan = best_plan(entries, stakes, "frame", policy, None)
    assert plan is not None and plan.looks[0].support == "arm" and len(plan.looks) == 3


def by_counting(entries: dict[Setup, Told], stakes: dict[str, float], here: str, minutes: float) -> float:
    """The best rate over every set of checks under one support that fits."""
    best = 0.0
    for support in {setup.support for setup in entries}:
        setups = [setup for setup in entries if setup.support == support]
        for chosen in chain.from_iterable(combinations(setups, n) for n in range(1, len(setups) + 1)):
            took = change_minutes(here, support, load_policy()) + sum(map(check_minutes, chosen))
            if took <= minutes:
                best = max(best, worth_of([entries[s] for s in chosen], stakes) / took)
    return best


def drawn(rng: np.random.Generator, *, overlap: bool) -> tuple[dict[Setup, Told], dict[str, float]]:
    """Eight setups under three supports; each settles one part of its own, or several at random."""
    setups = [
        Setup(check, support, side, "held", "off", 0.0)
        for check, support in (("bj-axial", "arm"), ("wheel39", "frame"), ("wheel126", "arm"), ("rock", "wheels"))
        for side in ("left", "right")
    ]
    entries = {}
    for number, setup in enumerate(setups):
        parts = [f"p{k}" for k in range(8) if rng.random() < 0.5] if overlap else [f"p{number}"]
        entries[setup] = told(**{part: float(rng.uniform(0.05, 0.9)) for part in parts})
    return entries, {f"p{k}": float(rng.uniform(0.1, 3.0)) for k in range(8)}


@pytest.mark.parametrize("seed", range(12))
def test_independent_the_plan_has_the_best_rate_where_checks_tell_about_different_parts(seed: int) -> None:
    entries, stakes = drawn(np.random.default_rng(seed), overlap=False)
    plan = best_plan(entries, stakes, "frame", load_policy(), None)
    assert plan is not None
    assert plan.rate == pytest.approx(by_counting(entries, stakes, "frame", np.inf))


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("minutes", [12.0, 25.0, np.inf])
def test_independent_the_plan_comes_near_the_best_where_checks_tell_about_the_same(seed: int, minutes: float) -> None:
    entries, stakes = drawn(np.random.default_rng(seed), overlap=True)
    plan = best_plan(entries, stakes, "frame", load_policy(), minutes)
    counted = by_counting(entries, stakes, "frame", minutes)
    assert plan is not None
    assert 0.9 * counted <= plan.rate <= counted + 1e-12
    assert _takes(plan) <= minutes


def most_by_counting(entries: dict[Setup, Told], stakes: dict[str, float], here: str, minutes: float) -> float:
    """The most that any set of checks settles within some minutes, each support reached once."""
    best = 0.0
    for chosen in chain.from_iterable(combinations(entries, n) for n in range(1, len(entries) + 1)):
        supports = {setup.support for setup in chosen} - {here}
        moves = sum(change_minutes(here, support, load_policy()) for support in supports)
        if moves + sum(map(check_minutes, chosen)) <= minutes:
            best = max(best, worth_of([entries[s] for s in chosen], stakes))
    return best


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("minutes", [12.0, 20.0, 30.0])
@pytest.mark.parametrize("overlap", [False, True])
def test_independent_a_plan_for_some_minutes_settles_nearly_the_most_that_can_be(
    seed: int, minutes: float, overlap: bool
) -> None:
    """Over all supports: what no set of checks betters by more than a tenth, and never more than there is time for."""
    entries, stakes = drawn(np.random.default_rng(seed), overlap=overlap)
    plan = whole_plan(entries, stakes, "frame", load_policy(), minutes)
    counted = most_by_counting(entries, stakes, "frame", minutes)
    assert plan is not None and plan.minutes <= minutes
    assert 0.9 * counted <= plan.worth <= counted + 1e-9
    greedy = best_plan(entries, stakes, "frame", load_policy(), minutes)
    assert greedy is not None and plan.worth >= greedy.worth - 1e-9


def test_exact_a_plan_for_some_minutes_leaves_the_quickest_where_two_others_settle_more() -> None:
    """The check here tells most per minute, and leaves no time for the two under the arms that tell more in all."""
    arms = [replace(ON_ARM, side="left"), replace(ON_ARM, side="right")]
    entries = {ON_FRAME: told(a=0.9)} | {s: told(**{p: 0.9}) for s, p in zip(arms, "bc", strict=True)}
    minutes = change_minutes("frame", "arm", load_policy()) + sum(map(check_minutes, arms))
    stakes = {"a": 2.2, "b": 2.3, "c": 2.3}
    greedy = best_plan(entries, stakes, "frame", load_policy(), minutes)
    plan = whole_plan(entries, stakes, "frame", load_policy(), minutes)
    assert greedy is not None and greedy.looks == (ON_FRAME,)
    assert plan is not None and set(plan.looks) == set(arms)


def _takes(plan: Plan) -> float:
    return plan.change_minutes + sum(map(look_minutes, plan.looks))


def test_exact_two_checks_of_one_part_settle_what_the_other_leaves() -> None:
    assert worth_of([told(p=0.5), told(p=0.5)], {"p": 2.0}) == pytest.approx(1.5)
    assert worth_of([told(p=0.5), told(q=0.25)], {"p": 2.0, "q": 4.0}) == pytest.approx(2.0)
    assert worth_of([], {"p": 2.0}) == 0.0


def test_a_part_on_record_as_tight_without_proof_counts_as_much_as_one_that_the_complaint_raises() -> None:
    """The carrier was passed in a check that shows nothing of it; the step is the one that would."""
    states = states_of(CARRIER, LINK)
    over = {
        ON_FRAME: made_table({}, setup=ON_FRAME),
        ON_ARM: made_table({CARRIER: growing(states[0], {0: 1.0})}, setup=ON_ARM),
    }
    passed = check_done(Reading(CARRIER, "hand", None, "none", ""), setup=ON_FRAME, passed=[CARRIER])
    plain = check_done(Reading(TREAD, "hand", None, "none", ""), setup=ON_FRAME)
    worth = []
    for done in (plain, passed):
        found = next_step(made_diagnosed(over, [CARRIER, LINK], done, odds={CARRIER: -2.0, LINK: -2.0}))
        assert isinstance(found, Step)
        worth.append(found.worth)
    assert worth[1] == pytest.approx(load_policy().next.complaint_weight * worth[0])


def test_before_enough_is_said_what_nothing_explains_is_read_again() -> None:
    """The idler arm moves by more than the model lets any wear move it: it is a slip, or something else is wrong."""
    odds = {CARRIER: -7.0, ARM: -7.0}
    far_off = check_done(gauge(CARRIER, 40.0), gauge(TREAD, 0.2), setup=ON_FRAME)
    found = next_step(made_diagnosed(tables(), [CARRIER, ARM], far_off, odds=odds))
    assert isinstance(found, Step) and found.check.again
    assert (found.check.setup, found.check.watches) == (ON_FRAME, (CARRIER,))
    assert "more was read than anything known of this vehicle explains" in found.check.reason
    settled = check_done(gauge(CARRIER, 0.2), gauge(CARRIER, 0.2), setup=ON_FRAME, number=2)
    after = next_step(made_diagnosed(tables(), [CARRIER, ARM], far_off, settled, odds=odds))
    assert isinstance(after, Enough) and after.because == "decided"


def test_much_that_springs_beside_a_small_dead_zone_is_not_explained_by_a_sound_joint() -> None:
    """A joint that the spring presses into its worn socket moves and has no dead zone: it is read again."""
    odds = {CARRIER: -7.0, ARM: -7.0}
    for in_all, asked in ((0.25, False), (1.4, True)):
        check = check_done(gauge(CARRIER, in_all, 0.1), setup=ON_FRAME)
        found = next_step(made_diagnosed(tables(), [CARRIER, ARM], check, odds=odds))
        assert isinstance(found, Step) is asked
