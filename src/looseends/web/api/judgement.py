"""The judgement of a visit over HTTP, and the check to do next."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import FromPath
from litestar.response import Response

from looseends.inspection.types import Judgement
from looseends.store.kept import Store
from looseends.store.typed_json import plain
from looseends.web.accounts.access import Person, may
from looseends.web.api.vehicle_structs import TablesProgress
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.visits import known_visit

WAITS = {202: ResponseSpec(TablesProgress, description="Tables are computed first; ask again.")}


@get(
    "/visits/{visit_id:str}/judgement",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["judgement"],
    responses=WAITS,
)
def judgement(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Response[Any]:
    """Everything that follows from a visit, as `looseends judge --json` prints it; 202 while tables are computed."""
    return _answer(_judged(state, visit_id), lambda found: plain(found))


@get(
    "/visits/{visit_id:str}/next-check",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["judgement"],
    responses=WAITS,
)
def next_check(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Response[Any]:
    """The checks that tell most per minute, the best first; 202 while tables are computed."""
    return _answer(_judged(state, visit_id), lambda found: plain(found.next_checks))


def _judged(state: State, visit_id: str) -> Judgement | Progress:
    store: Store = state.store
    judging: Judging = state.judging
    with store.reading() as session:
        visit, _ = known_visit(session, visit_id)
    return judging.judgement(visit_id, visit)


def _answer(found: Judgement | Progress, content: Any) -> Response[Any]:
    return waits(found) if isinstance(found, Progress) else Response(content=content(found))


def waits(progress: Progress) -> Response[Any]:
    """What is answered while tables are computed."""
    told = TablesProgress(vehicle=progress.vehicle_id, done=progress.done, total=progress.total, failed=progress.failed)
    headers = {"Retry-After": "2"}
    return Response(content=told, status_code=202, media_type="application/json", headers=headers)


HANDLERS = [judgement, next_check]
