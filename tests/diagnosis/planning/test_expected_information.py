"""How much a check would tell, against every outcome counted out."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.inference.counted import Counted
from looseends.diagnosis.inference.explanation import Explanation, Posterior, normalized
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.inference.prior import Prior
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.grade import grade_chances
from looseends.diagnosis.planning.information import entropy, expected_information, told_by
from looseends.diagnosis.planning.next_check import next_checks
from looseends.diagnosis.planning.outcomes import _counted_once
from looseends.diagnosis.planning.stands import change_minutes
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.vehicle.setup import Setup
from tests.diagnosis.enumeration import Case, grade_chance
from tests.diagnosis.made_tables import (
    CARRIER,
    FOLLOWER,
    IDLER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
    beliefs,
    check_done,
    growing,
    made_table,
    states_of,
)
from tests.diagnosis.made_visits import made_diagnosed

WATCHES = ("first", "second")
THREE = ("tie-rod-jam-nut-right", "steering-gear")
"""Parts with one axis, beside the jam nut."""


def small(share: float, log_odds: float = 0.0) -> tuple[Posterior, ResponseTable, Case]:
    """Two sets (nothing worn, the jam nut worn) and two watches that show a share of its clearance."""
    states = states_of(JAM_NUT)
    change = growing(states[0], {0: share, 1: 0.6 * share}, watches=2)
    table = made_table({JAM_NUT: change}, watches=WATCHES, sound=[[0.1, 0.05], [0.3, 0.1]])
    odds = {JAM_NUT: log_odds}
    return posterior(states, odds, (), beliefs()), table, Case({JAM_NUT: states[0]}, odds, table, (), {}, beliefs())


def by_counting(case: Case, worn_chance: float) -> float:
    """Information [bits] over all 16 outcomes."""
    states = case.states[JAM_NUT]
    chances = {}
    for worn in (False, True):
        sets = [((JAM_NUT, s),) for s in range(len(states.weight))] if worn else [()]
        weights = states.weight if worn else np.ones(1)
        for watch in range(2):
            for grade in range(4):
                chances[worn, watch, grade] = sum(
                    float(w) * _chance(case, s, watch, grade) for w, s in zip(weights, sets, strict=True)
                )
    prior = {True: worn_chance, False: 1.0 - worn_chance}
    first = 0.0
    for worn, (a, b) in product((False, True), product(range(4), repeat=2)):
        own = chances[worn, 0, a] * chances[worn, 1, b]
        mixed = sum(prior[w] * chances[w, 0, a] * chances[w, 1, b] for w in (False, True))
        bits = np.log2(own / mixed)
        first += prior[worn] * own * bits
    return float(first)


def _chance(case: Case, worn: tuple[tuple[str, int], ...], watch: int, grade: int) -> float:
    """Chance of a grade; cells of severity play no part in planning."""
    change = case.table.singles[worn[0][0]][worn[0][1], watch] if worn else np.zeros(2)
    b = case.beliefs
    deviation = np.sqrt(case.table.spread[watch] ** 2 + b.floor_mm**2 + (b.share_of_change * change) ** 2)
    total, free = zip((case.table.sound[watch] + change).tolist(), deviation.tolist(), strict=True)
    return grade_chance(grade, "hand", total, free)


@pytest.mark.parametrize("share", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("log_odds", [0.0, -2.0])
def test_independent_information_as_by_counting_every_outcome(share: float, log_odds: float) -> None:
    found, table, case = small(share, log_odds)
    counted = by_counting(case, found.marginal(JAM_NUT))
    assert counted > 0.02
    assert expected_information(found, table, beliefs()) == pytest.approx(counted, abs=2e-3)


def test_exact_no_information_where_all_sets_look_alike() -> None:
    found, table, _ = small(0.0)
    assert expected_information(found, table, beliefs()) == 0.0


def test_exact_never_more_information_than_there_is_doubt() -> None:
    """Two sets as likely as each other leave one bit; a watch that tells them apart tells nearly all of it."""
    found, table, _ = small(50.0)
    assert 0.8 < expected_information(found, table, beliefs()) <= 1.0 + 1e-9


def three_shown() -> tuple[Posterior, ResponseTable]:
    """Three parts and five watches."""
    states = states_of(CARRIER, JAM_NUT, FOLLOWER)
    changes = {
        s.part.id: growing(s, {number: 0.8, number + 1: 0.5, 4: 0.4}, watches=5) for number, s in enumerate(states)
    }
    table = made_table(changes, watches=tuple("abcde"), sound=[[0.3, 0.1]] * 5)
    return posterior(states, {CARRIER: -0.5, JAM_NUT: -1.0, FOLLOWER: -2.0}, (), beliefs()), table


@pytest.mark.parametrize("by", ["hand", "gauge"])
def test_independent_many_watches_are_drawn_near_to_every_outcome_counted(
    by: By, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Five watches of three parts, once drawn and once with all outcomes counted."""
    found, table = three_shown()
    drawn = told_by(found, {ON_ARM: table}, beliefs(), by)[ON_ARM]
    monkeypatch.setattr("looseends.diagnosis.planning.outcomes._COUNTED", 10**6)
    counted = told_by(replace(found), {ON_ARM: table}, beliefs(), by)[ON_ARM]
    assert counted.bits > 0.3
    assert drawn.bits != counted.bits
    assert drawn.bits == pytest.approx(counted.bits, abs=0.06)
    for part, share in counted.settles.items():
        assert drawn.settles[part] == pytest.approx(share, abs=0.06)


