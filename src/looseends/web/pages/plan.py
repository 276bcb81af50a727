"""The underside plan of a visit: every part where it is, with what is known of it."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Template

from looseends.language import say
from looseends.report.marks import VERDICT_ORDER
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.bay.handed import opened_visit
from looseends.web.bay.plan_picture import plan_picture
from looseends.web.judged.judging import vehicle_of
from looseends.web.pages.visit_page import VisitPage

PAGE = VisitPage("plan", say("Underside plan"), say("Every part in its place: proven, found, or not looked at yet."))


@get("/visits/{visit_id:str}/plan", guards=[may("see visits")], sync_to_thread=True)
def plan(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Template:
    """The plan with all parts unproven; its script puts the verdicts in."""
    opened = opened_visit(request, state, visit_id)
    return page(
        request,
        "plan.html.j2",
        visit_id=visit_id,
        visit=opened.visit,
        vehicle=vehicle_of(opened.visit),
        verdicts=VERDICT_ORDER,
        picture=plan_picture(opened.visit.vehicle, manner_of(request).speech),
        block=opened.block,
    )


HANDLERS = [plan]
