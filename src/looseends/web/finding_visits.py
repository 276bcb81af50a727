"""Visits found among very many: those that are open, those signed off last, and those that have some words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Row, Select, func, or_, select, union
from sqlalchemy.orm import Session

from looseends.store.models import Complaint, Customer, Vehicle, VisitRecord
from looseends.vehicle.loading import load_vehicles

MOST_FOUND = 100
LAST_DONE = 10
"""Of those signed off so many are shown where nobody searches."""

NEWEST = 2_000
"""So many of those signed off are looked through one by one: what is often said is soon found, with no index."""

MOST_WORDS = 6

VisitRow = Row[VisitRecord, str | None, str | None]
"""A visit, its customer's name and its complaint."""


@dataclass(frozen=True)
class Found:
    """Open visits, the longest waiting first, and signed ones, the newest first; `more` are open beside these."""

    open: tuple[VisitRow, ...]
    done: tuple[VisitRow, ...]
    more: int


def found_visits(session: Session, search: str = "") -> Found:
    """Visits that have all words of `search` somewhere in plate, number, customer, vehicle or complaint."""
    words = search.split()[:MOST_WORDS]
    opened = _with_names(_having(words)).where(VisitRecord.state == "open").order_by(VisitRecord.opened_at)
    rows = session.execute(opened.limit(MOST_FOUND)).all()
    total = len(rows)
    if total == MOST_FOUND:
        counted = opened.order_by(None).with_only_columns(func.count())
        total = session.scalar(counted) or 0
    return Found(tuple(rows), tuple(_done(session, words)), total - len(rows))


def _done(session: Session, words: Sequence[str]) -> Sequence[VisitRow]:
    """Those signed off, the newest first: by looking through the last of them, or where few have it, by their words."""
    signed = select(VisitRecord.id).where(VisitRecord.state == "signed-off").order_by(VisitRecord.opened_at.desc())
    if not words:
        return _newest(session, VisitRecord.id.in_(signed.limit(LAST_DONE)))
    last = signed.limit(NEWEST).subquery()
    rows = _newest(session, VisitRecord.id.in_(select(last.c.id)), *_having(words))
    if len(rows) == MOST_FOUND or session.scalar(signed.offset(NEWEST).limit(1)) is None:
        return rows
    return _newest(
        session, VisitRecord.state == "signed-off", *(VisitRecord.id.in_(_that_have(word)) for word in words)
    )


def _newest(session: Session, *conditions: ColumnElement[bool]) -> Sequence[VisitRow]:
    query = _with_names(conditions).order_by(VisitRecord.opened_at.desc()).limit(MOST_FOUND)
    return session.execute(query).all()


def _with_names(conditions: Sequence[ColumnElement[bool]]) -> Select[VisitRecord, str | None, str | None]:
    return (
        select(VisitRecord, Customer.name, Complaint.words)
        .outerjoin(Customer, Customer.id == VisitRecord.customer_id)
        .outerjoin(Complaint, Complaint.visit_id == VisitRecord.id)
        .where(*conditions)
    )


def _having(words: Sequence[str]) -> list[ColumnElement[bool]]:
    """One condition for each word, which may stand anywhere: to be asked of few visits."""
    texts = (VisitRecord.plate, VisitRecord.vin, Customer.name, Complaint.words)
    return [or_(*(text.ilike(_like(word), escape="/") for text in texts), _of_vehicle(word)) for word in words]


def _that_have(word: str) -> Select[str]:
    """Ids of all visits that have the word: each table asked by itself, so that it uses its own index."""
    pattern = _like(word)
    numbers = (text.ilike(pattern, escape="/") for text in (VisitRecord.plate, VisitRecord.vin))
    by_customer = select(VisitRecord.id).join(Customer, Customer.id == VisitRecord.customer_id)
    found = union(
        select(VisitRecord.id).where(or_(*numbers, _of_vehicle(word))),
        by_customer.where(Customer.name.ilike(pattern, escape="/")),
        select(Complaint.visit_id).where(Complaint.words.ilike(pattern, escape="/")),
    ).subquery()
    return select(found.c.id)


def _of_vehicle(word: str) -> ColumnElement[bool]:
    """Of a vehicle whose name or id has the word; of these there are few."""
    by_name = [known.id for known in load_vehicles().values() if word.lower() in known.name.lower()]
    stored = select(Vehicle.id).where(or_(Vehicle.id.ilike(_like(word), escape="/"), Vehicle.id.in_(by_name)))
    return VisitRecord.vehicle_id.in_(stored)


def _like(word: str) -> str:
    """A pattern that finds the word anywhere, its own signs taken as they are."""
    for sign in "/%_":
        word = word.replace(sign, f"/{sign}")
    return f"%{word}%"
