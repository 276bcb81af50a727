"""The home of a visit: what is known, what comes first, what to do next, and the way to its pages."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Redirect, Template

from looseends.diagnosis.next_step import Enough
from looseends.diagnosis.observed.opening import load_opening
from looseends.language import Distance, Minutes, Percent, Text
from looseends.report.check_notes import ALTERATIONS, alterations_words
from looseends.store.kept import Store
from looseends.store.models import Customer
from looseends.store.observation import TimeAtHand
from looseends.store.rebuild import facts_of
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.bay.answer import suspected
from looseends.web.judged.judging import Judging, vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.lift_points import LOOKS, lift_points_found
from looseends.web.of_visit.next_words import next_line
from looseends.web.of_visit.pictures import shown_pictures
from looseends.web.of_visit.visits import known_visit
from looseends.web.pages.visit_pages import VISIT_PAGES
from looseends.web.taken.forms import Sent, line, text
from looseends.web.taken.intake_form import WHEEL_WORDS
from looseends.web.taken.names import symptom_name
from looseends.web.taken.recording import lift_points_seen, observe
from looseends.web.taken.time_at_hand import KIND, SOME, USUAL_MINUTES, minutes_at_hand, read_minutes


@get("/visits/{visit_id:str}", guards=[may("see visits")], sync_to_thread=True)
def visit_home(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """Everything at a glance; the check to do next comes as soon as it is known."""
    return _home(request, state, visit_id, {}, {})


def _home(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: str,
    sent: dict[str, Any],
    mistakes: dict[str, Text | str],
) -> Template:
    store: Store = state.store
    with store.reading() as session:
        visit, stay = known_visit(session, visit_id)
        facts = facts_of(session, visit_id)
        customer = session.get(Customer, stay.customer_id) if stay.customer_id else None
        pictures = shown_pictures(session, visit_id)
        erased = customer is not None and customer.erased_at is not None
        vin, state_word, phone = stay.vin, stay.state, customer.phone if customer else ""
    minutes, speech = minutes_at_hand(facts), manner_of(request).speech
    present = sorted((seen for seen in visit.symptoms if seen.present), key=lambda seen: (seen.kind, seen.wheel or ""))
    symptoms = [(seen, symptom_name(seen)) for seen in present]
    return page(
        request,
        "visit.html.j2",
        status=400 if mistakes else 200,
        visit_id=visit_id,
        visit=visit,
        vehicle=vehicle_of(visit),
        vin=vin,
        phone=phone,
        erased=erased,
        open=state_word == "open",
        odometer=None if visit.odometer_km is None else Distance(visit.odometer_km, 0, grouped=True),
        symptoms=symptoms,
        shown=pictures,
        alterations=[alterations_words(check.note) for check in visit.checks if check.setup.check == ALTERATIONS],
        lift_points=lift_points_found(facts),
        opening=load_opening(),
        checks=[check for check in visit.checks if check.setup.check not in LOOKS],
        wheel_words=WHEEL_WORDS,
        minutes=None if minutes is None else Minutes(minutes),
        minutes_set=line(sent, "time") == SOME if sent else minutes is not None,
        minutes_value=line(sent, "minutes", 12) or (USUAL_MINUTES if minutes is None else f"{minutes:g}"),
        mistakes={name: speech.words(said) for name, said in mistakes.items()},
        pages=[entry for entry in VISIT_PAGES if request.user.may(entry.action)],
    )


@get("/visits/{visit_id:str}/next-line", guards=[may("see visits")], sync_to_thread=True)
def next_check_line(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """The check to do next with its reason, or how far the tables are that it waits for."""
    store: Store = state.store
    judging: Judging = state.judging
    with store.reading() as session:
        visit, _ = known_visit(session, visit_id)
        minutes = minutes_at_hand(facts_of(session, visit_id))
    found = judging.judged(visit_id, visit)
    if isinstance(found, Progress):
        return page(request, "next_waits.html.j2", visit_id=visit_id, progress=found, vehicle=vehicle_of(visit))
    step = found.step if minutes is None else judging.step_within(visit_id, visit, minutes)
    return page(
        request,
        "next_line.html.j2",
        visit_id=visit_id,
        following=None if isinstance(step, Enough) else next_line(step.check),
        enough=step.words if isinstance(step, Enough) else "",
        suspects=suspected(found, vehicle_of(visit))[:3],
        percent=Percent,
    )


@post("/visits/{visit_id:str}/lift-points", guards=[may("record")], status_code=303, sync_to_thread=True)
def lift_points(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], data: Sent) -> Redirect:
    """Record what was seen at the lift points; looked at again, the last look counts."""
    store: Store = state.store
    found, note = line(data, "found"), text(data, "note", 600)
    if found in ("sound", "not sound"):
        seen = lift_points_seen(found == "sound", note, request.user.name)
        with store.writing() as session:
            known_visit(session, visit_id)
            observe(session, visit_id, [("check", seen)], request.user)
    return Redirect(f"/visits/{visit_id}", status_code=303)


@post("/visits/{visit_id:str}/minutes", guards=[may("record")], status_code=303, sync_to_thread=True)
def set_minutes(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], data: Sent
) -> Template | Redirect:
    """Set how many minutes there are for the checks, or the whole route."""
    mistakes: dict[str, Text | str] = {}
    minutes = read_minutes(data, mistakes)
    if mistakes:
        return _home(request, state, visit_id, data, mistakes)
    store: Store = state.store
    with store.writing() as session:
        known_visit(session, visit_id)
        if minutes != minutes_at_hand(facts_of(session, visit_id)):
            observe(session, visit_id, [(KIND, TimeAtHand(minutes))], request.user)
    return Redirect(f"/visits/{visit_id}", status_code=303)


HANDLERS = [visit_home, next_check_line, lift_points, set_minutes]
