"""Who may do what: the one table that every page and every address of the HTTP API asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, cast, get_args

from litestar.connection import ASGIConnection
from litestar.exceptions import NotAuthorizedException, PermissionDeniedException
from litestar.handlers.base import BaseRouteHandler
from litestar.types import Guard

from looseends.language import Language, Speech, Units

Role = Literal["owner", "instructor", "technician", "learner", "office"]
Action = Literal[
    "see visits",
    "take in",
    "record",
    "undo",
    "sign off",
    "decide",
    "hand over",
    "prepare tables",
    "erase a person",
    "keep people",
    "export everything",
    "keep own tokens",
]
ROLES: tuple[Role, ...] = get_args(Role)
ACTIONS: tuple[Action, ...] = get_args(Action)

ACCESS: Mapping[Role, frozenset[Action]] = {
    "owner": frozenset(ACTIONS),
    "instructor": frozenset(ACTIONS) - {"export everything"},
    "technician": frozenset(ACTIONS) - {"keep people", "export everything", "erase a person"},
    "learner": frozenset({"see visits", "record", "undo"}),
    "office": frozenset({"see visits", "take in", "decide", "hand over", "erase a person", "keep own tokens"}),
}
"""A learner records under their own name and concludes nothing; the office hands over and records nothing."""


@dataclass(frozen=True)
class Person:
    """Who asks: an account, its role, and how it is spoken to."""

    account_id: str
    name: str
    role: Role
    language: Language = "en"
    units: Units = "metric"

    @property
    def speech(self) -> Speech:
        """The language and units of this person."""
        return Speech(self.language, self.units)

    def may(self, action: Action) -> bool:
        """Whether the table allows it."""
        return action in ACCESS[self.role]

    def keeps(self, role: str) -> bool:
        """Whether accounts of this role are theirs to keep: an owner's all, else those that may do less than they."""
        if not self.may("keep people"):
            return False
        return self.role == "owner" or role not in ACCESS or ACCESS[cast(Role, role)] < ACCESS[self.role]


def may(action: Action) -> Guard:
    """A guard that lets through who is signed in and may do this.

    The guard raises NotAuthorizedException for nobody signed in, PermissionDeniedException for a role without it.
    """

    def guard(connection: ASGIConnection, handler: BaseRouteHandler) -> None:  # type: ignore[type-arg]
        person = connection.scope.get("user")
        if not isinstance(person, Person):
            raise NotAuthorizedException("Sign in first.")
        if not person.may(action):
            raise PermissionDeniedException(f"{person.role} may not {action}")

    return guard


def signed_in(connection: ASGIConnection, handler: BaseRouteHandler) -> None:  # type: ignore[type-arg]
    """A guard for what everybody may do who is signed in.

    Raises
    ------
    NotAuthorizedException
        If nobody is.
    """
    if not isinstance(connection.scope.get("user"), Person):
        raise NotAuthorizedException("Sign in first.")
