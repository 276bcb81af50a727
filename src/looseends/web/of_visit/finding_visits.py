"""Visits found among very many: those that are open, those signed off last, and those that have some words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, CompoundSelect, Row, Select, desc, func, or_, select, text, union_all
from sqlalchemy.orm import Session, aliased

from looseends.store.models import Complaint, Customer, Vehicle, VisitRecord
from looseends.vehicle.loading import load_vehicles

MOST_FOUND = 100
LAST_DONE = 10
"""Of those signed off so many are shown where nobody searches."""

NEWEST = 2_000
"""So many of those signed off are looked through one by one: what is often said is soon found, with no index."""

HARDLY_ANY = 2_000
"""Where no more visits than these have a word, the other words are looked for in them alone."""

SETS_MB = 64
"""So much memory PostgreSQL may take for the set of all visits that have a word, some 40 bytes for each."""

LEAST_LETTERS = 3
"""A shorter word is looked for in the open visits and the newest of the signed ones: no index finds it."""

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
    opened = _with_names(select(VisitRecord).where(VisitRecord.state == "open"), words)
    rows = session.execute(opened.order_by("opened_at").limit(MOST_FOUND)).all()
    total = len(rows)
    if total == MOST_FOUND:
        total = session.scalar(select(func.count()).select_from(opened.subquery())) or 0
    return Found(tuple(rows), tuple(_done(session, words)), total - len(rows))


def _done(session: Session, words: Sequence[str]) -> Sequence[VisitRow]:
    """Those signed off, the newest first: looked through in their order, then by the words that an index finds."""
    signed = select(VisitRecord).where(VisitRecord.state == "signed-off").order_by(VisitRecord.opened_at.desc())
    if not words:
        return _newest(session, signed.limit(LAST_DONE), ())
    rows = _newest(session, signed.limit(NEWEST), words)
    long = sorted((word for word in words if len(word) >= LEAST_LETTERS), key=len, reverse=True)
    if len(rows) == MOST_FOUND or not long or not _goes_on(session, signed):
        return rows
    if rare := next((word for word in long if _hardly_any_has(session, word)), None):
        return _newest(session, signed.where(VisitRecord.id.in_(_that_have(rare))), words)
    chosen = signed.where(*(_has(session, word) for word in long))
    if len(long) < len(words):
        return _newest(session, chosen, words)
    # what is said of them elsewhere need be read of those alone that are shown
    return _newest(session, chosen.limit(MOST_FOUND), ())


def _goes_on(session: Session, signed: Select[VisitRecord]) -> bool:
    """Whether there are more than those looked through."""
    return session.scalar(signed.with_only_columns(VisitRecord.id).offset(NEWEST).limit(1)) is not None


def _hardly_any_has(session: Session, word: str) -> bool:
    """Whether so few customers and visits have the word; counting ends where it is known."""
    by_vehicle = select(VisitRecord.id).where(VisitRecord.vehicle_id.in_(_vehicles(word)))
    counted = union_all(_customers_with(word), *_visits_with(word), by_vehicle).limit(HARDLY_ANY + 1).subquery()
    return (session.scalar(select(func.count()).select_from(counted)) or 0) <= HARDLY_ANY


def _that_have(word: str) -> CompoundSelect[str]:
    """Ids of the visits that have the word: each table is asked by its own index."""
    return union_all(
        *_visits_with(word),
        select(VisitRecord.id).where(VisitRecord.vehicle_id.in_(_vehicles(word))),
        select(VisitRecord.id).where(VisitRecord.customer_id.in_(_customers_with(word))),
    )


def _has(session: Session, word: str) -> ColumnElement[bool]:
    """Whether a visit has the word, looked up in sets that are made once, and not for each visit."""
    if session.get_bind().dialect.name == "postgresql":
        session.execute(text(f"SET LOCAL work_mem = '{SETS_MB}MB'"))
    customers, visits = (
        chosen.subquery().select().cte().prefix_with("MATERIALIZED", dialect="postgresql")
        for chosen in (_customers_with(word), union_all(*_visits_with(word)))
    )
    return or_(
        VisitRecord.vehicle_id.in_(session.scalars(_vehicles(word)).all()),
        VisitRecord.customer_id.in_(select(customers.c.id)),
        VisitRecord.id.in_(select(visits.c.id)),
    )


def _visits_with(word: str) -> Sequence[Select[str]]:
    """Ids of the visits that have the word in plate, number or complaint."""
    pattern = _like(word)
    return (
        select(VisitRecord.id).where(VisitRecord.plate.ilike(pattern, escape="/")),
        select(VisitRecord.id).where(VisitRecord.vin.ilike(pattern, escape="/")),
        select(Complaint.visit_id).where(Complaint.words.ilike(pattern, escape="/")),
    )


def _customers_with(word: str) -> Select[str]:
    """Ids of the customers whose name has the word."""
    return select(Customer.id).where(Customer.name.ilike(_like(word), escape="/"))


def _newest(session: Session, chosen: Select[VisitRecord], words: Sequence[str]) -> Sequence[VisitRow]:
    query = _with_names(chosen, words).order_by(desc("opened_at")).limit(MOST_FOUND)
    return session.execute(query).all()


def _with_names(chosen: Select[VisitRecord], words: Sequence[str]) -> Select[VisitRecord, str | None, str | None]:
    """The chosen visits with what is said of them elsewhere; only those that have all the words."""
    stay = aliased(VisitRecord, chosen.subquery(), name="VisitRecord")
    query = (
        select(stay, Customer.name, Complaint.words)
        .outerjoin(Customer, Customer.id == stay.customer_id)
        .outerjoin(Complaint, Complaint.visit_id == stay.id)
    )
    columns = (stay.plate, stay.vin, Customer.name, Complaint.words)
    for word in words:
        having = (column.ilike(_like(word), escape="/") for column in columns)
        query = query.where(or_(*having, stay.vehicle_id.in_(_vehicles(word))))
    return query


def _vehicles(word: str) -> Select[str]:
    """Vehicles whose name or id has the word; of these there are few."""
    by_name = [known.id for known in load_vehicles().values() if word.lower() in known.name.lower()]
    return select(Vehicle.id).where(or_(Vehicle.id.ilike(_like(word), escape="/"), Vehicle.id.in_(by_name)))


def _like(word: str) -> str:
    """A pattern that finds the word anywhere, its own signs taken as they are."""
    for sign in "/%_":
        word = word.replace(sign, f"/{sign}")
    return f"%{word}%"
