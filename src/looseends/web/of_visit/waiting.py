"""What waits: the visits of the shop as lines of one list, each with what is to be done next."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.language import Text, say, say_count
from looseends.report.check_notes import LIFT_POINTS
from looseends.store.models import VisitRecord
from looseends.store.rebuild import checks_of
from looseends.store.sign_off import undecided
from looseends.vehicle.loading import load_vehicles
from looseends.web.of_visit.finding_visits import VisitRow, found_visits
from looseends.web.of_visit.lift_points import LOOKS, LiftPoints, lift_points_noted


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
    found = found_visits(session, search)
    rows = (*found.open, *found.done)
    checks = checks_of(session, [row.VisitRecord.id for row in rows])
    asked = undecided(session, [row.VisitRecord.id for row in found.done])
    lines = [_line(row, *_looked(checks[row.VisitRecord.id]), len(asked.get(row.VisitRecord.id, ()))) for row in rows]
    return Waiting(
        open=tuple(line for line in lines if not line.done),
        done=tuple(line for line in lines if line.done),
        more=found.more,
        any_visit=bool(rows) or session.scalar(select(VisitRecord.id).limit(1)) is not None,
    )


def _looked(checks: Sequence[Mapping[str, Any]]) -> tuple[int, LiftPoints]:
    """How many checks were done, and what was seen at the lift points."""
    names = [check["setup"]["check"] for check in checks]
    notes = [check["note"] for check, name in zip(checks, names, strict=True) if name == LIFT_POINTS.check]
    return sum(name not in LOOKS for name in names), lift_points_noted(notes)


def _line(row: VisitRow, checks: int, lift_points: LiftPoints, asked: int) -> Line:
    visit, customer, complaint = row
    known = load_vehicles()
    return Line(
        visit_id=visit.id,
        plate=visit.plate,
        vehicle=known[visit.vehicle_id].name if visit.vehicle_id in known else visit.vehicle_id,
        customer=customer or "",
        complaint=complaint or "",
        date=visit.date,
        waits=_decides(asked) if asked else _waits(visit.state, checks, lift_points),
        done=visit.state != "open",
    )


def _decides(parts: int) -> Text:
    if parts == 1:
        return say("unsafe: the owner decides")
    return say("unsafe: the owner decides about {count} parts", count=parts)


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
