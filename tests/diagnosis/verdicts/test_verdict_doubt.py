"""How far verdicts hang on what was not measured: at the part's own reading, with the wear that was found."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.verdicts.unmeasured import doubts
from looseends.diagnosis.verdicts.verdict_doubt import verdict_doubt_words, verdict_doubts
from looseends.inspection.types import CheckDone, Finding, Judgement, Reading, Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import nominal_specimen
from tests.vehicle.tape_answers import tape_vehicle

SHAKE = Setup("wheel39", "frame", "left", "held", "off", 0.0)
WORN, SOUND = "outer-tie-rod-end-left", "inner-tie-rod-end-left"


def finding(part: str, verdict: Any, clearance: float | None) -> Finding:
    return Finding(part, part, verdict, "", "", "", 0.9, "radial" if clearance else None, clearance, None, ())


def judgement() -> Judgement:
    readings = tuple(Reading(part, "gauge", mm, None, "", None) for part, mm in ((WORN, 2.0), (SOUND, 0.1)))
    done = CheckDone(1, SHAKE, None, "gauge", readings, (), "")
    visit = Visit("ramp-truck", datetime.date(2026, 1, 1), "", "", "", None, "", "", "", (done,), (), ())
    findings = (finding(SOUND, "sound", None), finding(WORN, "replace", 2.0), finding("idler-arm", "plan", 1.0))
    return Judgement(visit, "", findings, (), (), (), (), (), ())


def test_exact_the_worn_part_alone_is_told_at_its_own_reading_with_its_wear() -> None:
    vehicle, beliefs = tape_vehicle(), load_beliefs()
    preload = carrying_preload(vehicle, nominal_specimen(vehicle))
    (found,) = verdict_doubts(judgement(), vehicle, preload, beliefs)
    assert (found.part, found.setup) == (WORN, SHAKE)
    worn = {d.watch: d for d in doubts(vehicle, SHAKE, preload, {(WORN, "radial"): 2.0}, beliefs)}
    assert found.doubt == worn[WORN]
    assert found.doubt.moves_mm > 1.0
    assert verdict_doubt_words(found, vehicle).startswith(f"{WORN}: with the wear found, left outer tie-rod end moves")


def test_a_vehicle_as_drawn_has_none() -> None:
    drawn = load_vehicles()["yard-pickup"]
    of_pickup = replace(judgement(), visit=replace(judgement().visit, vehicle="yard-pickup"))
    assert verdict_doubts(of_pickup, drawn, {}, load_beliefs()) == ()
