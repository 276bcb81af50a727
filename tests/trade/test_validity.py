"""The trade's table of checks and supports against the model: the recorded study whole, a sample computed anew.

Expected letters: common practice, no source, written down in validity_cells.toml before any cell was computed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from looseends.errors import MechanicsError
from looseends.vehicle.loading import load_vehicles
from studies.layout_words import WORDS
from studies.validity_cells import Answer, answer, computed_cells, on_the_border, place, vehicles_of, waits
from studies.validity_chances import shown, tried, usual_setup
from studies.validity_drills import computed_drills, looked_at
from studies.validity_page import PAGE, page, recorded

MOST_EXCEPTIONS = 5
"""Cells that some vehicle answers otherwise, plainly or on the border; so many were allowed for beforehand."""
RESULT = recorded()
CELLS = computed_cells()
STUDIED = {found["vehicle"] for found in RESULT["cells"]}
KEYS = ("row", "layout", "check", "support", "expected")

SAMPLE = [
    ("pilots-sedan", "axial play of the carrier, spring on the lower arm", "frame"),
    ("pilots-sedan", "axial play of the carrier, spring on the lower arm", "arm"),
    ("pilots-sedan", "radial play of the follower, spring on the lower arm", "frame"),
    ("pilots-sedan", "radial play of the follower, spring on the lower arm", "arm"),
    ("pilots-sedan", "linkage play at the tread, spring on the lower arm", "frame"),
    ("pilots-sedan", "linkage play at the tread, spring on the lower arm", "arm"),
    ("pilots-sedan", "wheel bearing", "frame"),
    ("pilots-sedan", "idler's end up and down", "frame"),
    ("harbour-runabout", "lower ball joint of a strut", "frame"),
    ("harbour-runabout", "linkage play at the tread, strut", "frame"),
    ("harbour-runabout", "inner rod end through the bellows", "frame"),
]
"""Cells that every run computes anew: those that a learner gets backwards, in two supports."""


def recorded_of(cell: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """What the study found of a cell, vehicle by vehicle."""
    return [found for found in RESULT["cells"] if all(found[key] == cell[key] for key in KEYS)]


def sampled(vehicle: str, row: str, support: str) -> list[Answer]:
    """The sample's cells of one row and support, computed now."""
    found = [(cell, v, part) for cell in CELLS if (cell["row"], cell["support"]) == (row, support)
             for v, part in vehicles_of(cell) if v.id == vehicle]  # fmt: skip
    return [answer(cell, v, part) for cell, v, part in found]


@pytest.mark.parametrize(("vehicle", "row", "support"), SAMPLE)
def test_a_cell_computed_now_is_as_the_trade_says_and_as_recorded(vehicle: str, row: str, support: str) -> None:
    found = sampled(vehicle, row, support)
    assert found
    for each in found:
        (before,) = [cell for cell in recorded_of(each.cell) if cell["vehicle"] == vehicle]
        assert each.agrees
        assert each.seen.chance == pytest.approx(before["chance"], abs=0.05)


@pytest.mark.parametrize("cell", CELLS, ids=place)
def test_every_cell_is_as_the_trade_says_or_tells_why_not(cell: Mapping[str, Any]) -> None:
    found = recorded_of(cell)
    off = [each for each in found if not each["agrees"]]
    assert ("exception" in cell) == any(not on_the_border(each) for each in off)
    assert ("borderline" in cell) == (bool(off) and all(on_the_border(each) for each in off))
    assert ("by_rule" in cell) == any(each["agrees"] and not each["as computed"] for each in found)


@pytest.mark.parametrize("cell", CELLS, ids=place)
def test_a_cell_was_computed_on_every_vehicle_of_the_study_that_it_means(cell: Mapping[str, Any]) -> None:
    meant = sorted(vehicle.id for vehicle, _ in vehicles_of(cell) if vehicle.id in STUDIED)
    assert sorted(each["vehicle"] for each in recorded_of(cell)) == meant


def test_no_vehicle_or_layout_has_come_since_the_study() -> None:
    """What waited for a layout is computed as soon as a vehicle has it."""
    meant = {vehicle.id for cell in CELLS for vehicle, _ in vehicles_of(cell)}
    assert sorted(meant - STUDIED) == [], "run `make study STUDY=validity` and look at what these vehicles show"
    assert [place(cell) for cell in CELLS if waits(cell)] == RESULT["waiting for a layout"]


def test_few_cells_are_exceptions_and_each_says_more_than_a_word() -> None:
    excused = [cell[key] for cell in CELLS for key in ("exception", "borderline") if key in cell]
    assert len(excused) <= MOST_EXCEPTIONS
    assert all(len(words.split()) > 15 for words in excused)


