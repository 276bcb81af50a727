"""Records of an invented visit, and what the tests ask of a store again and again."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Mapping
from dataclasses import replace

from looseends.inspection.types import Visit
from looseends.store import (
    Observation,
    Receipt,
    Store,
    keep_account,
    keep_customer,
    keep_vehicle,
    open_visit,
    record,
    time_ordered_id,
    visit_of,
)
from looseends.store.models import Account, Customer, VisitRecord

NOON = datetime.datetime(2026, 10, 14, 12, 0, tzinfo=datetime.UTC)
VISIT = "visit-1"
CUSTOMER = "customer-1"
TECHNICIAN = "account-1"
NAME, PHONE, PLATE, VIN = "Wilhelmina Quay", "+44 1632 960123", "SLIP 77", "1XXPD4TY0MD000001"
COMPLAINT = "Wilhelmina says the wheel shimmies near the jetty"

SETUP = {
    "check": "bj-axial",
    "support": "arm",
    "side": "left",
    "steer": "free",
    "brake": "off",
    "stand_inboard_mm": 0.0,
}
READING = {"watch": "gap", "by": "gauge", "gauge_mm": 2.25, "grade": None, "note": ""}
_count = itertools.count()


def check(observer: str = "Ann", **fields: object) -> dict[str, object]:
    """The payload of a check."""
    plain: dict[str, object] = {"setup": SETUP, "stop_gap_mm": None, "observer": observer, "note": ""}
    return {**plain, "readings": [READING], "passed_parts": ["idler-arm"], **fields}


def condition(part: str = "idler-arm", note: str = "", **fields: object) -> dict[str, object]:
    """The payload of a condition."""
    return {"part": part, "condition": "boot-torn", "observer": "Ann", "note": note, **fields}


def fact(kind: str, payload: Mapping[str, object], minute: float = 0.0, **fields: object) -> Observation:
    """An observation so many minutes after noon, later ones with later ids."""
    at = NOON + datetime.timedelta(minutes=minute)
    made = Observation(time_ordered_id(next(_count)), VISIT, kind, payload, TECHNICIAN, at)
    return replace(made, **fields)  # type: ignore[arg-type]


def prepared(store: Store) -> Store:
    """The store with one account, vehicle, customer and open visit."""
    with store.writing() as session:
        keep_account(
            session,
            Account(id=TECHNICIAN, name="Ann", role="technician", language="en", units="metric", created_at=NOON),
        )
        keep_vehicle(session, "yard-pickup", at=NOON)
        keep_vehicle(session, "old-dory", toml='id = "old-dory"\n', at=NOON)
        keep_customer(session, Customer(id=CUSTOMER, name=NAME, phone=PHONE, created_at=NOON))
        open_visit(session, stay(), complaint=COMPLAINT)
    return store


def stay(**fields: object) -> VisitRecord:
    """The visit's own row."""
    row = dict(id=VISIT, vehicle_id="yard-pickup", customer_id=CUSTOMER, opened_by=TECHNICIAN, opened_at=NOON)
    row |= dict(date=NOON.date(), place="Saltmarsh Slip", plate=PLATE, vin=VIN, odometer_km=81200.0)
    return VisitRecord(**{**row, "jurisdiction": "us-federal", **fields})


def recorded(store: Store, *observations: Observation) -> Receipt:
    """The receipt of a batch in a transaction of its own."""
    with store.writing() as session:
        return record(session, observations)


def refusals(store: Store, *observations: Observation) -> list[str]:
    """The sentences of a batch."""
    return [refused.sentence for refused in recorded(store, *observations).refused]


def visit_in(store: Store, visit: str = VISIT) -> Visit:
    """The visit as it is stored."""
    with store.reading() as session:
        return visit_of(session, visit)
