"""A record from a device held against its visit's vehicle, so that nothing is kept that nobody can judge."""

from __future__ import annotations

import json

from sqlalchemy.orm import Session

from looseends.catalogue import load_catalogue
from looseends.inspection.known_names import Known
from looseends.inspection.types import CheckDone
from looseends.store.models import ObservationRecord
from looseends.store.observation import HiddenFound, Observation, ReadingTaken, TimeAtHand, checked
from looseends.store.typed_json import typed
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.web.taken.time_at_hand import require_minutes


def require_known(session: Session, sent: Observation, vehicle_id: str) -> None:
    """Refuse a new record that names a check, part or grade that there is not.

    One that is stored is left to the store: sent again it stays accepted, whatever the catalogue has become. So is one
    of a vehicle whose file is gone.

    Raises
    ------
    InputError
        In one sentence, what is named and what is accepted.
    """
    vehicles = load_vehicles()
    if vehicle_id not in vehicles or session.get(ObservationRecord, sent.id) is not None:
        return
    vehicle, where = vehicles[vehicle_id], f"observation {sent.id}"
    known = Known(load_catalogue(), vehicle.parts, vehicle.layout.supports)
    content = checked(sent).content
    if isinstance(content, TimeAtHand):
        require_minutes(content, where)
    elif isinstance(content, HiddenFound):
        known.require(content.hidden, where)
    elif isinstance(content, ReadingTaken):
        if (setup := _setup_of(session, content.check, sent.visit)) is not None:
            known.require(content.reading, where, setup)
    else:
        known.require(content, where)


def _setup_of(session: Session, check: str, visit: str) -> Setup | None:
    """The setup of a check that was recorded before; None where there is no such record, which the store refuses."""
    found = session.get(ObservationRecord, check)
    if found is None or found.visit_id != visit or found.kind != "check":
        return None
    done: CheckDone = typed(CheckDone, json.loads(found.payload), f"observation {check}, check")
    return done.setup
