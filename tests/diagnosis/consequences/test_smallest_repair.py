"""The smallest repair: against every choice written plainly, and on the yard pickup against its limits by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.consequences.ledger import ledger_of
from looseends.diagnosis.consequences.moving import next_to_go, play_moves
from looseends.diagnosis.consequences.passing import beyond_own_limit, limits_pass
from looseends.diagnosis.consequences.places import limit_looks
from looseends.diagnosis.consequences.repair import Repair, least_left, smallest_repair
from looseends.diagnosis.consequences.seen import to_replace_as_seen
from looseends.diagnosis.consequences.wear import Case, Cases, PartWear, known
from looseends.inspection.types import ConditionSeen
from tests.diagnosis.consequences.pickup_wear import (
    CARRIER,
    FOLLOWER,
    GEAR,
    IDLER,
    RIM_PER_MM,
    ROD,
    bench,
    place,
    radial,
)
from tests.vehicle.front_end import yard_pickup

FEDERAL = "us-federal"


def repair(jurisdiction: str = FEDERAL, anyway: tuple[str, ...] = (), **worn_mm: float) -> Repair:
    """The smallest repair of radial wear [mm]."""
    return smallest_repair(bench(), known(radial(**worn_mm)), jurisdiction, anyway=anyway)


def plainly(passes: dict[frozenset[int], float], play: dict[frozenset[int], float], n: int, gone: set[int]) -> set[int]:
    """What to replace: every choice of 0, 1, 2 ... players, the first count that passes, the least play among it."""
    for count in range(n + 1):
        good = []
        for replaced in combinations(range(n), count):
            left = frozenset(range(n)) - set(replaced)
            if gone <= set(replaced) and passes[left] >= 0.9:
                good.append((play[left], replaced))
        if good:
            return set(min(good)[1])
    return set(range(n))


@given(st.integers(0, 5), st.data())
@settings(max_examples=150)
def test_independent_no_choice_is_smaller_or_leaves_less(n: int, data: st.DataObject) -> None:
    size = 1 << n
    chance = data.draw(st.lists(st.sampled_from([0.2, 0.89, 0.9, 1.0]), min_size=size, max_size=size))
    play = data.draw(st.lists(st.floats(0.0, 9.0), min_size=size, max_size=size, unique=True))
    gone = data.draw(st.sets(st.integers(0, n - 1))) if n else set()
    sets = [frozenset(i for i in range(n) if k >> i & 1) for k in range(size)]
    bits = sum(1 << i for i in gone)
    left = least_left(np.array(chance), np.array(play), bits, 0.9)
    by_hand = plainly(dict(zip(sets, chance, strict=True)), dict(zip(sets, play, strict=True)), n, gone)
    assert sets[left] == frozenset(range(n)) - by_hand


def test_exact_wear_within_every_limit_needs_no_repair() -> None:
    """0.6 mm of 0.8 mm at the ball joint, 0.7 mm of 0.9 mm at the idler."""
    found = repair(lower_ball_joint_left=0.6, idler_arm=0.7)
    assert (found.parts, found.forced, found.chance, found.reached) == ((), (), 1.0, True)
    assert found.tried == 4


def test_exact_a_joint_past_its_own_limit_is_replaced_and_its_neighbour_stays() -> None:
    found = repair(lower_ball_joint_left=0.9, idler_arm=0.7)
    assert found.parts == found.forced == (CARRIER,)
    assert found.remains_mm["tread-left"] == pytest.approx(
        ledger_of(bench(), known(radial(idler_arm=0.7)), place("tread-left")).total_mm
    )


def test_exact_a_joint_that_may_have_no_play_is_replaced_within_its_reject_clearance() -> None:
    """A rod end's reject is 0.3 mm; a sound one has up to 0.05 mm."""
    rod = yard_pickup().parts[ROD]
    assert [beyond_own_limit(rod, PartWear(radial_mm=mm)) for mm in (0.04, 0.06, 0.31)] == [False, True, True]
    follower = yard_pickup().parts[FOLLOWER]
    assert [beyond_own_limit(follower, PartWear(axial_mm=mm)) for mm in (0.9, 1.1)] == [False, True]


def test_exact_play_within_each_joints_limit_may_still_be_too_much_for_the_linkage() -> None:
    """49 CFR 570.7(b), laid low on purpose: with 2.5 mm at the tread the gear within its own 0.8 mm has to go, for it
    costs more there than the carrier, which the hanging wheel's spring presses shut."""
    worn = radial(steering_gear=0.79, lower_ball_joint_left=0.79)
    look = next(look for look in limit_looks(yard_pickup(), FEDERAL) if look.look.setup.side == "left")
    chances = {}
    for value in (9.0, 2.5):
        kept = limits_pass(bench(), known(worn), [replace(look, value_mm=value)])
        chances[value] = [bool(passes) for passes in next(iter(kept.values()))[0]]
    parts = known(worn).parts
    left = least_left(np.array(chances[2.5], dtype=float), np.array([0.0, 1.0, 1.0, 2.0]), 0, 0.9)
    assert chances[9.0] == [True] * 4
    assert [part for bit, part in enumerate(parts) if not left >> bit & 1] == [GEAR]