def test_what_lies_on_the_border_names_the_vehicles_that_do() -> None:
    for cell in CELLS:
        off = {each["vehicle"] for each in recorded_of(cell) if not each["agrees"]}
        named = {name for name in load_vehicles() if name in cell.get("borderline", "")}
        assert named == (off if all(on_the_border(each) for each in recorded_of(cell) if not each["agrees"]) else set())


def test_the_border_is_narrow_and_only_a_chance_lies_on_it() -> None:
    assert on_the_border({"expected": "V", "chance": 0.86}) and not on_the_border({"expected": "V", "chance": 0.84})
    assert on_the_border({"expected": "X", "chance": 0.14}) and not on_the_border({"expected": "X", "chance": 0.16})
    assert not on_the_border({"expected": "V", "chance": 0.95}), "refused, not missed"
    assert not on_the_border({"expected": "P", "chance": 0.95}), "another part adds nothing"


def test_only_what_cannot_show_is_left_to_the_check_itself() -> None:
    assert {cell["expected"] for cell in CELLS if "by_rule" in cell} == {"X"}


def test_a_condition_belongs_to_a_part_of_the_truth() -> None:
    conditional = [cell for cell in CELLS if {"condition_support", "condition_held"} & set(cell)]
    assert conditional
    assert all(cell["expected"] == "P" and cell["condition"] for cell in conditional)


def test_a_helper_at_the_pitman_arm_keeps_the_gear_from_floating() -> None:
    """Common practice, no source: hold the arm still, or nothing loads the gear and its lash does not show."""
    setup = usual_setup("gear-lash", "axle")
    vehicle = load_vehicles()["quay-tractor"]
    alone, helped = (
        shown(vehicle, found, "steering-gear", "radial", ("steering-gear",)).share
        for found in (tried(vehicle.id, setup), tried(vehicle.id, setup, ("pitman-arm", "pitman-ball")))
        if found is not None
    )
    assert abs(alone) < 0.1
    assert helped > 0.8


def test_a_helper_takes_hold_of_a_vehicle_as_it_rests() -> None:
    """Where nothing is turned over, his hand changes nothing: he neither lifts nor presses."""
    setup = usual_setup("bj-axial", "arm")
    before, after = tried("yard-pickup", setup), tried("yard-pickup", setup, ("pitman-arm", "pitman-ball"))
    assert before is not None and after is not None
    k = before.watches.index("lower-ball-joint-left")
    assert after.sound[:, k] == pytest.approx(before.sound[:, k], abs=0.01)


def test_a_vehicle_that_does_not_settle_is_not_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    def restless(*_: object) -> None:
        raise MechanicsError("the vehicle does not settle")

    monkeypatch.setattr("studies.validity_chances.hold", restless)
    with pytest.raises(MechanicsError, match="does not settle"):
        tried("pilots-sedan", replace(usual_setup("sway", "frame"), brake="on"))


def test_looks_at_one_vehicle_do_not_make_up_for_each_other() -> None:
    """A bar wound hard on half of the vehicles hides their links from both looks: two looks show half, not more."""
    found = tried("yard-pickup", usual_setup("sway", "frame"))
    assert found is not None
    vehicle, link = load_vehicles()["yard-pickup"], "sway-bar-link-left"
    one, both = (shown(vehicle, found, link, "radial", names).chance for names in ((link,), (link, "link-rise")))
    alone = shown(vehicle, found, link, "radial", ("link-rise",)).chance
    assert one < both < 1.0 - (1.0 - one) * (1.0 - alone) - 0.05


def test_every_word_for_a_layout_is_known() -> None:
    assert {phrase for cell in CELLS for phrase in cell["layout"].split(", ")} <= set(WORDS)


@pytest.mark.parametrize("phrase", ["spring on the lower arm", "strut with the coil around it", "steering box", "rack"])
def test_words_for_a_layout_part_vehicles(phrase: str) -> None:
    found = {vehicle.id for vehicle in load_vehicles().values() if WORDS[phrase](vehicle)}
    assert found and found < set(load_vehicles())


@pytest.mark.parametrize("drill", computed_drills(), ids=lambda drill: f"{drill['drill']}, {drill['worn']}")
def test_a_drill_parts_what_the_trade_says_it_parts(drill: Mapping[str, Any]) -> None:
    found = [looked for looked in looked_at(drill) if looked.vehicle in STUDIED]
    name = f"{drill['drill']} | {drill['worn']}"
    assert bool(found) != (name in RESULT["drills waiting for a layout"])
    assert ("exception" in drill) == any(not looked.agrees for looked in found), found


def test_the_page_is_made_from_the_recorded_result() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(RESULT)
