"""The people of the shop: who is signed in, who may sign in, and the first of them."""

from __future__ import annotations

import datetime
import hashlib
import secrets
from functools import cache

from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import LANGUAGES, UNITS, AsWritten, say
from looseends.store.ids import time_ordered_id
from looseends.store.models import Account
from looseends.web.access import ROLES, Person, Role

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
    return person_of(account) if account is not None and kept is not None and fits else None


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
    if password is not None and len(password) < LEAST_PASSWORD:
        raise InputError(
            say(
                "Password: needs at least {least} characters, found {found}; several words make a good one.",
                least=LEAST_PASSWORD,
                found=len(password),
            )
        )
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


def token_mark(token: str) -> str:
    """What is kept of a token: its SHA-256, for it is long and random, unlike a password."""
    return hashlib.sha256(token.encode()).hexdigest()