def test_published_two_inches_at_the_rim_decide_which_part_goes() -> None:
    """49 CFR 570.7(a): 50.8 mm, 2.4 mm at the arm. A gear that lost 3 mm is past it, one that lost 2 mm is not."""
    (lash,) = [look for look in limit_looks(yard_pickup(), FEDERAL) if look.limit.id == "us-570-7a-lash-16"]
    assert lash.value_mm == 50.8
    for mm, kept in ((2.0, True), (3.0, False)):
        (travel,) = bench().travel(lash.look, [{(GEAR, "radial"): mm}])
        assert lash.passes(float(travel[0]), float(travel[1])) is kept
        assert kept is (RIM_PER_MM * mm < 50.8)


def test_exact_a_limit_decides_by_what_it_rejects() -> None:
    looks = limit_looks(yard_pickup(), FEDERAL)
    tread = next(look for look in looks if look.limit.id == "us-570-7b-linkage")
    idler = next(look for look in looks if look.limit.id == "idler-end-total")
    assert (tread.limit.compares, idler.limit.compares) == ("free travel", "reading")
    assert tread.passes(20.0, 6.35) and not tread.passes(20.0, 6.36)
    assert not idler.passes(6.01, 0.0) and idler.passes(6.0, 0.0)
    assert {look.look.setup.side for look in looks if look.limit.id == "us-570-7b-linkage"} == {"left", "right"}


def test_exact_another_jurisdiction_has_its_own_limits() -> None:
    assert {entry.limit.limit.id for entry in repair("us-wa", idler_arm=0.7).limits} >= {"us-wa-linkage"}


def test_exact_what_was_seen_on_a_part_decides_whatever_it_lets_move() -> None:
    found = repair(anyway=(IDLER, "sway-bar-link-left"), idler_arm=0.7, lower_ball_joint_left=0.6)
    assert found.parts == (IDLER, "sway-bar-link-left")
    assert set(found.forced) == {IDLER, "sway-bar-link-left"}


def test_exact_conditions_that_ask_for_a_part_are_those_called_unsafe_or_replace() -> None:
    seen = [ConditionSeen(1, ROD, "torn-boot", "x", ""), ConditionSeen(2, IDLER, "corroded", "x", "")]
    assert to_replace_as_seen(seen) == (ROD,)


def test_exact_a_chance_of_passing_below_nine_tenths_is_not_enough() -> None:
    """In 0.2 of the weight the carrier is past its 0.8 mm, in 0.05 only."""
    for weight, parts in ((0.2, (CARRIER,)), (0.05, ())):
        far, near = radial(lower_ball_joint_left=1.0), radial(lower_ball_joint_left=0.6)
        cases = Cases(
            (Case(far, weight), Case(near, 1.0 - weight)), 1.0, {frozenset([CARRIER]): 1.0}, {CARRIER: 1.0}, 0.0
        )
        found = smallest_repair(bench(), cases, FEDERAL)
        assert found.parts == parts
        assert found.chance == pytest.approx(1.0 if parts else 1.0 - weight)


def test_exact_play_moves_to_the_worn_part_that_stays() -> None:
    cases = known(radial(outer_tie_rod_end_left=1.5, lower_ball_joint_left=0.75))
    ledgers = [ledger_of(bench(), cases, place("tread-left"))]
    (move,) = play_moves(bench(), ledgers, [ROD])
    assert (move.part, move.worn) == (CARRIER, True)
    assert move.left_mm == pytest.approx(ledgers[0].remains_mm([ROD]))
    assert move.share_mm == pytest.approx(move.left_mm - ledgers[0].sound_mm)
    gone = next_to_go(bench(), cases, [ROD])
    assert gone is not None and gone.part == CARRIER
    assert gone.used == pytest.approx(0.75 / 0.8)


def test_exact_with_nothing_worn_left_it_is_the_sound_part_that_has_most() -> None:
    """Most of what a sound wheel tips is its adjusted bearing: taken away, the top of the tire has it no more."""
    cases = known(radial(outer_tie_rod_end_left=1.5))
    ledgers = [ledger_of(bench(), cases, place("tire-top-left"))]
    (move,) = play_moves(bench(), ledgers, [ROD])
    assert (move.part, move.worn) == ("wheel-bearing-left", False)
    tight = {("wheel-bearing-left", "radial"): 0.0, ("wheel-bearing-left", "axial"): 0.0}
    (travel,) = bench().travel(place("tire-top-left").look, [tight])
    assert move.share_mm == pytest.approx(ledgers[0].sound_mm - travel[1])
    assert next_to_go(bench(), cases, [ROD]) is None
