"""What the sheet and the plan show of a visit, over HTTP: what follows, how the vehicle is held, the underside plan."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, QueryParameter
from litestar.response import Response

from looseends.report.plan import plan_svg
from looseends.report.vehicle_plan import plan_geometry
from looseends.store.kept import Store
from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of
from looseends.web.api.judgement import WAITS, waits
from looseends.web.bay.answered import answered
from looseends.web.bay.records import Answered
from looseends.web.bay.supports import SupportShown, supports_shown
from looseends.web.judged.judging import vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.concluded import judged_now
from looseends.web.of_visit.visits import known_visit
from looseends.web.taken.time_at_hand import MOST_MINUTES

_VISIT = "/visits/{visit_id:str}"
_SVG = "image/svg+xml"


@get(_VISIT + "/answer", guards=[may("see visits")], sync_to_thread=True, tags=["judgement"])
def answer(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    minutes: Annotated[float | None, QueryParameter(ge=0.0, le=MOST_MINUTES)] = None,
) -> Answered:
    """What follows so far in the account's language, with the next check that fits into `minutes`, or why to stop."""
    return answered(state, visit_id, manner_of(request).speech, minutes)


@get(_VISIT + "/supports", guards=[may("see visits")], sync_to_thread=True, tags=["judgement"])
def supports(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> dict[str, SupportShown]:
    """How the visit's vehicle is held, support by support: a sketch (SVG), what each joint carries, and in words."""
    store: Store = state.store
    with store.reading() as session:
        vehicle = vehicle_of(known_visit(session, visit_id)[0])
    return supports_shown(vehicle.id, manner_of(request).speech)


@get(
    _VISIT + "/plan",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["judgement"],
    media_type=_SVG,
    responses=WAITS,
)
def plan(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Response[Any]:
    """The underside plan with every part's verdict, as SVG; 202 while tables are computed."""
    found = judged_now(state, visit_id)
    if isinstance(found, Progress):
        return waits(found)
    vehicle = vehicle_of(found.visit)
    verdicts = {finding.part: finding.verdict for finding in found.findings if finding.part in vehicle.parts}
    drawn = plan_svg(plan_geometry(vehicle), verdicts, speech=manner_of(request).speech)
    return Response(content=drawn, media_type=_SVG)


HANDLERS = [answer, supports, plan]
