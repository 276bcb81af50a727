"""What is concluded from a visit over HTTP: the sign-off, the owner's decisions, the handover as a PDF."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import Body, FromPath, QueryParameter
from litestar.response import Response

from looseends.language import ENGLISH
from looseends.store.kept import Store
from looseends.store.rebuild import basis_of
from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of
from looseends.web.api.examples import example
from looseends.web.api.judgement import WAITS, waits
from looseends.web.api.sign_off_structs import DecisionIn, DecisionOut, SignOffIn, SignOffOut
from looseends.web.judged.preparing import Progress
from looseends.web.of_visit.concluded import concluded, judged_now
from looseends.web.of_visit.handing_over import freeze, manner_wanted, require_as_seen, write_down_decision
from looseends.web.of_visit.papers import paper_answer
from looseends.web.of_visit.visits import known_visit

_SIGN_OFF = "/visits/{visit_id:str}/sign-off"
_PDF = "application/pdf"
_Choice = Annotated[str, QueryParameter(max_length=20)]


@get(_SIGN_OFF, guards=[may("see visits")], sync_to_thread=True, tags=["conclusions"])
def sign_off(state: State, visit_id: FromPath[str]) -> SignOffOut:
    """Who signed the visit off and when, the checksum of what was frozen, and what was decided; `basis` is of now."""
    return _out(state, visit_id)


@post(_SIGN_OFF, guards=[may("sign off")], status_code=200, sync_to_thread=True, tags=["conclusions"], responses=WAITS)
def put_sign_off(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    data: Annotated[SignOffIn, Body(examples=[example({"basis": 64 * "0"})])],
) -> Response[Any]:
    """Freeze the judgement of exactly what `basis` names, once; 202 while tables are computed."""
    store: Store = state.store
    with store.reading() as session:
        known_visit(session, visit_id)
        require_as_seen(basis_of(session, visit_id), data.basis)
    judgement = judged_now(state, visit_id)
    if isinstance(judgement, Progress):
        return waits(judgement)
    freeze(store, state.judging, visit_id, judgement, request.user.account_id)
    return Response(content=_out(state, visit_id))


@post("/visits/{visit_id:str}/decisions", guards=[may("decide")], sync_to_thread=True, tags=["conclusions"])
def add_decision(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    data: Annotated[
        DecisionIn,
        Body(
            examples=[
                example({"part": "lower-ball-joint-left", "decision": "repair", "caution_told": True}),
                example({"decision": "leave"}),
            ]
        ),
    ],
) -> SignOffOut:
    """Write down what the owner decides about an unsafe part, or all that are left; the last decision counts."""
    write_down_decision(
        state.store, visit_id, data.part, data.decision, told=data.caution_told, account_id=request.user.account_id
    )
    return _out(state, visit_id)


@get(
    "/visits/{visit_id:str}/handover",
    guards=[may("hand over")],
    sync_to_thread=True,
    tags=["conclusions"],
    media_type=_PDF,
)
def handover(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    language: _Choice = "",
    units: _Choice = "",
    sheet: _Choice = "",
) -> Response[bytes]:
    """The handover as a PDF, in the account's language and units unless others are named; 404 before there is one."""
    return paper_answer(state, visit_id, manner_wanted(manner_of(request).speech, language, units, sheet))


def _out(state: State, visit_id: str) -> SignOffOut:
    found = concluded(state, visit_id, ENGLISH, wait=False)
    signed = found.signed
    if signed is None:
        return SignOffOut(basis=found.basis)
    return SignOffOut(
        basis=found.basis,
        by=signed.by,
        at=signed.at,
        sha256=signed.sha256,
        whole=signed.whole,
        rests_on_all=signed.rests_on_all,
        decisions=[
            DecisionOut(part=made.part, decision=made.decision, by=made.by, at=made.at) for made in signed.decisions
        ],
        undecided=list(signed.undecided),
    )


HANDLERS = [sign_off, put_sign_off, add_decision, handover]
