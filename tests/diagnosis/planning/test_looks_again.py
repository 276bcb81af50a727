"""A look that leaves a part in doubt is asked for once more, and then counts for less than the first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.diagnosis.inference.before import looks_taken
from looseends.diagnosis.judge import finding_on, rules_of
from looseends.diagnosis.next_step import Step, next_step
from looseends.diagnosis.observed.look_history import Looked, look_after
from looseends.diagnosis.observed.looked import Look, looks_at, looks_done
from looseends.diagnosis.planning.looks_again import look_repeats
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import ConditionSeen, Replaced
from looseends.language import ENGLISH, Speech
from looseends.vehicle.loading import load_vehicles
from tests.diagnosis.made_tables import beliefs, seen
from tests.diagnosis.made_visits import taken_in, without_readings

BEARING, OTHER = "strut-mount-bearing-left", "strut-mount-bearing-right"
BINDS = seen(BEARING, "mount-bearing-binds")
KIND = load_vehicles()["harbour-runabout"].parts[BEARING].kind.id


def look() -> Look:
    """The look that shows a strut's top bearing."""
    (found,) = looks_at(KIND)
    return found


def looked(*conditions: ConditionSeen, odds: float = -2.0) -> float:
    """Chance that the bearing is worn after these."""
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=conditions), odds)
    return found.posterior.marginal(BEARING)


def log_odds(chance: float) -> float:
    return float(np.log(chance / (1.0 - chance)))


def test_exact_looks_in_a_row_count_as_their_joint_likelihood() -> None:
    told = (BINDS, replace(BINDS, number=2, again=1), replace(BINDS, number=3, again=2, present=False))
    found = [one.present for one in told]
    before, after = log_odds(looked()), log_odds(looked(*told))
    alike = beliefs().looks_alike
    ratio = np.log(joint(look().chance, found, alike) / joint(look().false_call, found, alike))
    assert after - before == pytest.approx(ratio, rel=1e-9)


def joint(chance: float, found: list[bool], alike: float) -> float:
    """Chance of these outcomes of looks alike: what the part shows by itself is the same each time, or drawn afresh."""
    whole = 0.0
    for shown, weight in ((True, chance), (False, 1.0 - chance)):
        finds = alike * shown + (1.0 - alike) * chance
        whole += weight * float(np.prod([finds if one else 1.0 - finds for one in found]))
    return whole


def test_a_second_look_that_agrees_tells_less_than_half_of_the_first_and_one_that_does_not_all() -> None:
    before, once, agreed, not_agreed = (
        log_odds(looked(*told))
        for told in ((), (BINDS,), (BINDS, replace(BINDS, again=1)), (BINDS, replace(BINDS, again=1, present=False)))
    )
    nothing = log_odds(looked(replace(BINDS, present=False))) - before
    assert 0.0 < agreed - once < 0.5 * (once - before)
    assert not_agreed - once == pytest.approx(nothing, rel=1e-9)


@pytest.mark.parametrize("found", [(True,), (False,), (True, True), (True, False), (False, False, True)])
def test_close_looks_by_people_unlike_each_other_against_drawn_ones(found: tuple[bool, ...]) -> None:
    """A hundred thousand parts, looked at by people of other chances, each look by the part's own number or afresh."""
    rng, alike = np.random.default_rng(1), 0.6
    people = [Look("mount", (), c, f, (), {}, "") for c, f in ((0.9, 0.05), (0.7, 0.2), (0.8, 0.1), (0.6, 0.3))]
    history = [Looked(one, present) for one, present in zip(people, found, strict=False)]
    last = look_after(people[len(found)], history, alike)
    for worn, chance in ((True, last.chance), (False, last.false_call)):
        chances = np.array([one.chance if worn else one.false_call for one in people])
        own, afresh = rng.random((400_000, 1)), rng.random((400_000, 4))
        finds = np.where(rng.random((400_000, 4)) < alike, own, afresh) < chances
        like = (finds[:, : len(found)] == found).all(axis=1)
        assert finds[like, len(found)].mean() == pytest.approx(chance, abs=4.0 * np.sqrt(0.25 / like.sum()))


def test_who_writes_it_down_twice_looked_once_and_another_person_looked_again() -> None:
    once = looked(BINDS)
    assert looked(BINDS, replace(BINDS, number=2)) == once
    assert looked(BINDS, replace(BINDS, number=2, observer="Tom Orrin")) > once
    assert len(looks_done(BEARING, KIND, [BINDS, replace(BINDS, number=2), replace(BINDS, observer="Tom Orrin")])) == 2


def test_the_first_look_counts_whole_whoever_took_it() -> None:
    part = load_vehicles()["harbour-runabout"].parts[BEARING]
    taken = looks_taken(part, [BINDS, replace(BINDS, observer="Tom Orrin")], (), beliefs())
    assert [evidence.look.chance == look().chance for evidence in taken] == [True, False]


def test_a_part_in_doubt_after_a_look_is_looked_at_again_and_nothing_else_is() -> None:
    conditions = (BINDS, replace(seen(OTHER, "mount-bearing-binds"), number=2, present=False))
    recorded = taken_in("harbour-runabout", conditions=conditions)
    found = without_readings("harbour-runabout", (BEARING, OTHER), recorded, -3.0)
    (again,) = look_repeats(found)
    assert (again.setup.check, again.setup.side, again.watch) == ("mount", "left", BEARING)
    step = next_step(found)
    assert isinstance(step, Step)
    assert step.check.again and step.check.watches == (BEARING,)
    assert step.check.minutes <= 5.0
    sentence = "look again (left strut top bearing), best by somebody else: it decides between "
    assert str(step.check.reason).startswith(sentence)
    assert Speech("es").words(step.check.reason).startswith("revise otra vez (")


