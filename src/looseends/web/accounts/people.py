"""The people of the shop: who is signed in, who may sign in, and the first of them."""

from __future__ import annotations

import datetime
import hashlib
import secrets
from functools import cache

from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher
from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import LANGUAGES, UNITS, AsWritten, say
from looseends.store.ids import time_ordered_id
from looseends.store.models import AccessToken, Account
from looseends.web.accounts.access import ROLES, Person, Role

LEAST_PASSWORD = 10
"""Characters that a password has at least."""

MOST_NAME = 80

_MEMORY_KIB, _PASSES = 19_456, 2
"""OWASP's least figures for argon2id: 0.04 s of one core, so that a bay's small computer signs in at once."""


@cache
def _hasher() -> PasswordHash:
    return PasswordHash((Argon2Hasher(memory_cost=_MEMORY_KIB, time_cost=_PASSES, parallelism=1),))


@cache
def _nobodys_hash() -> str:
    # compared where the name is unknown, so that an answer takes as long and tells no names
    return _hasher().hash(secrets.token_hex(16))


def person_of(account: Account) -> Person:
    """The account as the pages know it."""
    return Person(
        account.id,
        account.name,
        account.role if account.role in ROLES else "learner",
        account.language if account.language in LANGUAGES else "en",
        account.units if account.units in UNITS else "metric",
    )


def account_named(session: Session, name: str) -> Account | None:
    """The account of that name, capitals aside."""
    return session.scalars(select(Account).where(func.lower(Account.name) == name.strip().lower())).first()


def person_with_password(session: Session, name: str, password: str) -> Person | None:
    """Who signs in with this name and password; None if they do not go together."""
    account = account_named(session, name)
    kept = account.password_hash if account is not None else None
    fits = _hasher().verify(password, kept or _nobodys_hash())
    return person_of(account) if account is not None and kept is not None and fits and is_open(account) else None


def is_open(account: Account) -> bool:
    """Whether it signs in; one that was closed stays for the records that name it."""
    return account.closed_at is None


def session_mark(account: Account) -> str:
    """What a session must show besides its account: another one after a new password, which so ends all others."""
    return token_mark(f"{account.id} {account.password_hash}")[:32]


def nobody_yet(session: Session) -> bool:
    """Whether there is no account, so that the first start makes the owner."""
    return session.scalars(select(Account.id).limit(1)).first() is None


def new_account(session: Session, name: str, role: Role, password: str | None) -> Account:
    """A new account; without a password it signs in by a one-time link only.

    Raises
    ------
    InputError
        If the name is empty, too long or taken, or the password too short.
    """
    name = " ".join(name.split())
    if not 0 < len(name) <= MOST_NAME:
        raise InputError(say("Name: write 1 to {most} characters.", most=MOST_NAME))
    if account_named(session, name) is not None:
        raise InputError(say("Name: {name} has an account already; choose another name.", name=AsWritten(name)))
    if password is not None:
        _require_long(password)
    account = Account(
        id=time_ordered_id(),
        name=name,
        role=role,
        password_hash=None if password is None else _hasher().hash(password),
        created_at=datetime.datetime.now(datetime.UTC),
    )
    session.add(account)
    session.flush()
    return account


def give_password(session: Session, account_id: str, password: str) -> None:
    """A new password, which ends every session of the account; its keys for other programs stay.

    Raises
    ------
    InputError
        If it is too short.
    """
    _require_long(password)
    session.get_one(Account, account_id).password_hash = _hasher().hash(password)


def change_password(session: Session, account_id: str, old: str, new: str) -> None:
    """A new password of one's own.

    Raises
    ------
    InputError
        If the old one is wrong, or the new one too short.
    """
    kept = session.get_one(Account, account_id).password_hash
    if kept is not None and not _hasher().verify(old, kept):
        raise InputError(say("Old password: it is another one; nothing was changed."))
    give_password(session, account_id, new)


def give_manner(session: Session, account_id: str, language: str | None, units: str | None) -> Account:
    """How a person is spoken to from now on; None stays as it is. Raises InputError for what is not spoken."""
    account = session.get_one(Account, account_id)
    for name, given, accepted in (("language", language, LANGUAGES), ("units", units, UNITS)):
        if given is not None and given not in accepted:
            raise InputError(unknown_name_sentence(name, given[:60], accepted, where="me"))
    account.language, account.units = language or account.language, units or account.units
    return account


def give_role(session: Session, account_id: str, role: Role) -> None:
    """Another role.

    Raises
    ------
    InputError
        If nobody would own the records any more.
    """
    account = session.get_one(Account, account_id)
    if role != "owner":
        _require_other_owner(session, account)
    account.role = role


def close_account(session: Session, account_id: str) -> None:
    """The end of signing in, of the password and of the keys; what the person recorded keeps their name.

    Raises
    ------
    InputError
        If nobody would own the records any more.
    """
    account = session.get_one(Account, account_id)
    _require_other_owner(session, account)
    account.closed_at, account.password_hash = datetime.datetime.now(datetime.UTC), None
    session.execute(delete(AccessToken).where(AccessToken.account_id == account_id))


def open_again(session: Session, account_id: str) -> None:
    """A closed account opened; a link for a new password lets its person in."""
    session.get_one(Account, account_id).closed_at = None


def _require_other_owner(session: Session, account: Account) -> None:
    others = select(Account.id).where(Account.role == "owner", Account.closed_at.is_(None), Account.id != account.id)
    if account.role == "owner" and is_open(account) and session.scalars(others.limit(1)).first() is None:
        raise InputError(
            say("{name} is the only owner of these records: make another one first.", name=AsWritten(account.name))
        )


def _require_long(password: str) -> None:
    if len(password) < LEAST_PASSWORD:
        raise InputError(
            say(
                "Password: needs at least {least} characters, found {found}; several words make a good one.",
                least=LEAST_PASSWORD,
                found=len(password),
            )
        )


def token_mark(token: str) -> str:
    """What is kept of a token: its SHA-256, for it is long and random, unlike a password."""
    return hashlib.sha256(token.encode()).hexdigest()
