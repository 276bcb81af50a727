"""The check sheet of a visit: one check at a time, and what follows after each record."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, QueryParameter
from litestar.response import Template

from looseends.language import Speech, say
from looseends.store.kept import Store
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.bay.answered import answered
from looseends.web.bay.handed import opened_visit
from looseends.web.bay.plan_picture import plan_picture
from looseends.web.bay.records import Answered
from looseends.web.bay.supports import SupportShown, supports_shown
from looseends.web.judged.judging import vehicle_of
from looseends.web.of_visit.visits import known_visit
from looseends.web.pages.visit_page import VisitPage
from looseends.web.taken.time_at_hand import MOST_MINUTES

PAGE = VisitPage("sheet", say("Check sheet"), say("One check at a time, recorded with gloves on."), "record")


@get("/visits/{visit_id:str}/sheet", guards=[may("record")], sync_to_thread=True)
def sheet(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """The sheet with every check of the vehicle, so that it goes on without a connection."""
    opened = opened_visit(request, state, visit_id)
    speech: Speech = manner_of(request).speech
    return page(
        request,
        "sheet.html.j2",
        visit_id=visit_id,
        visit=opened.visit,
        vehicle=vehicle_of(opened.visit),
        open=opened.stay.state == "open",
        lift_points=opened.lift_points,
        picture=plan_picture(opened.visit.vehicle, speech),
        block=opened.block,
    )


@get("/visits/{visit_id:str}/answer", guards=[may("see visits")], sync_to_thread=True)
def answer(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    minutes: Annotated[float | None, QueryParameter(ge=0.0, le=MOST_MINUTES)] = None,
) -> Answered:
    """What follows from everything recorded so far, by whichever tablet, in the order of receipt.

    `minutes` are left for checks: the next one is of those that settle most within them, or it is said why to stop.
    """
    return answered(state, visit_id, manner_of(request).speech, minutes)


@get("/visits/{visit_id:str}/supports", guards=[may("see visits")], sync_to_thread=True)
def supports(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> dict[str, SupportShown]:
    """How the visit's vehicle is held, support by support: sketches, and where the weight runs."""
    store: Store = state.store
    with store.reading() as session:
        vehicle = vehicle_of(known_visit(session, visit_id)[0])
    return supports_shown(vehicle.id, manner_of(request).speech)


HANDLERS = [sheet, answer, supports]