def test_what_is_proven_was_looked_at_often_or_was_replaced_is_not_looked_at_again() -> None:
    recorded = taken_in("harbour-runabout", conditions=[BINDS])
    assert look_repeats(without_readings("harbour-runabout", (BEARING,), recorded, 2.0)) == {}
    nothing = replace(BINDS, present=False)
    often = [BINDS, replace(nothing, again=1), replace(BINDS, again=2)]
    at_most = taken_in("harbour-runabout", conditions=often)
    assert look_repeats(without_readings("harbour-runabout", (BEARING,), at_most, -3.0)) == {}
    gone = replace(recorded, replaced=(Replaced(1, BEARING, 0, "Ines Calder", ""),))
    assert look_repeats(without_readings("harbour-runabout", (BEARING,), gone, -3.0)) == {}


def test_what_one_look_found_and_another_did_not_condemns_nothing_by_itself() -> None:
    def verdict(*conditions: ConditionSeen, odds: float = -3.0) -> str:
        recorded = taken_in("harbour-runabout", conditions=conditions)
        found = without_readings("harbour-runabout", (BEARING,), recorded, odds)
        return finding_on(found.vehicle.parts[BEARING], found, rules_of(found, load_policy())).verdict

    nothing = replace(BINDS, number=2, present=False, again=1)
    assert verdict(BINDS) == "replace"
    assert (
        verdict(BINDS, nothing) == verdict(replace(nothing, number=1, again=0), replace(BINDS, again=1)) == "unproven"
    )
    assert verdict(BINDS, nothing, odds=3.0) == "replace"  # proven by all that is known
    other = replace(seen(OTHER, "mount-bearing-binds"), number=2, present=False)
    assert verdict(BINDS, other) == "replace"


def test_grounds_of_a_part_in_doubt_hold_the_look_that_found_nothing_beside_the_one_that_found_it() -> None:
    def told(*conditions: ConditionSeen, odds: float = -3.0, speech: Speech = ENGLISH) -> list[tuple[str, str]]:
        recorded = taken_in("harbour-runabout", conditions=conditions)
        found = without_readings("harbour-runabout", (BEARING,), recorded, odds)
        finding = finding_on(found.vehicle.parts[BEARING], found, rules_of(found, load_policy()))
        return [(str(g.refers_to), speech.words(g.words)) for g in finding.grounds if g.kind == "observation"]

    nothing = replace(BINDS, number=2, observer="Tom Orrin", note="turned by hand", present=False)
    (first, seen_by), (second, not_seen_by) = told(BINDS, nothing)
    assert (first, second) == ("condition 1", "condition 2")
    assert "seen by Ines Calder" in seen_by
    assert not_seen_by.startswith("looked for by Tom Orrin and not there: ") and "(turned by hand)" in not_seen_by
    assert told(BINDS, nothing, speech=Speech("es"))[1][1].startswith("Tom Orrin buscó y no está: ")
    again = told(BINDS, replace(nothing, observer="Ines Calder", again=1))
    assert again[1][1].startswith("looked for by Ines Calder (looked again) and not there: ")
    other_part = replace(seen(OTHER, "mount-bearing-binds"), number=2, present=False)
    assert [refers for refers, _ in told(BINDS, other_part)] == ["condition 1"]
    assert [refers for refers, _ in told(BINDS, nothing, odds=3.0)] == ["condition 1"]  # proven: nothing is in doubt


def test_without_looks_none_is_taken_again() -> None:
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=[BINDS]), -3.0)
    assert not isinstance(next_step(found, looks=False), Step)


def test_exact_a_second_look_tells_as_much_as_its_two_outcomes() -> None:
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=[BINDS]), -3.0)
    (repeat,) = look_repeats(found).values()
    again = look_after(look(), [Looked(look(), True)], beliefs().looks_alike)
    p, expected = found.posterior.marginal(BEARING), 0.0
    for worn, share in ((True, p), (False, 1.0 - p)):
        chance = again.chance if worn else again.false_call
        for called in (chance, 1.0 - chance):
            mixed = p * again.chance + (1.0 - p) * again.false_call
            mixed = mixed if called == chance else 1.0 - mixed
            expected += share * called * np.log2(called / mixed)
    assert repeat.told.bits == pytest.approx(expected, rel=1e-9)
    assert set(repeat.leads) ^ set(repeat.instead) == {BEARING}


def test_what_both_looks_found_is_told_twice_and_asks_once_for_what_it_asks() -> None:
    looks = (BINDS, replace(BINDS, number=2, again=1))
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=looks))
    once = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=looks[:1]))
    part = found.vehicle.parts[BEARING]
    finding, single = (finding_on(part, one, rules_of(one, load_policy())) for one in (found, once))
    assert finding.advice == single.advice and finding.summary.count("sticks") == 1
    told = [ground.words for ground in finding.grounds if ground.refers_to.startswith("condition")]
    assert len(told) == 2 and "Ines Calder (looked again)" in told[1] and "again" not in told[0].split(":")[0]
