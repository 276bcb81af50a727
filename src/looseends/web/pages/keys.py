"""A person's keys for other programs."""

from __future__ import annotations

from typing import Any

from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Redirect, Template

from looseends.store.kept import Store
from looseends.web.accounts.access import Person, may
from looseends.web.accounts.tokens import keys_of, new_token, take_back
from looseends.web.answering.rendering import page
from looseends.web.taken.forms import Sent, line


@get("/me/tokens", guards=[may("keep own tokens")], sync_to_thread=True)
def keys_page(request: Request[Person, Any, Any], state: State) -> Template:
    """The keys that this person made."""
    return _page(request, state.store)


@post("/me/tokens", guards=[may("keep own tokens")], status_code=200, sync_to_thread=True)
def make_key(request: Request[Person, Any, Any], state: State, data: Sent) -> Template:
    """A new key, shown this once."""
    store: Store = state.store
    with store.writing() as session:
        token = new_token(session, request.user.account_id, line(data, "purpose", 80))
    return _page(request, store, token)


@post("/me/tokens/{token_id:str}/end", guards=[may("keep own tokens")], status_code=303, sync_to_thread=True)
def end_key(request: Request[Person, Any, Any], state: State, token_id: FromPath[str]) -> Redirect:
    """Take a key back."""
    store: Store = state.store
    with store.writing() as session:
        take_back(session, request.user.account_id, token_id)
    return Redirect("/me/tokens", status_code=303)


def _page(request: Request[Person, Any, Any], store: Store, token: str = "") -> Template:
    with store.reading() as session:
        kept = keys_of(session, request.user.account_id)
    return page(request, "keys.html.j2", tokens=kept, token=token)


HANDLERS = [keys_page, make_key, end_key]
