"""Common facts of a visit over HTTP, each put under the id that its device made: lift points, a skip, a withdrawal."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import Body, FromPath

from looseends.catalogue import load_catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.store.kept import Store
from looseends.store.observation import WITHDRAWN, Observation
from looseends.store.rebuild import facts_of
from looseends.web.accounts.access import Person, may
from looseends.web.api.examples import example
from looseends.web.api.observations import keep_observation
from looseends.web.api.visit_structs import LiftPointsIn, LiftPointsOut, ObservationReceipt, SkipIn, WithdrawalIn
from looseends.web.of_visit.lift_points import lift_points_found
from looseends.web.of_visit.visits import known_visit
from looseends.web.taken.recording import lift_points_seen, payload_of

_VISIT = "/visits/{visit_id:str}"
_TIME = "2026-11-26T09:00:00+00:00"


@get(_VISIT + "/lift-points", guards=[may("see visits")], sync_to_thread=True, tags=["observations"])
def lift_points(state: State, visit_id: FromPath[str]) -> LiftPointsOut:
    """What was seen at the lift points last: "not looked at", "sound" or "not sound"."""
    store: Store = state.store
    with store.reading() as session:
        known_visit(session, visit_id)
        seen = lift_points_found(facts_of(session, visit_id))
    return LiftPointsOut(found=seen.found, note=seen.note)


@put(
    _VISIT + "/lift-points/{observation_id:str}",
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["observations"],
)
def put_lift_points(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    observation_id: FromPath[str],
    data: Annotated[LiftPointsIn, Body(examples=[example({"sound": True, "device_time": _TIME})])],
) -> ObservationReceipt:
    """Record the look at the lift points, which comes before the vehicle is raised; the last look counts."""
    seen = payload_of(lift_points_seen(data.sound, data.note, request.user.name))
    return _kept(request, state, visit_id, observation_id, "check", seen, data.device_time)


@put(
    _VISIT + "/skips/{observation_id:str}",
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["observations"],
)
def put_skip(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    observation_id: FromPath[str],
    data: Annotated[
        SkipIn, Body(examples=[example({"check": "dry-park", "because": "no helper", "device_time": _TIME})])
    ],
) -> ObservationReceipt:
    """Leave a check out, and say why; it is not offered again."""
    if data.check not in load_catalogue().checks:
        raise InputError(unknown_name_sentence("check", data.check, load_catalogue().checks, where="skip"))
    left_out = {"part": data.check, "because": data.because}
    return _kept(request, state, visit_id, observation_id, "not-checked", left_out, data.device_time)


@put(
    _VISIT + "/withdrawals/{observation_id:str}",
    guards=[may("undo")],
    status_code=200,
    sync_to_thread=True,
    tags=["observations"],
)
def put_withdrawal(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    observation_id: FromPath[str],
    data: Annotated[
        WithdrawalIn,
        Body(
            examples=[
                example(
                    {
                        "observation": "01a215f6-de1f-7094-bebb-f5499556e234",
                        "because": "read on the wrong side",
                        "device_time": _TIME,
                    }
                )
            ]
        ),
    ],
) -> ObservationReceipt:
    """Take an observation back; it stays in the record and counts no more."""
    because = {"because": data.because}
    at, of = data.device_time, data.observation
    return _kept(request, state, visit_id, observation_id, WITHDRAWN, because, at, supersedes=of)


def _kept(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: str,
    observation_id: str,
    kind: str,
    payload: Mapping[str, Any],
    at: datetime.datetime,
    supersedes: str | None = None,
) -> ObservationReceipt:
    account_id = request.user.account_id
    sent = Observation(observation_id, visit_id, kind, dict(payload), account_id, at, supersedes)
    return keep_observation(state.store, sent)


HANDLERS = [lift_points, put_lift_points, put_skip, put_withdrawal]
