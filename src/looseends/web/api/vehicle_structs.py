"""What the HTTP API takes and gives of vehicles: numbers, complaints, the tape, their tables. Lengths in mm."""

from __future__ import annotations

import msgspec


class TablesProgress(msgspec.Struct, kw_only=True):
    """What is answered, with status 202, while tables are computed that a judgement needs."""

    vehicle: str
    done: int
    total: int
    failed: bool


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
