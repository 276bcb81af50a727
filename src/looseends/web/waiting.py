"""What waits: the visits of the shop as lines of one list, each with what is to be done next."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Row, Select, func, or_, select
from sqlalchemy.orm import Session

from looseends.language import Text, say, say_count
from looseends.store.models import Complaint, Customer, VisitRecord
from looseends.store.rebuild import facts_of
from looseends.vehicle.loading import load_vehicles
from looseends.web.lift_points import LOOKS, LiftPoints, lift_points_found

MOST_LINES = 100


@dataclass(frozen=True)
class Line:
    """One visit in the list."""

    visit_id: str
    plate: str
    vehicle: str
    customer: str
    complaint: str
    date: datetime.date
    waits: Text
    done: bool


@dataclass(frozen=True)
class Waiting:
    """The lines of a page: what is open, the longest waiting first, and what was signed off, the newest first."""

    open: tuple[Line, ...]
    done: tuple[Line, ...]
    more: int
    any_visit: bool


def waiting(session: Session, search: str = "") -> Waiting:
    """What waits; with `search` only what has these words in plate, number, customer, vehicle or complaint."""
    wanted = _matching(search)
    opened = [VisitRecord.state == "open", *wanted]
    total = session.scalar(_joined(select(func.count())).where(*opened)) or 0
    first = _joined(_columns()).where(*opened).order_by(VisitRecord.opened_at).limit(MOST_LINES)
    last = (
        _joined(_columns())
        .where(VisitRecord.state != "open", *wanted)
        .order_by(VisitRecord.opened_at.desc())
        .limit(MOST_LINES if search else 10)
    )
    rows = [*session.execute(first).all(), *session.execute(last).all()]
    facts = _facts(session, [row.VisitRecord.id for row in rows])
    lines = [_line(row, *facts.get(row.VisitRecord.id, (0, LiftPoints("not looked at")))) for row in rows]
    return Waiting(
        open=tuple(line for line in lines if not line.done),
        done=tuple(line for line in lines if line.done),
        more=max(0, total - MOST_LINES),
        any_visit=bool(rows) or session.scalar(select(VisitRecord.id).limit(1)) is not None,
    )


def _columns() -> Select[VisitRecord, str, str]:
    return select(VisitRecord, Customer.name, Complaint.words)


def _joined(query: Select) -> Select:  # type: ignore[type-arg]
    return (
        query.select_from(VisitRecord)
        .outerjoin(Customer, Customer.id == VisitRecord.customer_id)
        .outerjoin(Complaint, Complaint.visit_id == VisitRecord.id)
    )


def _matching(search: str) -> list[ColumnElement[bool]]:
    """One condition for each word; a word may stand anywhere."""
    columns = (VisitRecord.plate, VisitRecord.vin, Customer.name, Complaint.words, VisitRecord.vehicle_id)
    found = []
    for word in search.split()[:6]:
        by_name = [known.id for known in load_vehicles().values() if word.lower() in known.name.lower()]
        matches = [column.icontains(word, autoescape=True) for column in columns]
        found.append(or_(*matches, VisitRecord.vehicle_id.in_(by_name)))
    return found


def _facts(session: Session, visit_ids: Sequence[str]) -> dict[str, tuple[int, LiftPoints]]:
    """How many checks each visit has, and what was seen at its lift points."""
    found = {}
    for visit_id in visit_ids:
        facts = facts_of(session, visit_id)
        checks = [fact for fact in facts if fact.kind == "check" and fact.content.setup.check not in LOOKS]
        found[visit_id] = len(checks), lift_points_found(facts)
    return found


def _line(row: Row[VisitRecord, str, str], checks: int, lift_points: LiftPoints) -> Line:
    visit, customer, complaint = row
    known = load_vehicles()
    return Line(
        visit_id=visit.id,
        plate=visit.plate,
        vehicle=known[visit.vehicle_id].name if visit.vehicle_id in known else visit.vehicle_id,
        customer=customer or "",
        complaint=complaint or "",
        date=visit.date,
        waits=_waits(visit.state, checks, lift_points),
        done=visit.state != "open",
    )


def _waits(state: str, checks: int, lift_points: LiftPoints) -> Text:
    if state != "open":
        return say("signed off")
    if lift_points.found == "not sound":
        return say("not raised: tell the owner")
    if lift_points.found == "not looked at":
        return say("lift points, before it is raised")
    if checks == 0:
        return say("first check")
    return say_count("{count} check done, go on", "{count} checks done, go on", checks)
