"""What the HTTP API takes and gives, as JSON: lengths in mm, distances in km, times with their zone."""

from __future__ import annotations

import datetime
from typing import Any

import msgspec


class VisitOut(msgspec.Struct, kw_only=True):
    """A visit as it is kept; `state` is "open" or "signed-off"."""

    id: str
    vehicle: str
    date: datetime.date
    place: str
    plate: str
    vin: str
    odometer_km: float | None
    customer: str
    complaint: str
    jurisdiction: str
    state: str


class VisitIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """A vehicle that is taken in; its id, a UUID of version 7, is the last part of the address."""

    vehicle: str
    date: datetime.date
    place: str = ""
    plate: str = ""
    vin: str = ""
    odometer_km: float | None = None
    customer: str = ""
    phone: str = ""
    complaint: str = ""


class ObservationIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """One recorded fact; `payload` has the fields of its kind, `supersedes` the id of what it corrects."""

    kind: str
    payload: dict[str, Any]
    device_time: datetime.datetime
    supersedes: str | None = None


class ObservationReceipt(msgspec.Struct, kw_only=True):
    """An observation that is on the disk; `new` is false where it had come before."""

    id: str
    sequence: int
    received_at: datetime.datetime
    new: bool


class ObservationOut(msgspec.Struct, kw_only=True):
    """An observation as it is kept; what was corrected or withdrawn stays in the list."""

    id: str
    sequence: int
    kind: str
    payload: dict[str, Any]
    account: str
    device_time: datetime.datetime
    received_at: datetime.datetime
    supersedes: str | None
    redacted: bool


class PhotoOut(msgspec.Struct, kw_only=True):
    """A photo as it is kept; `observation` is the id of what it shows, where one was named."""

    id: str
    observation: str | None
    width_px: int
    height_px: int
    size_bytes: int
    account: str
    device_time: datetime.datetime
    received_at: datetime.datetime


class TablesProgress(msgspec.Struct, kw_only=True):
    """What is answered, with status 202, while tables are computed that a judgement needs."""

    vehicle: str
    done: int
    total: int
    failed: bool


class Me(msgspec.Struct, kw_only=True):
    """The account that asks, and what it may do."""

    id: str
    name: str
    role: str
    language: str
    units: str
    may: list[str]


class PersonOut(msgspec.Struct, kw_only=True):
    """Somebody with an account; one that is closed signs in no more."""

    id: str
    name: str
    role: str
    closed: bool


class PersonIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """Somebody new, and "owner", "instructor", "technician", "learner" or "office"."""

    name: str
    role: str


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
