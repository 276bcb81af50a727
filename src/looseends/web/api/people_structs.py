"""What the HTTP API takes and gives of accounts: one's own, its keys, the people of the shop."""

from __future__ import annotations

import datetime

import msgspec

from looseends.language import Language, Units


class Me(msgspec.Struct, kw_only=True):
    """The account that asks, and what it may do."""

    id: str
    name: str
    role: str
    language: str
    units: str
    may: list[str]


class MeChange(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """How one wants to be spoken to; what is left out stays."""

    language: Language | None = None
    units: Units | None = None


class KeyIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """What a key is for, in one's own words."""

    purpose: str = ""


class KeyOut(msgspec.Struct, kw_only=True):
    """A key that holds, without what it is."""

    id: str
    purpose: str
    since: datetime.date


class KeyMade(KeyOut, kw_only=True):
    """A new key: `key` goes behind "Bearer " in the header Authorization."""

    key: str


class PersonOut(msgspec.Struct, kw_only=True):
    """Somebody with an account; one that is closed signs in no more, nor does one that chose no password yet."""

    id: str
    name: str
    role: str
    closed: bool
    since: datetime.date
    has_password: bool


class PersonIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """Somebody new, and "owner", "instructor", "technician", "learner" or "office".

    Without a `password` a link lets its person choose one.
    """

    name: str
    role: str
    password: str | None = None


class PersonChange(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """What is to change of an account; what is left out stays."""

    role: str | None = None
    closed: bool | None = None


class PasswordLink(msgspec.Struct, kw_only=True):
    """An address that is opened in a browser within these minutes."""

    link: str
    minutes: int


class PasswordChange(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """The old password and a new one of at least 10 characters."""

    old: str
    new: str