@pytest.mark.parametrize("by", ["hand", "gauge"])
def test_independent_outcomes_drawn_alike_and_counted_once_as_each_by_itself(
    by: By, monkeypatch: pytest.MonkeyPatch
) -> None:
    found, table = three_shown()
    once = told_by(found, {ON_ARM: table}, beliefs(), by)[ON_ARM]
    monkeypatch.setattr("looseends.diagnosis.planning.outcomes._BITS", 0)
    each = told_by(replace(found), {ON_ARM: table}, beliefs(), by)[ON_ARM]
    assert once.bits == pytest.approx(each.bits, rel=1e-12)
    assert dict(once.settles) == pytest.approx(dict(each.settles), rel=1e-9)


def test_invariant_outcomes_counted_once_are_all_that_were_drawn() -> None:
    """Of two setups with three watches and two."""
    call = np.random.default_rng(3).integers(0, 4, (400, 5))
    call[:200] = call[200:]
    found, share, counts = _counted_once(call, np.array([3, 5]), 4)
    shares = np.split(share, np.cumsum(counts)[:-1])
    for drawn, once, own in zip((call[:, :3], call[:, 3:]), found, shares, strict=True):
        assert len({tuple(row) for row in once.tolist()}) == len(once) == len(own)
        for row, part in zip(once, own, strict=True):
            assert part == pytest.approx(np.mean((drawn == row).all(axis=1)))
        assert own.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("moved", [(0, 1, 2), (0, 2), (1,)])
