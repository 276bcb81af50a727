"""What a visit hangs on, kept once each: accounts, vehicles, customers, the visit itself."""

from __future__ import annotations

import datetime
from typing import get_args

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.canonical import checksum
from looseends.store.models import Account, Base, Complaint, Customer, Role, Vehicle, VehicleText, VisitRecord


def keep_account(session: Session, account: Account) -> None:
    """Keep an account; the same id again takes over the new name, language, units and password hash.

    Raises
    ------
    InputError
        If its role is unknown.
    """
    if account.role not in get_args(Role):
        raise InputError(unknown_name_sentence("role", account.role, get_args(Role), where=f"account {account.id}"))
    session.merge(account)
    session.flush()


def keep_vehicle(session: Session, vehicle_id: str, *, toml: str | None = None, at: datetime.datetime) -> None:
    """Keep a vehicle that the program's files know, or with `toml` one of the shop's own; a new text is added to it."""
    if session.get(Vehicle, vehicle_id) is None:
        session.add(Vehicle(id=vehicle_id, origin="known" if toml is None else "own", created_at=at))
        session.flush()
    if toml is not None and session.get(VehicleText, (vehicle_id, checksum(toml))) is None:
        session.add(VehicleText(vehicle_id=vehicle_id, sha256=checksum(toml), toml=toml, created_at=at))
        session.flush()


def vehicle_text(session: Session, vehicle_id: str) -> str | None:
    """The newest TOML text of an own vehicle; None for one that the program's files know."""
    table = VehicleText
    chosen = select(table.toml).where(table.vehicle_id == vehicle_id).order_by(table.created_at.desc(), table.sha256)
    return session.scalars(chosen.limit(1)).first()


def keep_customer(session: Session, customer: Customer) -> None:
    """Keep a customer; sent again it is accepted, and an erased one stays erased.

    Raises
    ------
    InputError
        If the id is stored with other content.
    """
    stored = session.get(Customer, customer.id)
    if stored is None or stored.erased_at is None:
        _keep_once(session, customer, stored, "customer")


def open_visit(session: Session, visit: VisitRecord, *, complaint: str = "") -> None:
    """Open a visit with the customer's own words; sent again it is accepted.

    Raises
    ------
    InputError
        If the id is stored with other content, or vehicle, customer or account are not stored.
    """
    needed = ((Vehicle, visit.vehicle_id), (Account, visit.opened_by), (Customer, visit.customer_id))
    for kind, id_ in needed:
        if id_ is not None and session.get(kind, id_) is None:
            what = kind.__name__.lower()
            raise InputError(
                refusal(
                    'visit {id}: {what} must be one that is stored, found "{found}".', id=visit.id, what=what, found=id_
                )
            )
    customer = session.get(Customer, visit.customer_id) if visit.customer_id else None
    if customer is not None and customer.erased_at is not None:
        visit.plate, visit.vin, complaint = "", "", ""
    visit.state = "open"
    stored = session.get(VisitRecord, visit.id)
    _keep_once(session, visit, stored, "visit", apart_from=("state",))
    if stored is None and complaint:
        session.add(Complaint(visit_id=visit.id, words=complaint))
        session.flush()


def _keep_once(
    session: Session, new: Base, stored: Base | None, what: str, *, apart_from: tuple[str, ...] = ()
) -> None:
    if stored is None:
        session.add(new)
        session.flush()
        return
    for column in new.__table__.columns:
        found, given = getattr(stored, column.key), getattr(new, column.key)
        if column.key not in apart_from and given != found and (given or found):
            id_ = getattr(new, "id", "")
            raise InputError(
                refusal(
                    "{what} {id}: {field} is stored already and is not the same; nothing was changed.",
                    what=what,
                    id=id_,
                    field=column.key,
                )
            )
