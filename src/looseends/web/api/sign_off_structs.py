"""What the HTTP API takes and gives of sign-off and of what the owner decides."""

from __future__ import annotations

import datetime

import msgspec


class SignOffIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """What the person who signs has seen: the `basis` that the address gave."""

    basis: str


class DecisionIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """An unsafe part and "repair", "leave" or "drive"; to drive it away the owner must have been told the caution.

    With `part` left out it holds for every unsafe part that nothing is decided about yet.
    """

    decision: str
    part: str = ""
    caution_told: bool = False


class DecisionOut(msgspec.Struct, kw_only=True):
    """What was decided, who wrote it down and when."""

    part: str
    decision: str
    by: str
    at: datetime.datetime


class SignOffOut(msgspec.Struct, kw_only=True):
    """A sign-off, null where there is none; `rests_on_all` is false where observations came after it.

    `undecided` are the unsafe parts that the owner has decided nothing about.
    """

    basis: str
    by: str | None = None
    at: datetime.datetime | None = None
    sha256: str | None = None
    whole: bool | None = None
    rests_on_all: bool | None = None
    decisions: list[DecisionOut] = []
    undecided: list[str] = []