def test_independent_a_set_of_three_parts_as_by_counting_all_their_states(
    moved: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing worn or three parts worn, as likely; some of the three move the one watch."""
    monkeypatch.setattr("looseends.diagnosis.planning.averaged._STATES", 63)
    monkeypatch.setattr("looseends.diagnosis.planning.averaged._TOGETHER", 10**6)
    states = states_of(JAM_NUT, *THREE)
    changes = {s.part.id: growing(s, {0: 0.3 + 0.1 * n}, watches=1) for n, s in enumerate(states) if n in moved}
    table = made_table(changes, watches=("only",), sound=[[0.2, 0.1]])
    names = tuple(s.part.id for s in states)
    counts = [len(s.weight) for s in states]
    places = np.array(list(product(*map(range, counts))))
    weights = np.prod([s.weight[places[:, n]] for n, s in enumerate(states)], axis=0)
    sets = (Explanation.sound(), Explanation(names, 0.0, Counted(places, weights)))
    found = normalized(sets, {s.part.id: s for s in states}, {}, Prior({}))
    change = sum(changes[names[n]][places[:, n], 0] for n in moved)
    spread = np.sqrt(table.spread[0] ** 2 + beliefs().floor_mm ** 2 + (beliefs().share_of_change * change) ** 2)
    hand = load_catalogue().observers["hand"]
    worn = weights @ grade_chances(hand, table.sound[0] + change, spread)
    sound = grade_chances(hand, table.sound[0], np.hypot(table.spread[0], beliefs().floor_mm))
    mixed = 0.5 * (worn + sound)
    counted = 0.5 * float(worn @ np.log2(worn / mixed) + sound @ np.log2(sound / mixed))
    assert counted > 0.05
    assert expected_information(found, table, beliefs()) == pytest.approx(counted, rel=1e-6)


def test_exact_of_a_single_part_in_doubt_all_information_is_about_it() -> None:
    """Two sets, nothing worn and the jam nut worn: bits about the set are bits about the part."""
    found, table, _ = small(3.0)
    told = told_by(found, {table.setup: table}, beliefs())[table.setup]
    assert told.settles[JAM_NUT] * float(entropy(np.array(found.marginal(JAM_NUT)))) == pytest.approx(told.bits)


def test_independent_all_setups_at_once_as_each_by_itself() -> None:
    states = states_of(CARRIER, JAM_NUT)
    tables = {
        ON_ARM: made_table({CARRIER: growing(states[0], {0: 1.0, 3: 0.5})}, setup=ON_ARM),
        IDLER: made_table({}, setup=IDLER, watches=WATCHES),
        ON_FRAME: made_table(
            {CARRIER: growing(states[0], {3: 0.7}), JAM_NUT: growing(states[1], {1: 2.0, 3: 2.0})}, setup=ON_FRAME
        ),
    }
    found = posterior(states, {CARRIER: -1.0, JAM_NUT: -1.0}, (), beliefs())
    at_once = told_by(found, tables, beliefs())
    assert at_once[IDLER].bits == 0.0
    for setup, table in tables.items():
        assert at_once[setup].bits == pytest.approx(expected_information(found, table, beliefs()), abs=1e-12)


def test_a_gauge_tells_more_where_play_is_small_beside_what_a_hand_feels() -> None:
    states = states_of(JAM_NUT)
    table = made_table(
        {JAM_NUT: growing(states[0], {0: 0.4}, watches=2)}, watches=WATCHES, sound=[[0.02, 0.01]] * 2, spread=0.01
    )
    found = posterior(states, {JAM_NUT: 0.0}, (), beliefs())
    hand, gauge = (expected_information(found, table, beliefs(), by) for by in ("hand", "gauge"))
    assert gauge > hand + 0.1


def both_tables(arm_share: float, frame_share: float) -> dict[Setup, ResponseTable]:
    """The jam nut seen in two supports, and a check under the frame that shows nothing."""
    change = growing(states_of(JAM_NUT)[0], {0: 20.0}, watches=2)
    shares = ((ON_ARM, arm_share), (ON_FRAME, frame_share), (IDLER, 0.0))
    return {s: made_table({JAM_NUT: share * change}, setup=s, watches=WATCHES) for s, share in shares}


def test_invariant_what_was_done_in_this_setup_is_not_advised_again() -> None:
    found = made_diagnosed(both_tables(1.0, 1.0), [JAM_NUT], check_done(setup=ON_ARM), odds={JAM_NUT: 0.0})
    advised = [advice.setup for advice in next_checks(found, load_policy(), count=20)]
    assert [setup for setup in advised if setup in found.tables] == [ON_FRAME]


def test_exact_a_change_of_support_costs_the_minutes_of_where_it_goes() -> None:
    found = made_diagnosed(both_tables(1.0, 1.0), [JAM_NUT], check_done(setup=IDLER), odds={JAM_NUT: 0.0})
    minutes = {a.setup: a.minutes for a in next_checks(found, load_policy(), count=20) if a.setup in found.tables}
    assert next(iter(minutes)) == ON_FRAME
    assert minutes[ON_ARM] - minutes[ON_FRAME] == load_catalogue().supports["arm"].minutes


def test_exact_a_policy_may_say_what_a_change_between_two_supports_takes() -> None:
    policy = replace(load_policy(), support_changes={("frame", "arm"): 1.5})
    found = made_diagnosed(both_tables(1.0, 1.0), [JAM_NUT], check_done(setup=IDLER), odds={JAM_NUT: 0.0})
    minutes = {advice.setup: advice.minutes for advice in next_checks(found, policy, count=20)}
    assert minutes[ON_ARM] - minutes[ON_FRAME] == 1.5


def test_exact_a_vehicle_that_has_just_come_in_stands_on_its_wheels() -> None:
    assert change_minutes(None, "wheels", load_policy()) == 0.0
    assert change_minutes(None, "frame", load_policy()) == load_catalogue().supports["frame"].minutes
    assert change_minutes("frame", "frame", load_policy()) == 0.0
