"""The findings of a visit: each a line, opened down to what was observed and what the model made of it."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, FromQuery
from litestar.response import Template

from looseends.inspection.types import Judgement
from looseends.language import say
from looseends.store.kept import Store
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.judged.judging import vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.concluded import concluded
from looseends.web.of_visit.finding_lines import finding_lines, verdict_counts
from looseends.web.of_visit.pictures import pictures_by_check
from looseends.web.pages.visit_page import VisitPage

PAGE = VisitPage("findings", say("Findings"), say("What was found, opened down to what was seen and read."))


@get("/visits/{visit_id:str}/findings", guards=[may("see visits")], sync_to_thread=True)
def findings(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], wait: FromQuery[bool] = False
) -> Template:
    """The findings if they are known; else words that say so, and `wait` asks for them."""
    speech = manner_of(request).speech
    found = concluded(state, visit_id, speech, wait=wait)
    vehicle, judgement = vehicle_of(found.visit), found.judgement
    known = judgement if isinstance(judgement, Judgement) else None
    store: Store = state.store
    with store.reading() as session:
        photos = pictures_by_check(session, visit_id) if known else {}
    return page(
        request,
        "findings.html.j2",
        visit_id=visit_id,
        found=found,
        vehicle=vehicle,
        address=f"/visits/{visit_id}/findings",
        progress=judgement if isinstance(judgement, Progress) else None,
        lines=finding_lines(known, vehicle, speech) if known else None,
        photos=photos,
        counts=verdict_counts(known) if known else {},
    )


HANDLERS = [findings]
