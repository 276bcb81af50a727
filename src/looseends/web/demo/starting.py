"""What a demo bay does at its first start: tables of its vehicles one after the other, then the sign-off that waits."""

from __future__ import annotations

import datetime
import threading
import time

from litestar import Litestar
from sqlalchemy import select

from looseends.inspection.types import Judgement
from looseends.store.kept import Store
from looseends.store.models import VisitRecord
from looseends.store.rebuild import visit_of
from looseends.store.sign_off import judgement_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.demo.filling import demo_vehicles, to_sign
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Preparing
from looseends.web.of_visit.handing_over import freeze

_LOOK_AGAIN_S = 2.0


def start_demo(app: Litestar) -> None:
    """Begin in a thread of its own, which ends with the program; what is there already is passed over."""
    threading.Thread(target=_get_ready, args=(app,), daemon=True).start()


def _get_ready(app: Litestar) -> None:
    preparing: Preparing = app.state.preparing
    for vehicle_id in demo_vehicles():
        if _prepared(preparing, load_vehicles()[vehicle_id]):
            sign_what_waits(app, vehicle_id)


def _prepared(preparing: Preparing, vehicle: Vehicle) -> bool:
    """Waits for a vehicle's tables; False where they cannot be computed, which is tried once."""
    while not preparing.ready(vehicle):
        if preparing.progress(vehicle.id).failed:
            return False
        time.sleep(_LOOK_AGAIN_S)
    return True


def sign_what_waits(app: Litestar, vehicle_id: str) -> None:
    """The visits of the demo's list that are signed off, judged and frozen as a person would, on their day."""
    store: Store = app.state.store
    judging: Judging = app.state.judging
    with store.reading() as session:
        waiting = [
            (stay, visit_of(session, stay.id))
            for stay in session.scalars(select(VisitRecord).where(VisitRecord.vehicle_id == vehicle_id))
            if to_sign(stay) and judgement_of(session, stay.id) is None
        ]
    for stay, visit in waiting:
        found = judging.judgement(stay.id, visit)
        while not isinstance(found, Judgement):
            time.sleep(_LOOK_AGAIN_S)
            found = judging.judgement(stay.id, visit)
        evening = datetime.datetime.combine(stay.date, datetime.time(16, 40)).astimezone()
        freeze(store, judging, stay.id, found, stay.opened_by, at=evening)
