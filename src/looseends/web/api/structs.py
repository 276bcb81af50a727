"""What the HTTP API takes and gives, as JSON: lengths in mm, distances in km, times with their zone."""

from __future__ import annotations

import datetime
from typing import Any

import msgspec

from looseends.language import Language, Units


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


class VinOut(msgspec.Struct, kw_only=True):
    """A number to be compared with the sticker; `code` is "Code 39", "Code 128", "Data Matrix" or "QR"."""

    vin: str
    code: str
    remark: str


class VinSeen(msgspec.Struct, kw_only=True):
    """Whether a typed number is one, and what to look at again in it, in words."""

    accepted: bool
    remark: str


class ComplaintOut(msgspec.Struct, kw_only=True):
    """A complaint of the catalogue; `meant` where a customer's words are taken for it."""

    id: str
    name: str
    meant: bool


class QuestionOut(msgspec.Struct, kw_only=True):
    """A question of the tape: its words, how to find the answer, its unit, and what is accepted."""

    id: str
    words: str
    how: str
    kind: str
    unit: str
    accepted: list[str]
    least: float | None
    most: float | None
    needed: bool


class MeasureFirst(msgspec.Struct, kw_only=True):
    """What takes most doubt away, in words, once it is known."""

    known: bool
    words: str


class CenterOut(msgspec.Struct, kw_only=True):
    """A group of joint centers, how far it may be off (1 sigma) and what to measure against it."""

    group: str
    spread_mm: float
    direction_known: bool
    measure: str


class VehicleOut(msgspec.Struct, kw_only=True):
    """A vehicle; `own` ones are the shop's. `centers` is empty where it is known by drawing."""

    id: str
    name: str
    description: str
    own: bool
    tables_ready: bool
    centers: list[CenterOut]


class TapeIn(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    """Answers to the tape questions: numbers in mm, kg and degrees, or texts with their unit, as "54.5 in"."""

    answers: dict[str, str | float]


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
