"""Conditions in a document: those that were seen, and those that were looked for and are not there."""

from __future__ import annotations

from dataclasses import replace

from looseends.inspection.types import ConditionSeen, NextCheck
from looseends.language import ENGLISH, Speech
from looseends.report.steps_content import conditions_seen, next_step
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup

PICKUP = load_vehicles()["yard-pickup"]
NAMES = {part.id: part.name for part in PICKUP.parts.values()}
CRACKED = ConditionSeen(1, "leaf-spring-left", "cracked", "Tom Orrin", "", present=False)
BROKEN = replace(CRACKED, number=2, condition="broken-spring")


def lines(*conditions: ConditionSeen, speech: Speech = ENGLISH) -> list[tuple[int, str]]:
    return list(conditions_seen(conditions, NAMES, vehicle_vocabulary(PICKUP), speech))


def test_what_was_looked_for_and_is_not_there_is_never_told_as_seen() -> None:
    (line,) = lines(CRACKED)
    assert line == (1, "Left leaf spring: looked for by Tom Orrin and not there: cracked.")
    assert lines(replace(CRACKED, present=True)) == [(1, "Left leaf spring: cracked, seen by Tom Orrin.")]
    assert "no está" in lines(CRACKED, speech=Speech("es"))[0][1]


def test_what_one_person_did_not_find_on_a_part_is_one_line_and_what_was_found_stands_apart() -> None:
    found = replace(BROKEN, number=3, present=True)
    assert [number for number, _ in lines(CRACKED, BROKEN, found)] == [1, 3]
    assert lines(CRACKED, BROKEN)[0][1].endswith("not there: cracked; spring broken.")
    noted = replace(BROKEN, note="brushed clean")
    other = replace(BROKEN, observer="Bram Oduya")
    assert len(lines(CRACKED, noted)) == len(lines(CRACKED, other)) == 2


def test_what_one_look_did_not_find_and_another_did_has_a_line_of_its_own() -> None:
    found = replace(BROKEN, number=3, observer="Bram Oduya", present=True)
    assert [number for number, _ in lines(CRACKED, BROKEN, found)] == [1, 2, 3]
    assert [number for number, _ in lines(CRACKED, BROKEN, replace(found, part="leaf-spring-right"))] == [1, 3]


def test_a_second_look_stands_beside_the_first_and_says_whose_it_was() -> None:
    seen = replace(CRACKED, present=True)
    again = replace(CRACKED, number=2, again=1)
    assert lines(seen, again, replace(seen, number=3, observer="Bram Oduya")) == [
        (1, "Left leaf spring: cracked, seen by Tom Orrin."),
        (2, "Left leaf spring: looked for by Tom Orrin (looked again) and not there: cracked."),
        (3, "Left leaf spring: cracked, seen by Bram Oduya."),
    ]
    assert len(lines(CRACKED, again)) == 2
    assert "Tom Orrin (revisó otra vez)" in lines(again, speech=Speech("es"))[0][1]


def test_what_is_to_be_looked_at_again_is_named_as_the_part_is() -> None:
    leaves = Setup("leaf", "wheels", "left", "held", "off", 0.0)
    check = NextCheck(leaves, ("leaf-spring-left",), 2.0, 0.3, (), "look again", again=True)
    assert "Watch: left leaf spring." in next_step(1, check, vehicle_vocabulary(PICKUP), ENGLISH).lines
