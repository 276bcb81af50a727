"""The handover of a visit on screen, its PDF, the sign-off, and what the owner decides."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from litestar import MediaType, get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath, FromQuery
from litestar.response import Redirect, Response, Template

from looseends.errors import InputError
from looseends.inspection.types import Judgement
from looseends.language import LANGUAGES, UNITS, Text, say
from looseends.report.findings_content import REFUSED_CAUTION
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of
from looseends.web.judged.judging import Judging, vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.concluded import Concluded, concluded, judged_now
from looseends.web.of_visit.finding_lines import verdict_counts
from looseends.web.of_visit.handing_over import (
    CHOICES,
    LATE,
    SHEETS,
    document,
    enclosures_of,
    freeze,
    manner_wanted,
    write_down_decision,
)
from looseends.web.of_visit.papers import judgement_made, paper_answer
from looseends.web.pages.visit_page import VisitPage
from looseends.web.taken.forms import Sent, line

PAGE = VisitPage(
    "handover", say("Handover"), say("Look at what the customer gets, sign it off, print it."), "hand over"
)
_IN_A_FRAME = {
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'self'",
    "X-Frame-Options": "SAMEORIGIN",
    "Cache-Control": "private, no-cache",
}
"""The document brings its own type and style, runs nothing, and may stand in a page of ours alone."""

_NOT_YET = say("It is still being worked out: nothing was signed. Look again in a moment.")


@get("/visits/{visit_id:str}/handover", guards=[may("hand over")], sync_to_thread=True)
def handover(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    wait: FromQuery[bool] = False,
    language: FromQuery[str] = "",
    units: FromQuery[str] = "",
    sheet: FromQuery[str] = "",
) -> Template:
    """The preview with what is to be signed and decided."""
    found = concluded(state, visit_id, manner_of(request).speech, wait=wait)
    return _page(
        request, visit_id, _told_in_full(state.judging, visit_id, found, wait), chosen=(language, units, sheet)
    )


@get(
    "/visits/{visit_id:str}/handover/document",
    guards=[may("hand over")],
    sync_to_thread=True,
    media_type=MediaType.HTML,
)
def handover_document(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    language: FromQuery[str] = "",
    units: FromQuery[str] = "",
) -> Response[str]:
    """The document by itself, as the preview shows it."""
    manner = manner_wanted(manner_of(request).speech, language, units, "")
    found = concluded(state, visit_id, manner.speech, wait=True)
    judgement = judgement_made(found)
    enclosures = enclosures_of(state.store, state.judging, visit_id, judgement, manner.speech, found.signed)
    return Response(document(judgement, manner, enclosures), media_type=MediaType.HTML, headers=_IN_A_FRAME)


@get("/visits/{visit_id:str}/handover/paper", guards=[may("hand over")], sync_to_thread=True)
def handover_paper(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    language: FromQuery[str] = "",
    units: FromQuery[str] = "",
    sheet: FromQuery[str] = "",
) -> Response[bytes]:
    """The PDF."""
    return paper_answer(state, visit_id, manner_wanted(manner_of(request).speech, language, units, sheet))


@post("/visits/{visit_id:str}/sign-off", guards=[may("sign off")], status_code=200, sync_to_thread=True)
def sign(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], data: Sent) -> Template | Redirect:
    """Freeze the judgement of exactly what the page showed; a second touch signs nothing twice."""
    seen = line(data, "basis")
    found = concluded(state, visit_id, manner_of(request).speech, wait=False)
    if found.basis != seen:
        return _page(request, visit_id, found, LATE)
    judgement = judged_now(state, visit_id)
    if isinstance(judgement, Progress):
        return _page(request, visit_id, found, _NOT_YET)
    freeze(state.store, state.judging, visit_id, judgement, request.user.account_id)
    return Redirect(f"/visits/{visit_id}/handover", status_code=303)


@post("/visits/{visit_id:str}/decision", guards=[may("decide")], status_code=200, sync_to_thread=True)
def decision(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], data: Sent
) -> Template | Redirect:
    """Keep what the owner decided about one unsafe part, or about all that are left; driving away asks for more."""
    part, chosen = line(data, "part"), line(data, "decision")
    told, account_id = line(data, "told") == "yes", request.user.account_id
    try:
        write_down_decision(state.store, visit_id, part, chosen, told=told, account_id=account_id)
    except InputError as error:
        found = concluded(state, visit_id, manner_of(request).speech, wait=True)
        return _page(request, visit_id, found, error.args[0], at=part or "all", choice=chosen)
    return Redirect(f"/visits/{visit_id}/handover#decisions", status_code=303)


def _told_in_full(judging: Judging, visit_id: str, found: Concluded, wait: bool) -> Concluded:
    """The same once what worn parts do is known too, so that the preview comes at once; else without a judgement."""
    if found.signed is not None or not isinstance(found.judgement, Judgement):
        return found
    if wait:
        judging.account(visit_id, found.visit)
    elif not judging.knows_account(visit_id, found.visit):
        return replace(found, judgement=None)
    return found


def _page(
    request: Request[Person, Any, Any],
    visit_id: str,
    found: Concluded,
    mistake: Text | None = None,
    *,
    at: str = "",
    choice: str = "",
    chosen: tuple[str, str, str] = ("", "", ""),
) -> Template:
    judgement = found.judgement if isinstance(found.judgement, Judgement) else None
    unsafe = [finding for finding in judgement.findings if finding.verdict == "unsafe"] if judgement else []
    return page(
        request,
        "handover.html.j2",
        status=400 if mistake else 200,
        visit_id=visit_id,
        found=found,
        vehicle=vehicle_of(found.visit),
        address=f"/visits/{visit_id}/handover",
        progress=found.judgement if isinstance(found.judgement, Progress) else None,
        judgement=judgement,
        counts=verdict_counts(judgement) if judgement else {},
        unsafe=unsafe,
        choices=CHOICES,
        caution=REFUSED_CAUTION,
        manner=manner_wanted(manner_of(request).speech, *chosen),
        languages=LANGUAGES,
        unit_systems=UNITS,
        sheets=SHEETS,
        mistake=mistake,
        at=at,
        choice=choice,
    )


HANDLERS = [handover, handover_document, handover_paper, sign, decision]
