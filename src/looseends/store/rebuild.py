"""A visit put together from its observations: in order, corrections applied, numbered."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.inspection.types import CheckDone, Replaced, Use, Visit
from looseends.language import refusal
from looseends.store.canonical import checksum
from looseends.store.models import Account, Complaint, Customer, ObservationRecord, VisitRecord
from looseends.store.observation import KINDS, WITHDRAWN, HiddenFound, ReadingTaken
from looseends.store.typed_json import typed


@dataclass(frozen=True)
class Fact:
    """What holds in a visit: the content of the last correction, in the place of what was first recorded as `id`."""

    id: str
    kind: str
    content: Any


def visit_of(session: Session, visit_id: str) -> Visit:
    """The visit as the inspection knows it, out of what is stored.

    Observations stand in the order of the device's time, then of their ids; a correction stands in the place of what
    it corrects, and what was withdrawn is left out. Of two corrections of one observation the later one holds.

    Raises
    ------
    InputError
        If there is no such visit.
    """
    stay = _known_visit(session, visit_id)
    customer = session.get(Customer, stay.customer_id) if stay.customer_id else None
    complaint = session.get(Complaint, visit_id)
    facts = facts_of(session, visit_id)
    uses = [fact.content for fact in facts if fact.kind == "use"]
    checks, conditions = _checks(facts), _numbered(facts, "condition")
    looked = {record.observer for record in (*checks, *conditions)}
    return Visit(
        vehicle=stay.vehicle_id,
        date=stay.date,
        place=stay.place,
        technician=session.get_one(Account, stay.opened_by).name,
        plate=stay.plate,
        odometer_km=stay.odometer_km,
        customer=customer.name if customer else "",
        complaint=complaint.words if complaint else "",
        jurisdiction=stay.jurisdiction,
        checks=checks,
        conditions=conditions,
        not_checked=_numbered(facts, "not-checked"),
        symptoms=_numbered(facts, "symptom"),
        use=uses[-1] if uses else Use(),
        replaced=_replaced(facts),
        learners=tuple(name for name in _learners(session) if name in looked),
    )


def _learners(session: Session) -> tuple[str, ...]:
    """Names of all who are learners today."""
    return tuple(session.scalars(select(Account.name).where(Account.role == "learner").order_by(Account.name)))


def facts_of(session: Session, visit_id: str) -> tuple[Fact, ...]:
    """What holds in a visit, in order; what was corrected or withdrawn is not in it."""
    table = ObservationRecord
    rows = session.scalars(select(table).where(table.visit_id == visit_id)).all()
    return _standing(sorted(rows, key=_order))


def checks_of(session: Session, visit_ids: Collection[str]) -> dict[str, list[dict[str, Any]]]:
    """The payloads of the checks that hold in each of several visits, in order, by one query and as they are stored."""
    table = ObservationRecord
    chosen = select(table).where(table.visit_id.in_(visit_ids), table.kind.in_(("check", WITHDRAWN)))
    by_visit: dict[str, list[ObservationRecord]] = {visit_id: [] for visit_id in visit_ids}
    for row in session.scalars(chosen):
        by_visit[row.visit_id].append(row)
    return {
        visit_id: [json.loads(last.payload) for _, last in _last_of(_of_checks(sorted(rows, key=_order)))]
        for visit_id, rows in by_visit.items()
    }


def _of_checks(rows: Sequence[ObservationRecord]) -> list[ObservationRecord]:
    """Checks and what withdraws them, without what withdraws other records."""
    by_id = {row.id: row for row in rows}

    def begins(row: ObservationRecord) -> str:
        while row.supersedes in by_id:
            row = by_id[row.supersedes]
        return row.kind

    return [row for row in rows if begins(row) != WITHDRAWN]


def basis_of(session: Session, visit_id: str) -> str:
    """SHA-256 over the ids of all observations of a visit: another one as soon as there is one more."""
    ids = session.scalars(select(ObservationRecord.id).where(ObservationRecord.visit_id == visit_id))
    return checksum("\n".join(sorted(ids)))


def _known_visit(session: Session, visit_id: str) -> VisitRecord:
    stay = session.get(VisitRecord, visit_id)
    if stay is None:
        raise InputError(refusal('visit must be one that is stored, found "{found}".', found=visit_id))
    return stay


def _order(row: ObservationRecord) -> tuple[object, str]:
    return row.device_time, row.id


def _standing(rows: Sequence[ObservationRecord]) -> tuple[Fact, ...]:
    by_id = {row.id: row for row in rows}
    facts = [Fact(first.id, first.kind, _content(last)) for first, last in _last_of(rows)]
    # A reading may name any correction of its check.
    return tuple(_at_beginning(fact, by_id) for fact in facts)


def _last_of(rows: Sequence[ObservationRecord]) -> list[tuple[ObservationRecord, ObservationRecord]]:
    """What was first recorded with its last correction, in order, without what was withdrawn."""
    by_id = {row.id: row for row in rows}
    corrected = {row.supersedes for row in rows}
    last: dict[str, ObservationRecord] = {}
    for row in rows:
        # What corrects by one chain is ordered by the chain, whatever the clocks say; ends of two chains by their time.
        if row.id not in corrected:
            last[_beginning(row, by_id).id] = row
    return [(row, last[row.id]) for row in rows if row.supersedes is None and last[row.id].kind != WITHDRAWN]


def _beginning(row: ObservationRecord, by_id: dict[str, ObservationRecord]) -> ObservationRecord:
    while row.supersedes is not None:
        row = by_id[row.supersedes]
    return row


def _at_beginning(fact: Fact, by_id: dict[str, ObservationRecord]) -> Fact:
    if not isinstance(fact.content, ReadingTaken | HiddenFound):
        return fact
    return replace(fact, content=replace(fact.content, check=_beginning(by_id[fact.content.check], by_id).id))


def _content(row: ObservationRecord) -> Any:
    return typed(KINDS[row.kind], json.loads(row.payload), f"observation {row.id}, {row.kind}")


def _checks(facts: Sequence[Fact]) -> tuple[CheckDone, ...]:
    done = [fact for fact in facts if fact.kind == "check"]
    readings = [fact.content for fact in facts if fact.kind == "reading"]
    hidden = [fact.content for fact in facts if fact.kind == "hidden"]
    return tuple(
        replace(
            fact.content,
            number=number,
            readings=fact.content.readings + tuple(taken.reading for taken in readings if taken.check == fact.id),
            hidden=fact.content.hidden + tuple(found.hidden for found in hidden if found.check == fact.id),
        )
        for number, fact in enumerate(done, start=1)
    )


def _numbered(facts: Sequence[Fact], kind: str) -> tuple[Any, ...]:
    contents = [fact.content for fact in facts if fact.kind == kind]
    return tuple(replace(content, number=number) for number, content in enumerate(contents, start=1))


def _replaced(facts: Sequence[Fact]) -> tuple[Replaced, ...]:
    found: list[Replaced] = []
    checks = 0
    for fact in facts:
        checks += fact.kind == "check"
        if fact.kind == "replaced":
            found.append(replace(fact.content, number=len(found) + 1, after_check=checks))
    return tuple(found)
