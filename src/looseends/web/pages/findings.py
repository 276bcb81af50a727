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
from looseends.web.access import Person, may
from looseends.web.concluded import concluded
from looseends.web.finding_lines import finding_lines, verdict_counts
from looseends.web.judging import vehicle_of
from looseends.web.pages.visit_page import VisitPage
from looseends.web.pictures import pictures_by_check
from looseends.web.preparing import Progress
from looseends.web.rendering import page
from looseends.web.speaking import manner_of

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
