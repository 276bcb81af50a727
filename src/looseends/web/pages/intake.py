"""Taking in a vehicle: whose it is, what is wrong in the customer's words, what its tires and the road test show."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromQuery
from litestar.response import Redirect, Template

from looseends.catalogue import load_catalogue
from looseends.errors import InputError
from looseends.language import Text
from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.taken.forms import MOST_TEXT, Sent, line, several, text
from looseends.web.taken.intake_form import (
    EVEN,
    NOT_LOOKED,
    WHEEL_WORDS,
    WHEELS,
    read_intake,
    today,
    understood,
    vin_remark,
)
from looseends.web.taken.names import alteration_name, wear_pattern_name
from looseends.web.taken.recording import take_in
from looseends.web.taken.time_at_hand import SOME, USUAL_MINUTES


@get("/intake", guards=[may("take in")], sync_to_thread=True)
def intake_page(request: Request[Person, Any, Any], vehicle: FromQuery[str] = "") -> Template:
    """The empty form; its visit has an id already, so that a form sent twice opens one visit."""
    return _page(request, {"visit_id": time_ordered_id(), "vehicle": vehicle}, {})


@post("/intake", guards=[may("take in")], status_code=303, sync_to_thread=True)
def take_in_vehicle(request: Request[Person, Any, Any], state: State, data: Sent) -> Template | Redirect:
    """Open the visit, or the form again with a sentence beside each field that needs another look."""
    speech = manner_of(request).speech
    intake = read_intake(data, speech, request.user.name)
    if intake.mistakes:
        return _page(request, data, dict(intake.mistakes))
    store: Store = state.store
    with store.writing() as session:
        take_in(session, intake, request.user, date=today())
    return Redirect(f"/visits/{intake.visit_id}", status_code=303)


@get("/intake/understood", guards=[may("take in")], sync_to_thread=True)
def complaint_understood(request: Request[Person, Any, Any], complaint: FromQuery[str] = "") -> Template:
    """Which complaints the words are taken for, while they are being written."""
    words = complaint[:MOST_TEXT]
    return page(request, "intake_understood.html.j2", complaint=words, meant=_meant(words, {}))


@get("/intake/vin", guards=[may("take in")], sync_to_thread=True)
def vin_looked_at(request: Request[Person, Any, Any], vin: FromQuery[str] = "") -> Template:
    """What to look at again in an identification number."""
    return page(request, "intake_vin.html.j2", remark=_vin_remark(request, vin[:40]))


def _page(request: Request[Person, Any, Any], sent: dict[str, Any], mistakes: dict[str, Text | str]) -> Template:
    speech = manner_of(request).speech
    catalogue = load_catalogue()
    fields = ("visit_id", "vehicle", "plate", "odometer", "vin", "customer", "phone")
    values = {name: line(sent, name) for name in fields}
    values |= {name: text(sent, name) for name in ("complaint", "alteration_note")}
    return page(
        request,
        "intake.html.j2",
        "intake",
        status=400 if mistakes else 200,
        values=values,
        mistakes={name: speech.words(said) if isinstance(said, Text) else said for name, said in mistakes.items()},
        vehicles=sorted(load_vehicles().values(), key=lambda known: known.name),
        wheels=[(wheel, WHEEL_WORDS[wheel], line(sent, f"tire-{wheel}") or NOT_LOOKED) for wheel in WHEELS],
        patterns=[(name, wear_pattern_name(name)) for name in catalogue.wear_patterns],
        even=EVEN,
        not_looked=NOT_LOOKED,
        road_shows=[known for known in catalogue.complaints.values() if "road test" in known.witnesses],
        road_ticked=several(sent, "road_shows"),
        alterations=[(name, alteration_name(name)) for name in catalogue.alterations],
        alterations_ticked=several(sent, "alteration"),
        minutes_set=line(sent, "time") == SOME,
        minutes_value=line(sent, "minutes", 12) or USUAL_MINUTES,
        complaint=values["complaint"],
        meant=_meant(values["complaint"], sent),
        remark=_vin_remark(request, values["vin"]) if "vin" not in mistakes else "",
    )


def _meant(complaint: str, sent: dict[str, Any]) -> list[dict[str, object]]:
    known = load_catalogue().complaints
    ticked = several(sent, "told") if line(sent, "told_shown") else understood(complaint)
    return [{"id": name, "name": known[name].name, "ticked": name in ticked} for name in understood(complaint)]


def _vin_remark(request: Request[Person, Any, Any], vin: str) -> str:
    speech = manner_of(request).speech
    try:
        remark = vin_remark(vin)
    except InputError as error:
        return sentence_of(error, speech)
    return "" if remark is None else speech.words(remark)


HANDLERS = [intake_page, take_in_vehicle, complaint_understood, vin_looked_at]
