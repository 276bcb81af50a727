"""What a visit is laid beside: another of the same plate, or its own other side."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.inspection.types import Judgement
from looseends.report.compared import Comparison, compared_sides, compared_visits
from looseends.store.models import VisitRecord

_MOST_OTHERS = 12


def in_order(stay: VisitRecord, beside: VisitRecord | None) -> list[str]:
    """The ids of what is compared, the earlier visit first; of two on one day the ids tell, ordered by time."""
    both = [stay] if beside is None else [stay, beside]
    return [visit.id for visit in sorted(both, key=lambda visit: (visit.date, visit.id))]


def other_visits(session: Session, stay: VisitRecord) -> list[VisitRecord]:
    """Other visits of the same plate and vehicle, the newest first; without a plate nobody knows."""
    if not stay.plate:
        return []
    table = VisitRecord
    same = select(table).where(table.plate == stay.plate, table.vehicle_id == stay.vehicle_id, table.id != stay.id)
    return list(session.scalars(same.order_by(table.date.desc(), table.id.desc()).limit(_MOST_OTHERS)))


def compared(judged: list[Judgement]) -> Comparison:
    """Two judgements beside each other, or the sides of one."""
    if len(judged) == 1:
        return compared_sides(judged[0])
    first, second = judged
    return compared_visits(first, second, (f"visit of {first.visit.date}", f"visit of {second.visit.date}"))
