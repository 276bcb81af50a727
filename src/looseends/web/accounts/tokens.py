"""Keys of accounts for other programs: shown once, kept as a checksum, taken back at any time."""

from __future__ import annotations

import datetime
import secrets
from dataclasses import dataclass

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from looseends.store.ids import time_ordered_id
from looseends.store.models import AccessToken, Account
from looseends.web.accounts.people import token_mark

PREFIX = "le_"


def new_token(session: Session, account_id: str, purpose: str) -> str:
    """A new key of this account; it is never seen again."""
    token = PREFIX + secrets.token_urlsafe(32)
    session.add(
        AccessToken(
            id=time_ordered_id(),
            account_id=account_id,
            purpose=purpose,
            sha256=token_mark(token),
            created_at=datetime.datetime.now(datetime.UTC),
        )
    )
    return token


@dataclass(frozen=True)
class Key:
    """A key that holds, without what it is."""

    id: str
    purpose: str
    since: datetime.date


def keys_of(session: Session, account_id: str) -> list[Key]:
    """The keys of an account, the newest first."""
    kept = select(AccessToken).where(AccessToken.account_id == account_id).order_by(AccessToken.created_at.desc())
    return [Key(token.id, token.purpose, token.created_at.date()) for token in session.scalars(kept)]


def take_back(session: Session, account_id: str, token_id: str) -> bool:
    """The end of a key, and whether there was one; one of somebody else stays."""
    own = delete(AccessToken).where(AccessToken.id == token_id, AccessToken.account_id == account_id)
    return session.execute(own.returning(AccessToken.id)).first() is not None


def account_with_token(session: Session, token: str) -> Account | None:
    """The account that a key belongs to."""
    found = select(Account).join(AccessToken, AccessToken.account_id == Account.id)
    return session.scalars(found.where(AccessToken.sha256 == token_mark(token))).first()
