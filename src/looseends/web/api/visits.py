"""Visits over HTTP."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import Body, FromPath, QueryParameter
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.inspection.types import SymptomSeen
from looseends.language import refusal
from looseends.store.ids import is_time_ordered
from looseends.store.kept import Store
from looseends.store.models import VisitRecord
from looseends.store.observation import TimeAtHand
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import Person, may
from looseends.web.api.examples import example
from looseends.web.api.visit_structs import VisitIn, VisitOut
from looseends.web.of_visit.finding_visits import found_visits
from looseends.web.of_visit.visits import known_visit
from looseends.web.taken.forms import MOST_TEXT
from looseends.web.taken.intake_form import MOST_ODOMETER_KM, Intake, understood
from looseends.web.taken.recording import take_in
from looseends.web.taken.time_at_hand import require_minutes

_PICKUP = {
    "vehicle": "yard-pickup",
    "date": "2026-11-26",
    "plate": "SLIP 41",
    "customer": "Hanna Ferris",
    "complaint": "Wanders on the causeway.",
}


@get("/visits", guards=[may("see visits")], sync_to_thread=True, tags=["visits"])
def visits(state: State, search: Annotated[str, QueryParameter(max_length=80)] = "") -> list[VisitOut]:
    """The open visits, the longest waiting first, then those signed off last; `search` as on the first page."""
    store: Store = state.store
    with store.reading() as session:
        found = found_visits(session, search)
        return [_out(*row) for row in (*found.open, *found.done)]


@get("/visits/{visit_id:str}", guards=[may("see visits")], sync_to_thread=True, tags=["visits"])
def visit(state: State, visit_id: FromPath[str]) -> VisitOut:
    """One visit."""
    store: Store = state.store
    with store.reading() as session:
        return _visit(session, visit_id)


@put("/visits/{visit_id:str}", guards=[may("take in")], status_code=200, sync_to_thread=True, tags=["visits"])
def put_visit(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    data: Annotated[VisitIn, Body(examples=[example(_PICKUP)])],
) -> VisitOut:
    """Take a vehicle in; sent again nothing changes."""
    store: Store = state.store
    intake = _intake(visit_id, data, request.user.name)
    with store.writing() as session:
        take_in(session, intake, request.user, date=data.date, place=data.place)
        return _visit(session, visit_id)


def _intake(visit_id: str, data: VisitIn, observer: str) -> Intake:
    if not is_time_ordered(visit_id):
        raise InputError(
            refusal('visit: id must be a UUID of version 7 in lower case, found "{found}".', found=visit_id[:60])
        )
    if data.vehicle not in load_vehicles():
        raise InputError(
            refusal(
                'visit {visit_id}: vehicle must be one that is known, found "{found}".',
                visit_id=visit_id,
                found=data.vehicle[:60],
            )
        )
    if data.odometer_km is not None and not 0.0 <= data.odometer_km <= MOST_ODOMETER_KM:
        raise InputError(
            refusal(
                "visit {visit_id}: odometer_km must be from 0 to {most}, found {found}.",
                visit_id=visit_id,
                most=f"{MOST_ODOMETER_KM:g}",
                found=f"{data.odometer_km:g}",
            )
        )
    require_minutes(TimeAtHand(data.minutes), f"visit {visit_id}")
    for name in ("place", "plate", "vin", "customer", "phone", "complaint"):
        _require_text(visit_id, name, getattr(data, name))
    told = [SymptomSeen(0, "complaint", name, None, observer, "") for name in understood(data.complaint)]
    return Intake(
        visit_id=visit_id,
        vehicle=data.vehicle,
        plate=data.plate,
        odometer_km=data.odometer_km,
        vin=data.vin,
        customer=data.customer,
        phone=data.phone,
        complaint=data.complaint,
        symptoms=tuple(told),
        alterations=(),
        alteration_note="",
        minutes=data.minutes,
    )


def _require_text(visit_id: str, name: str, value: str) -> None:
    if len(value) > MOST_TEXT or any(not (sign.isprintable() or sign in "\n\t") for sign in value):
        raise InputError(
            refusal(
                "visit {visit_id}: {name} must be at most {most} printable characters, found {found}.",
                visit_id=visit_id,
                name=name,
                most=MOST_TEXT,
                found=ascii(value[:40]),
            )
        )


def _visit(session: Session, visit_id: str) -> VisitOut:
    found, stay = known_visit(session, visit_id)
    return _out(stay, found.customer, found.complaint)


def _out(stay: VisitRecord, customer: str | None, complaint: str | None) -> VisitOut:
    return VisitOut(
        id=stay.id,
        vehicle=stay.vehicle_id,
        date=stay.date,
        place=stay.place,
        plate=stay.plate,
        vin=stay.vin,
        odometer_km=stay.odometer_km,
        customer=customer or "",
        complaint=complaint or "",
        jurisdiction=stay.jurisdiction,
        state=stay.state,
    )


HANDLERS = [visits, visit, put_visit]
