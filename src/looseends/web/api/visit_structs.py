"""What the HTTP API takes and gives of visits: taking in, records, photos. Distances in km, times with their zone."""

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
    """A vehicle that is taken in; its id, a UUID of version 7, is the last part of the address.

    `minutes` are at hand for its checks, null for the whole route.
    """

    vehicle: str
    date: datetime.date
    place: str = ""
    plate: str = ""
    vin: str = ""
    odometer_km: float | None = None
    customer: str = ""
    phone: str = ""
    complaint: str = ""
    minutes: float | None = None


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


class PhotoOut(msgspec.Struct, kw_only=True):
    """A photo as it is kept; `observation` is the id of what it shows, where one was named.

    With `clip_milliseconds` it is the still of a clip, which is read under /clips with the same id.
    """

    id: str
    observation: str | None
    width_px: int
    height_px: int
    size_bytes: int
    clip_milliseconds: int | None
    account: str
    device_time: datetime.datetime
    received_at: datetime.datetime


class LiftPointsIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """Whether the lift points are sound, and what else was seen."""

    sound: bool
    device_time: datetime.datetime
    note: str = ""


class LiftPointsOut(msgspec.Struct, kw_only=True):
    """What was seen last."""

    found: str
    note: str


class SkipIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """A check that is left out, by its id, and why."""

    check: str
    because: str
    device_time: datetime.datetime


class WithdrawalIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """The id of an observation that does not hold, and why."""

    observation: str
    because: str
    device_time: datetime.datetime
