"""Everything that was recorded in a visit, as it is sent to whoever asks."""

from __future__ import annotations

import datetime
import json
from typing import Any

import msgspec
from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.store.models import ObservationRecord


class ObservationOut(msgspec.Struct, kw_only=True):
    """An observation as it is kept; what was corrected or withdrawn stays in the list."""

    id: str
    sequence: int
    kind: str
    payload: dict[str, Any]
    account: str
    device_time: datetime.datetime
    received_at: datetime.datetime
    supersedes: str | None
    redacted: bool


def recorded(session: Session, visit_id: str) -> list[ObservationOut]:
    """Everything that was recorded in a visit, in the order of receipt."""
    chosen = select(ObservationRecord).where(ObservationRecord.visit_id == visit_id)
    return [_out(row) for row in session.scalars(chosen.order_by(ObservationRecord.sequence))]


def _out(row: ObservationRecord) -> ObservationOut:
    return ObservationOut(
        id=row.id,
        sequence=row.sequence,
        kind=row.kind,
        payload=json.loads(row.payload),
        account=row.account_id,
        device_time=row.device_time,
        received_at=row.received_at,
        supersedes=row.supersedes,
        redacted=row.redacted_at is not None,
    )
