"""The people of the shop, kept by its owner, and by instructors as far as they may."""

from __future__ import annotations

from typing import Any

import segno
from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Redirect, Template
from markupsafe import Markup
from sqlalchemy import select

from looseends.errors import InputError
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.access import ROLES, Person, may
from looseends.web.accounts.keeping import account_to_keep, new_password_link, role_to_give
from looseends.web.accounts.one_time import MINUTES
from looseends.web.accounts.people import close_account, give_role, is_open, new_account, open_again, person_of
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.taken.forms import Sent, line


@get("/people", guards=[may("keep people")], sync_to_thread=True)
def people_page(request: Request[Person, Any, Any], state: State) -> Template:
    """Who has an account."""
    return _page(request, state.store)


@post("/people", guards=[may("keep people")], status_code=200, sync_to_thread=True)
def add_person(request: Request[Person, Any, Any], state: State, data: Sent) -> Template | Redirect:
    """A new account, whose password is told to its person by mouth."""
    store: Store = state.store
    name, role = line(data, "name"), line(data, "role")
    try:
        wanted = role_to_give(request.user, role)
        with store.writing() as session:
            new_account(session, name, wanted, str(data.get("password", "")))
    except InputError as error:
        return _page(request, store, name, role, sentence_of(error, manner_of(request).speech))
    return Redirect("/people", status_code=303)


@get("/people/{account_id:str}", guards=[may("keep people")], sync_to_thread=True)
def person_page(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> Template:
    """One account, and what can be changed of it."""
    return _person_page(request, state, account_id)


@post("/people/{account_id:str}/role", guards=[may("keep people")], status_code=200, sync_to_thread=True)
def change_role(
    request: Request[Person, Any, Any], state: State, account_id: FromPath[str], data: Sent
) -> Template | Redirect:
    """Another role, from the next touch on."""
    store: Store = state.store
    try:
        role = role_to_give(request.user, line(data, "role"))
        with store.writing() as session:
            account_to_keep(session, request.user, account_id)
            give_role(session, account_id, role)
    except InputError as error:
        return _person_page(request, state, account_id, sentence_of(error, manner_of(request).speech))
    return Redirect("/people", status_code=303)


@post("/people/{account_id:str}/link", guards=[may("keep people")], status_code=200, sync_to_thread=True)
def password_link(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> Template:
    """A link by which the person chooses a new password, shown this once."""
    return _person_page(request, state, account_id, link=new_password_link(state, request.user, account_id))


@post("/people/{account_id:str}/close", guards=[may("keep people")], status_code=200, sync_to_thread=True)
def close(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> Template | Redirect:
    """The end of signing in; it can be opened again."""
    store: Store = state.store
    try:
        with store.writing() as session:
            account_to_keep(session, request.user, account_id)
            close_account(session, account_id)
    except InputError as error:
        return _person_page(request, state, account_id, sentence_of(error, manner_of(request).speech))
    return Redirect("/people", status_code=303)


@post("/people/{account_id:str}/open", guards=[may("keep people")], status_code=303, sync_to_thread=True)
def reopen(request: Request[Person, Any, Any], state: State, account_id: FromPath[str]) -> Redirect:
    """A closed account opened again."""
    store: Store = state.store
    with store.writing() as session:
        account_to_keep(session, request.user, account_id)
        open_again(session, account_id)
    return Redirect(f"/people/{account_id}", status_code=303)


def _page(
    request: Request[Person, Any, Any], store: Store, name: str = "", role: str = "technician", mistake: str = ""
) -> Template:
    with store.reading() as session:
        accounts = list(session.scalars(select(Account).order_by(Account.name)))
    people = [(person_of(account), request.user.keeps(account.role)) for account in accounts if is_open(account)]
    closed = [(person_of(account), request.user.keeps(account.role)) for account in accounts if not is_open(account)]
    return page(
        request,
        "people.html.j2",
        status=400 if mistake else 200,
        people=people,
        closed=closed,
        roles=[known for known in ROLES if request.user.keeps(known)],
        name=name,
        role=role,
        mistake=mistake,
    )


def _person_page(
    request: Request[Person, Any, Any], state: State, account_id: str, mistake: str = "", link: str = ""
) -> Template:
    store: Store = state.store
    with store.reading() as session:
        account = account_to_keep(session, request.user, account_id)
    code = segno.make(link, micro=False).svg_inline(scale=5, svgclass="code-drawing") if link else ""
    return page(
        request,
        "person.html.j2",
        status=400 if mistake else 200,
        account=person_of(account),
        open=is_open(account),
        since=account.created_at.astimezone().date(),
        has_password=account.password_hash is not None,
        roles=[known for known in ROLES if request.user.keeps(known)],
        link=link,
        code=Markup(code),
        minutes=MINUTES["new password"],
        mistake=mistake,
    )


HANDLERS = [people_page, add_person, person_page, change_role, password_link, close, reopen]
