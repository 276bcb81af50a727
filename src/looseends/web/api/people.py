"""The people of the shop over HTTP: who has an account, its role, its end, and links for new passwords."""

from __future__ import annotations

from typing import Annotated, Any

from anyio.to_thread import run_sync
from litestar import get, patch, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import Body, FromPath
from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.access import Person, may, signed_in
from looseends.web.accounts.keeping import account_to_keep, new_password_link, role_to_give
from looseends.web.accounts.one_time import MINUTES
from looseends.web.accounts.people import (
    change_password,
    close_account,
    give_role,
    is_open,
    new_account,
    open_again,
    person_of,
)
from looseends.web.accounts.sessions import sign_in_limit
from looseends.web.api.examples import example
from looseends.web.api.people_structs import PasswordChange, PasswordLink, PersonChange, PersonIn, PersonOut

_PERSON = "/people/{account_id:str}"


@get("/people", guards=[may("keep people")], sync_to_thread=True, tags=["people"])
def people(state: State) -> list[PersonOut]:
    """Everybody with an account, by name."""
    store: Store = state.store
    with store.reading() as session:
        return [_out(account) for account in session.scalars(select(Account).order_by(Account.name))]


@post("/people", guards=[may("keep people")], sync_to_thread=True, tags=["people"])
def add_person(
    request: Request[Person, Any, Any],
    state: State,
    data: Annotated[PersonIn, Body(examples=[example({"name": "Nilo Varga", "role": "technician"})])],
) -> PersonOut:
    """A new account, with a password that is told by mouth, or without one: a link then lets its person choose."""
    store: Store = state.store
    role = role_to_give(request.user, data.role)
    with store.writing() as session:
        return _out(new_account(session, data.name, role, data.password))


@get(_PERSON, guards=[may("keep people")], sync_to_thread=True, tags=["people"])
def person(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> PersonOut:
    """One account that is one's to keep."""
    store: Store = state.store
    with store.reading() as session:
        return _out(account_to_keep(session, request.user, account_id))


@patch(_PERSON, guards=[may("keep people")], sync_to_thread=True, tags=["people"])
def change_person(
    request: Request[Person, Any, Any],
    state: State,
    account_id: FromPath[str],
    data: Annotated[PersonChange, Body(examples=[example({"role": "instructor"}), example({"closed": True})])],
) -> PersonOut:
    """Give another role, close an account or open it again; what is left out stays, and so does the last owner."""
    store: Store = state.store
    with store.writing() as session:
        account = account_to_keep(session, request.user, account_id)
        if data.role is not None:
            give_role(session, account_id, role_to_give(request.user, data.role))
        _close_or_open(session, account, data.closed)
        return _out(account)


@post(_PERSON + "/password-link", guards=[may("keep people")], sync_to_thread=True, tags=["people"])
def password_link(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> PasswordLink:
    """A link by which the account's person chooses a new password, once."""
    return PasswordLink(link=new_password_link(state, request.user, account_id), minutes=MINUTES["new password"])


@post("/me/password", guards=[signed_in], middleware=[sign_in_limit()], status_code=204, tags=["people"])
async def password(
    request: Request[Person, Any, Any],
    state: State,
    data: Annotated[PasswordChange, Body(examples=[example({"old": "four worn tires stacked", "new": "a new one"})])],
) -> None:
    """Change one's own password; every session that is signed in ends, keys go on."""
    await run_sync(_change, state.store, request.user.account_id, data)


def _change(store: Store, account_id: str, data: PasswordChange) -> None:
    with store.writing() as session:
        change_password(session, account_id, data.old[:1_000], data.new[:1_000])


def _close_or_open(session: Session, account: Account, closed: bool | None) -> None:
    if closed and is_open(account):
        close_account(session, account.id)
    elif closed is False:
        open_again(session, account.id)


def _out(account: Account) -> PersonOut:
    known = person_of(account)
    return PersonOut(
        id=known.account_id,
        name=known.name,
        role=known.role,
        closed=not is_open(account),
        since=account.created_at.astimezone().date(),
        has_password=account.password_hash is not None,
    )


HANDLERS = [people, add_person, person, change_person, password_link, password]
