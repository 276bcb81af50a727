"""Observations over HTTP: each put under the id that its device made, so that sending it again is harmless."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import Body, FromPath

from looseends.errors import InputError
from looseends.store.kept import Store
from looseends.store.models import VisitRecord
from looseends.store.observation import Observation
from looseends.store.record import record
from looseends.web.accounts.access import Person, may
from looseends.web.api.examples import example
from looseends.web.api.visit_structs import ObservationIn, ObservationReceipt
from looseends.web.of_visit.recorded import ObservationOut, recorded
from looseends.web.of_visit.visits import known_visit
from looseends.web.taken.known_records import require_known

_SEEN = {
    "kind": "condition",
    "payload": {
        "part": "outer-tie-rod-end-left",
        "condition": "torn-boot",
        "observer": "Tom Orrin",
        "note": "",
        "present": True,
        "again": 0,
    },
    "device_time": "2026-11-26T09:00:00+00:00",
}
_PATH = "/visits/{visit_id:str}/observations"


@get(_PATH, guards=[may("see visits")], sync_to_thread=True, tags=["observations"])
def observations(state: State, visit_id: FromPath[str]) -> list[ObservationOut]:
    """Everything that was recorded in a visit, in the order of receipt."""
    store: Store = state.store
    with store.reading() as session:
        known_visit(session, visit_id)
        return recorded(session, visit_id)


@put(
    _PATH + "/{observation_id:str}",
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["observations"],
)
def put_observation(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    observation_id: FromPath[str],
    data: Annotated[ObservationIn, Body(examples=[example(_SEEN)])],
) -> ObservationReceipt:
    """Record a fact under the id of the device; when this answers it is on the disk."""
    sent = Observation(
        observation_id, visit_id, data.kind, data.payload, request.user.account_id, data.device_time, data.supersedes
    )
    return keep_observation(state.store, sent)


def keep_observation(store: Store, sent: Observation) -> ObservationReceipt:
    """Record one observation; sent again it is answered as before.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    InputError
        If it is not accepted.
    """
    with store.writing() as session:
        stay = session.get(VisitRecord, sent.visit)
        if stay is None:
            raise NotFoundException
        require_known(session, sent, stay.vehicle_id)
        receipt = record(session, [sent])
    if receipt.refused:
        raise InputError(receipt.refused[0].sentence)
    (taken,) = receipt.accepted
    return ObservationReceipt(id=taken.id, sequence=taken.sequence, received_at=taken.received_at, new=taken.new)


HANDLERS = [observations, put_observation]
