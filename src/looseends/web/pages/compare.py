"""Two visits of one vehicle side by side, and the left of a visit beside its right."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, FromQuery
from litestar.response import Template

from looseends.diagnosis.observed.words import SIDES
from looseends.inspection.types import Judgement
from looseends.language import AsWritten, Speech, say
from looseends.report.compared import Comparison
from looseends.report.repairs_content import pairs_tables
from looseends.report.side_by_side import HOW_JUDGED
from looseends.store.kept import Store
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.judged.judging import vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.comparing import compared, in_order, other_visits
from looseends.web.of_visit.concluded import concluded
from looseends.web.of_visit.visits import known_visit
from looseends.web.pages.visit_page import VisitPage

PAGE = VisitPage("compare", say("Compare"), say("With an earlier visit of this vehicle, and left with right."))


@get("/visits/{visit_id:str}/compare", guards=[may("see visits")], sync_to_thread=True)
def compare(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    wait: FromQuery[bool] = False,
    other: FromQuery[str] = "",
) -> Template:
    """Left beside right, or this visit beside the `other` of the same plate."""
    store: Store = state.store
    speech = manner_of(request).speech
    with store.reading() as session:
        visit, stay = known_visit(session, visit_id)
        others = other_visits(session, stay)
    beside = next((entry for entry in others if entry.id == other), None)
    visits = in_order(stay, beside)
    judged = [concluded(state, known, speech, wait=wait).judgement for known in visits]
    ready = [found for found in judged if isinstance(found, Judgement)]
    comparison = compared(ready) if len(ready) == len(visits) else None
    query = f"?other={beside.id}" if beside else ""
    return page(
        request,
        "compare.html.j2",
        visit_id=visit_id,
        visit=visit,
        vehicle=vehicle_of(visit),
        address=f"/visits/{visit_id}/compare{query}",
        others=others,
        beside=beside,
        progress=next((found for found in judged if isinstance(found, Progress)), None),
        comparison=comparison,
        heads=_heads(comparison, speech) if comparison else (),
        tables=_tables(comparison, speech) if comparison else (),
        how_judged=HOW_JUDGED,
    )


def _heads(comparison: Comparison, speech: Speech) -> tuple[Any, Any]:
    if comparison.between == "sides":
        return SIDES["left"], SIDES["right"]
    dates = [AsWritten(speech.date(judged.visit.date)) for judged in (comparison.first, comparison.second)]
    return say("{date}", date=dates[0]), say("{date}", date=dates[1])


def _tables(comparison: Comparison, speech: Speech) -> Any:
    sides = comparison.between == "sides"
    heads = _heads(comparison, speech)
    return pairs_tables(comparison.pairs, heads, comparison.vocabulary, speech, sides=sides)


HANDLERS = [compare]
