"""Which accounts a person keeps, which roles they give, and the link by which another chooses a password."""

from __future__ import annotations

from litestar.datastructures import State
from litestar.exceptions import NotFoundException, PermissionDeniedException
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import say
from looseends.store.kept import Store
from looseends.store.models import Account
from looseends.web.accounts.access import ROLES, Person, Role
from looseends.web.accounts.one_time import OneTimeLinks
from looseends.web.accounts.people import is_open
from looseends.web.settings import Settings

_NO_ROLE = say("Role: choose one of those offered.")


def account_to_keep(session: Session, person: Person, account_id: str) -> Account:
    """The account, if it is one that this person keeps.

    Raises
    ------
    NotFoundException
        If there is none.
    PermissionDeniedException
        If it may do as much as they.
    """
    account = session.get(Account, account_id)
    if account is None:
        raise NotFoundException
    if not person.keeps(account.role):
        raise PermissionDeniedException(f"{person.role} keeps no {account.role}")
    return account


def role_to_give(person: Person, role: str) -> Role:
    """The role, if it is one that this person gives.

    Raises
    ------
    InputError
        If there is no such role.
    PermissionDeniedException
        If it may do as much as they.
    """
    if role not in ROLES:
        raise InputError(_NO_ROLE)
    if not person.keeps(role):
        raise PermissionDeniedException(f"{person.role} makes no {role}")
    return role


def new_password_link(state: State, person: Person, account_id: str) -> str:
    """The address at which the person of an open account chooses a new password, once; raises `account_to_keep`'s."""
    store: Store = state.store
    links: OneTimeLinks = state.links
    settings: Settings = state.settings
    with store.reading() as session:
        if not is_open(account_to_keep(session, person, account_id)):
            raise NotFoundException
    return f"{settings.public_address}/new-password/{links.word_for(account_id, 'new password')}"
