"""Who asks, how they are spoken to, and their keys for other programs."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import delete, get, patch, post
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import Body, FromPath

from looseends.store.kept import Store
from looseends.web.accounts.access import ACCESS, Person, may, signed_in
from looseends.web.accounts.people import give_manner, person_of
from looseends.web.accounts.tokens import Key, keys_of, new_token, take_back
from looseends.web.api.examples import example
from looseends.web.api.people_structs import KeyIn, KeyMade, KeyOut, Me, MeChange
from looseends.web.taken.forms import line

MOST_PURPOSE = 80


@get("/me", guards=[signed_in], sync_to_thread=False, tags=["people"])
def me(request: Request[Person, Any, Any]) -> Me:
    """The account that asks, and what it may do."""
    return _me(request.user)


@patch("/me", guards=[signed_in], sync_to_thread=True, tags=["people"])
def change_me(
    request: Request[Person, Any, Any],
    state: State,
    data: Annotated[MeChange, Body(examples=[example({"language": "es"}), example({"units": "us"})])],
) -> Me:
    """Another language or other units, at once and on every device; what is left out stays."""
    store: Store = state.store
    with store.writing() as session:
        return _me(person_of(give_manner(session, request.user.account_id, data.language, data.units)))


@get("/me/tokens", guards=[may("keep own tokens")], sync_to_thread=True, tags=["people"])
def keys(request: Request[Person, Any, Any], state: State) -> list[KeyOut]:
    """One's own keys, the newest first; what they are is shown nowhere again."""
    store: Store = state.store
    with store.reading() as session:
        return [_out(key) for key in keys_of(session, request.user.account_id)]


@post("/me/tokens", guards=[may("keep own tokens")], sync_to_thread=True, tags=["people"])
def make_key(
    request: Request[Person, Any, Any],
    state: State,
    data: Annotated[KeyIn, Body(examples=[example({"purpose": "gauge on the bench"})])],
) -> KeyMade:
    """A new key, which does what its person may do; `key` is told this once."""
    store: Store = state.store
    purpose = line({"purpose": data.purpose}, "purpose", MOST_PURPOSE)
    with store.writing() as session:
        before = {key.id for key in keys_of(session, request.user.account_id)}
        token = new_token(session, request.user.account_id, purpose)
        session.flush()
        (made,) = (key for key in keys_of(session, request.user.account_id) if key.id not in before)
    return KeyMade(id=made.id, purpose=made.purpose, since=made.since, key=token)


@delete("/me/tokens/{token_id:str}", guards=[may("keep own tokens")], sync_to_thread=True, tags=["people"])
def end_key(request: Request[Person, Any, Any], state: State, token_id: FromPath[str]) -> None:
    """Take a key back, at once; keys that were made with it stay until they are taken back too.

    Raises
    ------
    NotFoundException
        If it is no key of one's own.
    """
    store: Store = state.store
    with store.writing() as session:
        if not take_back(session, request.user.account_id, token_id):
            raise NotFoundException


def _me(person: Person) -> Me:
    return Me(
        id=person.account_id,
        name=person.name,
        role=person.role,
        language=person.language,
        units=person.units,
        may=sorted(ACCESS[person.role]),
    )


def _out(key: Key) -> KeyOut:
    return KeyOut(id=key.id, purpose=key.purpose, since=key.since)


HANDLERS = [me, change_me, keys, make_key, end_key]
