"""Signing in and out, and the first start, which makes the owner."""

from __future__ import annotations

from typing import Any

from anyio.to_thread import run_sync
from litestar import get, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery
from litestar.response import Redirect, Template

from looseends.errors import InputError
from looseends.language import say
from looseends.store.kept import Store
from looseends.web.accounts.access import Person
from looseends.web.accounts.one_time import OneTimeLinks
from looseends.web.accounts.people import new_account, nobody_yet, person_with_password
from looseends.web.accounts.sessions import begin_session, sign_in_limit
from looseends.web.answering.rendering import page
from looseends.web.answering.speaking import manner_of, sentence_of
from looseends.web.taken.forms import Sent, line, own_path

FIRST_START = "first-start"
"""What a one-time link stands for that makes the owner instead of signing an account in."""

_NOT_TOGETHER = say("This name and this password do not go together.")
_MOST_PASSWORD = 1_000


@get("/sign-in", sync_to_thread=False)
def sign_in_page(request: Request[Any, Any, Any], then: FromQuery[str] = "/") -> Template:
    """Where one signs in."""
    return page(request, "sign_in.html.j2", then=own_path(then), name="", mistake="")


@post("/sign-in", middleware=[sign_in_limit()], status_code=200)
async def sign_in(request: Request[Any, Any, Any], state: State, data: Sent) -> Template | Redirect:
    """Begin a session for who gives a name and its password."""
    name, password = line(data, "name"), str(data.get("password", ""))[:_MOST_PASSWORD]
    person = await run_sync(_person, state.store, name, password)
    if person is None:
        said = manner_of(request).speech.words(_NOT_TOGETHER)
        return page(request, "sign_in.html.j2", status=401, then=own_path(line(data, "then")), name=name, mistake=said)
    await begin_session(request, person.account_id)
    return Redirect(own_path(line(data, "then")))


@post("/sign-out", status_code=303)
async def sign_out(request: Request[Any, Any, Any]) -> Redirect:
    """End the session."""
    request.clear_session()
    return Redirect("/sign-in", status_code=303)


@get("/once/{word:str}", middleware=[sign_in_limit()])
async def once(request: Request[Any, Any, Any], state: State, word: FromPath[str]) -> Redirect:
    """Sign in by a link that was printed where the program was started."""
    links: OneTimeLinks = state.links
    account_id = links.account_for(word)
    if account_id is None:
        return Redirect("/sign-in?spent=1")
    if account_id == FIRST_START:
        return Redirect(f"/first-start/{links.word_for(FIRST_START)}")
    await begin_session(request, account_id)
    return Redirect("/")


@get("/first-start/{word:str}", sync_to_thread=True)
def first_start_page(request: Request[Any, Any, Any], state: State, word: FromPath[str]) -> Template:
    """Where the owner of a new shop makes their account.

    Raises
    ------
    NotFoundException
        If somebody has an account already.
    """
    _require_nobody(state.store)
    return page(request, "first_start.html.j2", word=word, name="", mistake="")


@post("/first-start/{word:str}", middleware=[sign_in_limit()], status_code=200)
async def first_start(
    request: Request[Any, Any, Any], state: State, word: FromPath[str], data: Sent
) -> Template | Redirect:
    """Make the owner, for who holds the printed link."""
    links: OneTimeLinks = state.links
    if links.account_for(word) != FIRST_START:
        return Redirect("/sign-in?spent=1")
    name, password = line(data, "name"), str(data.get("password", ""))[:_MOST_PASSWORD]
    try:
        account_id = await run_sync(_owner, state.store, name, password)
    except InputError as error:
        said = sentence_of(error, manner_of(request).speech)
        again = links.word_for(FIRST_START)
        return page(request, "first_start.html.j2", status=400, word=again, name=name, mistake=said)
    await begin_session(request, account_id)
    return Redirect("/")


def _person(store: Store, name: str, password: str) -> Person | None:
    with store.reading() as session:
        return person_with_password(session, name, password)


def _owner(store: Store, name: str, password: str) -> str:
    with store.writing() as session:
        if not nobody_yet(session):
            raise NotFoundException
        return new_account(session, name, "owner", password).id


def _require_nobody(store: Store) -> None:
    with store.reading() as session:
        if not nobody_yet(session):
            raise NotFoundException


HANDLERS = [sign_in_page, sign_in, sign_out, once, first_start_page, first_start]
