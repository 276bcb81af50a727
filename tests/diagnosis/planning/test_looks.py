"""Checks without a reading of movement: what they would tell, what one that was done says, when they are advised."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from looseends.catalogue import load_catalogue
from looseends.diagnosis.judge import finding_on, rules_of
from looseends.diagnosis.next_step import Step, next_step, stakes_of
from looseends.diagnosis.observed.looked import fault_chance, load_looks, looked_over, looks_at, proving_look
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.looks import described_look, fault_chances, looks_left
from looseends.diagnosis.planning.next_check import next_checks
from looseends.diagnosis.planning.stands import check_minutes
from looseends.diagnosis.verdicts.hiding import hiding_remarks, load_hides
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import ConditionSeen, Finding, SymptomSeen
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Part
from tests.diagnosis.made_tables import check_done, seen
from tests.diagnosis.made_visits import taken_in, without_readings

BEARING, MOUNT = "strut-mount-bearing-left", "strut-mount-left"
REMEMBERS = SymptomSeen(1, "complaint", "does-not-return", None, "Ines Calder", "")
SHAKES = SymptomSeen(1, "complaint", "violent-shimmy", None, "Ines Calder", "")
REAR = SymptomSeen(1, "complaint", "rear-steers", None, "Ines Calder", "")


def absent(part: str, condition: str) -> ConditionSeen:
    """Looked for, and not there."""
    return replace(seen(part, condition), present=False)


def test_every_look_is_a_check_without_movement_of_parts_that_vehicles_have_and_says_its_source() -> None:
    catalogue = load_catalogue()
    for look in load_looks():
        assert catalogue.checks[look.check].kind != "movement"
        assert set(look.kinds) <= set(catalogue.part_kinds)
        assert 0.0 < look.false_call < look.chance < 1.0
        assert look.source == "common practice, no source"


@pytest.mark.parametrize("condition", sorted({name for look in load_looks() for name in look.sees}))
def test_every_condition_that_a_look_sees_is_on_file_and_applies_to_one_of_its_parts(condition: str) -> None:
    catalogue = load_catalogue()
    applies = catalogue.conditions[condition].applies_to
    for look in (look for look in load_looks() if condition in look.sees):
        groups = {catalogue.part_kinds[kind].group for kind in look.kinds}
        assert not applies or set(applies) & ({*look.kinds} | groups)


def test_exact_a_look_tells_as_much_as_a_test_with_two_outcomes() -> None:
    """Counted by hand: chances of being called and worn, called and sound, passed and worn, passed and sound."""
    found = without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout"), odds=0.0)
    (look,) = looks_at("strut-mount-bearing")
    p, expected = 0.5, 0.0
    for called, sound in ((look.chance, look.false_call), (1.0 - look.chance, 1.0 - look.false_call)):
        of_all = p * called + (1.0 - p) * sound
        expected += p * called * math.log2(called / of_all) + (1.0 - p) * sound * math.log2(sound / of_all)
    told = next(t for setup, t in looks_left(found).items() if (setup.check, setup.side) == ("mount", "left"))
    assert told.bits == pytest.approx(expected)
    assert told.settles == {BEARING: pytest.approx(expected)}  # the doubt is one bit here


def test_steering_that_keeps_its_last_turn_asks_for_a_hand_on_the_strut_top() -> None:
    found = without_readings("harbour-runabout", (BEARING, MOUNT), taken_in("harbour-runabout", REMEMBERS))
    first = next_checks(found, load_policy())[0]
    assert (first.setup.check, first.setup.side) == ("mount", "left")
    step = next_step(found)
    assert isinstance(step, Step) and step.check.setup.check == "mount"
    assert "strut top bearing" in step.check.reason
    assert not isinstance(next_step(found, looks=False), Step)


@pytest.mark.parametrize("stands", [None, "wheels", "frame"])
def test_after_a_look_the_vehicle_stands_where_the_look_was_done(stands: str | None) -> None:
    done = [] if stands is None else [check_done(setup=Setup("fasteners", stands, None, "held", "off", 0.0))]
    recorded = replace(taken_in("harbour-runabout", REMEMBERS), checks=tuple(done))
    step = next_step(without_readings("harbour-runabout", (BEARING, MOUNT), recorded))
    # The next look goes on in that support: it costs its own minutes and no move of the stands.
    assert isinstance(step, Step) and step.check.setup.support == (stands or load_opening().arrives_on)
    assert step.check.minutes == pytest.approx(check_minutes(step.check.setup))


def test_a_loose_clamp_is_looked_for_with_the_wrench_where_the_complaint_points_to_it() -> None:
    plain, told = (
        without_readings("yard-pickup", (), taken_in("yard-pickup", *symptoms)) for symptoms in ((), (REAR,))
    )
    part = "leaf-spring-left" if "leaf-spring-left" in fault_chances(told) else "leaf-shackle-left"
    assert fault_chances(plain)[part] == pytest.approx(fault_chance())
    assert max(fault_chances(told).values()) > 2.0 * fault_chance()
    assert looks_left(plain) == {}
    assert {setup.check for setup in looks_left(told)}
    assert set(stakes_of(told, load_policy())) <= set(fault_chances(told))


def test_a_look_that_was_done_is_not_advised_again_and_one_that_could_not_be_is_not_either() -> None:
    done = [absent(part, "mount-bearing-binds") for part in (BEARING, "strut-mount-bearing-right")]
    parts = (BEARING, "strut-mount-bearing-right")
    left = looks_left(
        without_readings("harbour-runabout", parts, taken_in("harbour-runabout", REMEMBERS, conditions=done))
    )
    assert "mount" not in {setup.check for setup in left}
    again = looks_left(without_readings("harbour-runabout", parts, taken_in("harbour-runabout", REMEMBERS)))
    assert "mount" in {setup.check for setup in again}


def test_exact_a_look_that_found_nothing_lowers_the_odds_and_one_that_found_it_raises_them() -> None:
    (look,) = looks_at("strut-mount-bearing")
    before, nothing, found = (
        without_readings("harbour-runabout", (BEARING,), taken_in("harbour-runabout", conditions=conditions)).posterior
        for conditions in ((), (absent(BEARING, "mount-bearing-binds"),), (seen(BEARING, "mount-bearing-binds"),))
    )
    odds = [p.marginal(BEARING) / (1.0 - p.marginal(BEARING)) for p in (before, nothing, found)]
    assert odds[1] / odds[0] == pytest.approx((1.0 - look.chance) / (1.0 - look.false_call))
    assert odds[2] / odds[0] == pytest.approx(look.chance / look.false_call)


def test_exact_a_look_that_found_one_thing_and_not_another_found_something() -> None:
    """A clamp that is loose and not cracked is loose: leaves and clamps were looked at once."""
    clamp = "u-bolt-clamp-left"
    loose, whole = seen(clamp, "u-bolt-insecure"), absent(clamp, "cracked")
    chances = [
        without_readings("yard-pickup", (clamp,), taken_in("yard-pickup", conditions=conditions)).posterior.marginal(
            clamp
        )
        for conditions in ((loose,), (whole, loose), (loose, whole), ())
    ]
    assert chances[1] == chances[2] == pytest.approx(chances[0])
    assert chances[0] > 5.0 * chances[3]


@pytest.mark.parametrize(
    ("part", "condition"), [("tie-rod-jam-nut-left", "missing-nut"), ("steering-coupling", "missing-cotter-pin")]
)
def test_what_a_look_finds_of_other_faults_says_nothing_of_play(part: str, condition: str) -> None:
    chances = [
        without_readings("yard-pickup", (part,), taken_in("yard-pickup", conditions=conditions)).posterior.marginal(
            part
        )
        for conditions in ((), (absent(part, condition),), (seen(part, condition),))
    ]
    assert chances[1:] == chances[:1] * 2
    assert verdict("yard-pickup", part, absent(part, condition)).verdict == "unproven"


def test_wear_shows_to_a_look_as_something_that_it_sees_on_that_kind_of_part() -> None:
    kinds = load_catalogue().part_kinds
    named = [(look, kind, shows) for look in load_looks() for kind, shows in look.wear.items()]
    assert named
    for look, kind, shows in named:
        assert kind in look.kinds and kinds[kind].figure is not None
        assert shows in look.shows_on(kinds[kind])


def verdict(vehicle_id: str, part: str, *conditions: ConditionSeen) -> Finding:
    """What is found of a part on which these conditions were looked for."""
    vehicle = load_vehicles()[vehicle_id]
    parts = (part,) if part in {p.id for p in vehicle.wearable} and vehicle.parts[part].figure else ()
    found = without_readings(vehicle_id, parts, taken_in(vehicle_id, conditions=conditions))
    return finding_on(vehicle.parts[part], found, rules_of(found, load_policy()))


def test_a_part_without_play_is_proven_sound_by_a_look_and_unproven_without_one() -> None:
    assert verdict("yard-pickup", "leaf-shackle-left").verdict == "unproven"
    sound = verdict("yard-pickup", "leaf-shackle-left", absent("leaf-shackle-left", "shackle-insecure"))
    assert sound.verdict == "sound"
    assert any("nothing found" in ground.words for ground in sound.grounds)
    loose = verdict("yard-pickup", "leaf-shackle-left", seen("leaf-shackle-left", "shackle-insecure"))
    assert loose.verdict == "replace"


def test_a_part_with_play_may_be_proven_sound_by_a_look_too() -> None:
    assert verdict("harbour-runabout", BEARING, absent(BEARING, "mount-bearing-binds")).verdict == "sound"
    assert verdict("harbour-runabout", BEARING).verdict == "unproven"


def test_a_look_that_proves_less_than_is_asked_leaves_a_part_unproven() -> None:
    part = "rear-shock-absorber-left"
    assert verdict("yard-pickup", part, absent(part, "shock-loose-or-dead")).verdict == "unproven"
    assert looked_over(part, "rear-shock-absorber", [absent(part, "shock-loose-or-dead")]) is not None


def test_what_no_gripping_shows_is_unproven_with_the_look_that_would_prove_it() -> None:
    part: Part = load_vehicles()["harbour-runabout"].parts[BEARING]
    found = proving_look(part, ("frame", "wheels"))
    assert found is not None and (found[0].check, found[1]) == ("mount", "wheels")
    assert proving_look(part, ("arm",)) is None


def test_the_reason_names_the_parts_that_are_suspected() -> None:
    found = without_readings("harbour-runabout", (BEARING, MOUNT), taken_in("harbour-runabout", REMEMBERS))
    setup = next(setup for setup in looks_left(found) if (setup.check, setup.side) == ("mount", "left"))
    advice = described_look(found, setup, 5.0, 0.5)
    assert advice.separates[0] == "left strut top bearing" and advice.watches == ()


def shimmy(odds: float, *symptoms: SymptomSeen) -> list[str]:
    """Remarks on a steering damper that leaks."""
    leaks = seen("steering-damper", "damper-leaking")
    found = without_readings(
        "quay-tractor", ("track-bar-axle-end",), taken_in("quay-tractor", *symptoms, conditions=[leaks]), odds
    )
    finding = finding_on(found.vehicle.parts["steering-damper"], found, rules_of(found, load_policy()))
    return [remark.words for remark in hiding_remarks(found, [finding])]


def test_a_damper_hides_shimmy_and_the_play_that_makes_it_comes_first() -> None:
    (found,) = shimmy(3.0, SHAKES)
    assert "make good track bar axle end first, and this last" in found
    (not_found,) = shimmy(-4.0, SHAKES)
    assert "play that is not found yet" in not_found
    assert shimmy(3.0) == []


def test_what_hides_and_what_excites_are_parts_on_file() -> None:
    catalogue = load_catalogue()
    for rule in load_hides():
        assert {rule.kind, *rule.excited_by} <= set(catalogue.part_kinds)
        assert set(rule.complaints) <= set(catalogue.complaints)


ROD = "outer-tie-rod-end-left"


def test_whole_boots_prove_no_joint_and_a_torn_one_is_a_finding_without_play() -> None:
    whole, torn = absent(ROD, "torn-boot"), seen(ROD, "torn-boot")
    assert verdict("yard-pickup", ROD, whole).verdict == "unproven"
    assert verdict("yard-pickup", ROD, torn).verdict == "replace"
    assert looked_over(ROD, "outer-tie-rod-end", [whole]) is None
    assert proving_look(load_vehicles()["yard-pickup"].parts[ROD], ("wheels",)) is None


def test_every_joint_with_a_boot_has_it_looked_at() -> None:
    looks = [look for look in load_looks() if "torn-boot" in look.sees]
    looked = {kind for look in looks for kind in look.kinds}
    kinds = load_catalogue().part_kinds
    assert {kind.id for kind in kinds.values() if kind.has_boot} <= looked
    assert all(look.shows_on(kinds[kind]) == ("torn-boot",) for look in looks for kind in look.kinds)
    assert not any(look.proves for look in looks)
