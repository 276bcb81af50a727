"""A new password: one's own, with the old one asked, or by a link that somebody who keeps people gave."""

from __future__ import annotations

from typing import Any

from anyio.to_thread import run_sync
from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.params import FromPath
from litestar.response import Redirect, Template

from looseends.errors import InputError
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.access import Person, signed_in
from looseends.web.accounts.one_time import OneTimeLinks
from looseends.web.accounts.people import change_password, give_password, is_open
from looseends.web.accounts.sessions import begin_session, sign_in_limit
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.taken.forms import Sent

MOST_PASSWORD = 1_000


@get("/me/password", guards=[signed_in], sync_to_thread=False)
def password_page(request: Request[Person, Any, Any]) -> Template:
    """Where one changes one's password."""
    return page(request, "password.html.j2", mistake="", changed=False)


@post("/me/password", guards=[signed_in], middleware=[sign_in_limit()], status_code=200)
async def change(request: Request[Person, Any, Any], state: State, data: Sent) -> Template:
    """Another password, and the end of every other session; this one goes on."""
    old, new = (str(data.get(name, ""))[:MOST_PASSWORD] for name in ("old", "new"))
    try:
        await run_sync(_change, state.store, request.user.account_id, old, new)
    except InputError as error:
        said = sentence_of(error, manner_of(request).speech)
        return page(request, "password.html.j2", status=400, mistake=said, changed=False)
    await begin_session(request, request.user.account_id)
    return page(request, "password.html.j2", mistake="", changed=True)


@get("/new-password/{word:str}", sync_to_thread=False)
def new_password_page(request: Request[Any, Any, Any], word: FromPath[str]) -> Template:
    """Where a link for a new password leads; the link is spent by what is sent, not by looking."""
    return page(request, "new_password.html.j2", word=word, mistake="")


@post("/new-password/{word:str}", middleware=[sign_in_limit()], status_code=200)
async def choose(request: Request[Any, Any, Any], state: State, word: FromPath[str], data: Sent) -> Template | Redirect:
    """The new password of who holds the link, who is signed in at once; all other sessions end."""
    links: OneTimeLinks = state.links
    account_id = links.account_for(word, "new password")
    if account_id is None:
        return Redirect("/sign-in?spent=1")
    try:
        known = await run_sync(_give, state.store, account_id, str(data.get("password", ""))[:MOST_PASSWORD])
    except InputError as error:
        said = sentence_of(error, manner_of(request).speech)
        again = links.word_for(account_id, "new password")
        return page(request, "new_password.html.j2", status=400, word=again, mistake=said)
    if not known:
        return Redirect("/sign-in?spent=1")
    await begin_session(request, account_id)
    return Redirect("/")


def _change(store: Store, account_id: str, old: str, new: str) -> None:
    with store.writing() as session:
        change_password(session, account_id, old, new)


def _give(store: Store, account_id: str, password: str) -> bool:
    """Whether the account is open still."""
    with store.writing() as session:
        account = session.get(Account, account_id)
        if account is None or not is_open(account):
            return False
        give_password(session, account_id, password)
        return True


HANDLERS = [password_page, change, new_password_page, choose]
