"""The demo bay put together through the store's own functions, from visit files and a list of the people."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable
from typing import Any, cast

from sqlalchemy.orm import Session

from looseends.catalogue import load_catalogue
from looseends.inspection import EXAMPLE_VISIT, read_visit
from looseends.inspection.types import SymptomSeen, Visit
from looseends.store.ids import time_ordered_id
from looseends.store.models import VisitRecord
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import Person, Role
from looseends.web.accounts.people import new_account, nobody_yet, person_of
from looseends.web.taken.intake_form import Intake, understood
from looseends.web.taken.recording import lift_points_seen, observe, take_in

DEMO_PERSON = "Ines Calder"
"""Who the printed link signs in."""

_FOLDER: Traversable = files("looseends.web.demo") / "visits"


@cache
def _bay() -> dict[str, Any]:
    file = files("looseends.web.demo") / "bay.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


def fill_demo(session: Session) -> None:
    """The people of Saltmarsh Slip and their visits, where nobody is yet.

    Raises
    ------
    InputError
        If a file of the demo is not as the readers accept it.
    """
    if not nobody_yet(session):
        return
    people: dict[str, Person] = {}
    for person in _bay()["person"]:
        people[person["name"]] = person_of(new_account(session, person["name"], cast(Role, person["role"]), None))
    now = datetime.datetime.now(datetime.UTC)
    for stay in _bay()["visit"]:
        _fill_visit(session, stay, people, now)


def demo_vehicles() -> tuple[str, ...]:
    """The vehicles of the bay in the order of its list."""
    found = []
    for stay in _bay()["visit"]:
        visit = _visit(stay.get("file", ""))
        found.append(visit.vehicle if visit else stay["vehicle"])
    return tuple(dict.fromkeys(found))


def to_sign(stay: VisitRecord) -> bool:
    """Whether the list has this visit signed off, once it can be judged."""
    signed = [visit for entry in _bay()["visit"] if entry.get("signed_off") and (visit := _visit(entry["file"]))]
    return any((stay.plate, stay.odometer_km) == (visit.plate, visit.odometer_km) for visit in signed)


def _fill_visit(
    session: Session, stay: Mapping[str, Any], people: Mapping[str, Person], now: datetime.datetime
) -> None:
    visit = _visit(stay.get("file", ""))
    opener = people[stay["taken_in_by"]]
    day = (now - datetime.timedelta(days=stay["days_ago"])).date()
    complaint = stay.get("complaint", visit.complaint if visit else "")
    vehicle = visit.vehicle if visit else stay["vehicle"]
    tires = [SymptomSeen(0, "tire", tire["pattern"], tire["wheel"], opener.name, "") for tire in stay.get("tire", ())]
    told = [
        SymptomSeen(0, "complaint", name, None, opener.name, "") for name in stay.get("told", understood(complaint))
    ]
    intake = Intake(
        visit_id=time_ordered_id(),
        vehicle=vehicle,
        plate=visit.plate if visit else stay["plate"],
        odometer_km=visit.odometer_km if visit else stay.get("odometer_km"),
        vin="",
        customer=visit.customer if visit else stay.get("customer", ""),
        phone="",
        complaint=complaint,
        symptoms=(*told, *tires),
        alterations=tuple(stay.get("alterations", ())),
        alteration_note="",
    )
    take_in(session, intake, opener, date=day, place=_bay()["place"])
    facts: list[tuple[str, object]] = []
    if "lift_points" in stay:
        facts.append(("check", lift_points_seen(stay["lift_points"] == "sound", stay.get("note", ""), opener.name)))
    if visit is not None:
        facts += _facts(visit)
    observe(session, intake.visit_id, facts, people[stay.get("checked_by", stay["taken_in_by"])])


def _facts(visit: Visit) -> list[tuple[str, object]]:
    return [
        *(("check", check) for check in visit.checks),
        *(("condition", condition) for condition in visit.conditions),
        *(("not-checked", left_out) for left_out in visit.not_checked),
    ]


def _visit(name: str) -> Visit | None:
    if not name:
        return None
    file = EXAMPLE_VISIT if name == EXAMPLE_VISIT.name else _FOLDER / name
    vehicles = load_vehicles()
    with as_file(file) as path:
        return read_visit(
            path,
            catalogue=load_catalogue(),
            part_ids={vehicle_id: tuple(vehicle.parts) for vehicle_id, vehicle in vehicles.items()},
            vehicle_ids=tuple(vehicles),
        )
