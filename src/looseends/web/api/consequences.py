"""What a visit's worn parts do, over HTTP: the lash ledger, the repair, toe swing and side slip, tires."""

from __future__ import annotations

from typing import Any

import msgspec
from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import FromPath
from litestar.response import Response

from looseends.inspection.types import Judgement
from looseends.report.content import consequences_said
from looseends.report.handover_records import ConsequencesText
from looseends.report.ledger_record import ledger_record
from looseends.report.vehicle_plan import plan_geometry
from looseends.store.typed_json import plain
from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of
from looseends.web.api.judgement import WAITS, waits
from looseends.web.judged.judging import Judging, vehicle_of
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.concluded import concluded, judged_now


class ConsequencesOut(msgspec.Struct):
    """What worn parts do: `said` in the account's language and units, as in the handover; None where nothing is worn.

    `figures` are as `looseends ledger --json` prints them, in mm, degrees and m/km. Of a visit that is signed off
    `said` is as it was signed, and there are no figures.
    """

    signed: bool
    said: ConsequencesText | None
    figures: dict[str, Any] | None


@get(
    "/visits/{visit_id:str}/consequences",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["judgement"],
    responses={200: ResponseSpec(ConsequencesOut, description="In sentences, and in figures."), **WAITS},
)
def consequences(request: Request[Person, Any, Any], state: State, visit_id: FromPath[str]) -> Response[Any]:
    """What the worn parts do to play at the wheel, on the road and to the tires; 202 while tables are computed."""
    judging: Judging = state.judging
    speech = manner_of(request).speech
    signed = concluded(state, visit_id, speech, wait=False).signed
    if signed is not None:
        return Response(content=ConsequencesOut(True, signed.beside.consequences_in(speech), None))
    found = judged_now(state, visit_id)
    if isinstance(found, Progress):
        return waits(found)
    assert isinstance(found, Judgement)
    account = judging.account(visit_id, found.visit)
    if account is None:
        return Response(content=ConsequencesOut(False, None, None))
    said = consequences_said(account, found, plan_geometry(vehicle_of(found.visit)), speech)
    figures = plain(ledger_record(found.visit, account))
    assert isinstance(figures, dict)
    return Response(content=ConsequencesOut(False, said, figures))


HANDLERS = [consequences]
