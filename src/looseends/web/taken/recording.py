"""A vehicle taken in, and facts recorded by a person, through the store's own functions."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from sqlalchemy.orm import Session

from looseends.catalogue import load_catalogue
from looseends.errors import InputError
from looseends.inspection.types import CheckDone
from looseends.report.check_notes import ALTERATIONS, LIFT_POINTS
from looseends.store.ids import time_ordered_id
from looseends.store.keep import keep_customer, keep_vehicle, open_visit
from looseends.store.models import Customer, VisitRecord
from looseends.store.observation import Observation, TimeAtHand
from looseends.store.record import record
from looseends.store.typed_json import ASSIGNED, plain
from looseends.vehicle.setup import Setup
from looseends.web.accounts.access import Person
from looseends.web.taken.intake_form import Intake
from looseends.web.taken.time_at_hand import KIND

JURISDICTION = "us-federal"
"""The law that holds where nobody says otherwise."""


def take_in(session: Session, intake: Intake, person: Person, *, date: datetime.date, place: str = "") -> None:
    """Open the visit of a vehicle that came in, with what was told and seen; sent again nothing happens.

    Raises
    ------
    InputError
        If a record cannot be kept.
    """
    if session.get(VisitRecord, intake.visit_id) is not None:
        return
    now = datetime.datetime.now(datetime.UTC)
    keep_vehicle(session, intake.vehicle, at=now)
    customer_id = None
    if intake.customer or intake.phone:
        customer_id = time_ordered_id()
        keep_customer(session, Customer(id=customer_id, name=intake.customer, phone=intake.phone, created_at=now))
    stay = VisitRecord(
        id=intake.visit_id,
        vehicle_id=intake.vehicle,
        customer_id=customer_id,
        opened_by=person.account_id,
        opened_at=now,
        date=date,
        place=place,
        plate=intake.plate,
        vin=intake.vin,
        odometer_km=intake.odometer_km,
        jurisdiction=JURISDICTION,
    )
    open_visit(session, stay, complaint=intake.complaint)
    facts: list[tuple[str, object]] = [("symptom", symptom) for symptom in intake.symptoms]
    if intake.alterations or intake.alteration_note:
        facts.append(("check", alterations_seen(intake.alterations, intake.alteration_note, person.name)))
    if intake.minutes is not None:
        facts.append((KIND, TimeAtHand(intake.minutes)))
    observe(session, intake.visit_id, facts, person)


def observe(session: Session, visit_id: str, facts: Sequence[tuple[str, object]], person: Person) -> None:
    """Record facts of the inspection's own types under their kinds, as seen by this person now.

    Raises
    ------
    InputError
        If one of them is not of its kind's form; then none is kept.
    """
    now = datetime.datetime.now(datetime.UTC)
    sent = [
        Observation(time_ordered_id(), visit_id, kind, payload_of(fact), person.account_id, now) for kind, fact in facts
    ]
    receipt = record(session, sent) if sent else None
    if receipt is not None and receipt.refused:
        raise InputError(receipt.refused[0].sentence)


def alterations_seen(ids: Sequence[str], note: str, observer: str) -> CheckDone:
    """Alterations as facts of the visit; the model of the vehicle stays that of its file."""
    names = [load_catalogue().alterations[name].name for name in ids]
    return _looked(ALTERATIONS, "; ".join([*names, *([note] if note else [])]), observer)


def lift_points_seen(sound: bool, note: str, observer: str) -> CheckDone:
    """The look at the lift points before the vehicle is raised."""
    return _looked(LIFT_POINTS.check, LIFT_POINTS.note(sound, note), observer)


def _looked(check: str, note: str, observer: str) -> CheckDone:
    setup = Setup(check, "wheels", None, "free", "off", 0.0)
    return CheckDone(0, setup, None, observer, (), (), note)


def payload_of(fact: object) -> Mapping[str, object]:
    """A fact of the inspection's own types as an observation carries it."""
    found = plain(fact, ASSIGNED)
    assert isinstance(found, dict)
    return found
