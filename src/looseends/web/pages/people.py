"""The people of the shop, kept by its owner."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.response import Redirect, Template
from sqlalchemy import select

from looseends.errors import InputError
from looseends.language import say
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.access import ROLES, Person, may
from looseends.web.forms import Sent, line
from looseends.web.people import new_account, person_of
from looseends.web.rendering import page
from looseends.web.speaking import manner_of, sentence_of


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
        if role not in ROLES:
            raise InputError(say("Role: choose one of those offered."))
        with store.writing() as session:
            new_account(session, name, role, str(data.get("password", "")))
    except InputError as error:
        return _page(request, store, name, role, sentence_of(error, manner_of(request).speech))
    return Redirect("/people", status_code=303)


def _page(
    request: Request[Person, Any, Any], store: Store, name: str = "", role: str = "technician", mistake: str = ""
) -> Template:
    with store.reading() as session:
        people = [person_of(account) for account in session.scalars(select(Account).order_by(Account.name))]
    status = 400 if mistake else 200
    return page(
        request, "people.html.j2", status=status, people=people, roles=ROLES, name=name, role=role, mistake=mistake
    )


HANDLERS = [people_page, add_person]
