"""The tables: who, which vehicle, whose, the visit, what was observed in it, what was concluded and decided."""

from __future__ import annotations

import datetime
from typing import Literal, get_args

from sqlalchemy import BigInteger, ForeignKey, Index, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from looseends.store.columns import UtcTime, one_of

Role = Literal["instructor", "technician", "learner", "office", "owner"]
VisitState = Literal["open", "signed-off"]
VehicleOrigin = Literal["known", "own"]
ClipEnding = Literal["mp4", "webm"]
OwnerDecision = Literal["repair", "leave", "drive"]
"""Told about an unsafe finding: have it repaired, leave the vehicle undriven, or drive it away against advice."""

_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
_Id = String(64)
_Sha256 = String(64)


class Base(DeclarativeBase):
    """Base of all tables; constraints are named, so that migrations can speak of them in both databases."""

    metadata = MetaData(naming_convention=_NAMES)


class Account(Base):
    """A person of the shop; `password_hash` is the text of the library that makes it, never a password.

    A closed account stays, for records name it; it signs in no more.
    """

    __tablename__ = "accounts"
    __table_args__ = (one_of("role", get_args(Role)),)
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    role: Mapped[str] = mapped_column(String(16))
    language: Mapped[str] = mapped_column(String(16), default="en")
    units: Mapped[str] = mapped_column(String(16), default="metric")
    password_hash: Mapped[str | None] = mapped_column(Text, default=None)
    created_at: Mapped[datetime.datetime] = mapped_column(UtcTime)
    closed_at: Mapped[datetime.datetime | None] = mapped_column(UtcTime, default=None)


class AccessToken(Base):
    """A key by which another program acts for an account, as a checksum; taking it back deletes the row."""

    __tablename__ = "access_tokens"
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    account_id: Mapped[str] = mapped_column(ForeignKey("accounts.id"), index=True)
    purpose: Mapped[str] = mapped_column(Text, default="")
    sha256: Mapped[str] = mapped_column(_Sha256, unique=True)
    created_at: Mapped[datetime.datetime] = mapped_column(UtcTime)


class Vehicle(Base):
    """A vehicle that visits speak of: one that the program's files know, or one of the shop's own."""

    __tablename__ = "vehicles"
    __table_args__ = (one_of("origin", get_args(VehicleOrigin)),)
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    origin: Mapped[str] = mapped_column(String(16))
    created_at: Mapped[datetime.datetime] = mapped_column(UtcTime)


class VehicleText(Base):
    """The TOML text of an own vehicle; a mended one is a further row, and the newest counts."""

    __tablename__ = "vehicle_texts"
    vehicle_id: Mapped[str] = mapped_column(ForeignKey("vehicles.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(_Sha256, primary_key=True)
    toml: Mapped[str] = mapped_column(Text)
    created_at: Mapped[datetime.datetime] = mapped_column(UtcTime)


class Customer(Base):
    """Whose vehicle it is. Erased on request: the row stays as a stub, with `erased_at` and nothing else."""

    __tablename__ = "customers"
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    name: Mapped[str] = mapped_column(Text, default="")
    phone: Mapped[str] = mapped_column(Text, default="")
    created_at: Mapped[datetime.datetime] = mapped_column(UtcTime)
    erased_at: Mapped[datetime.datetime | None] = mapped_column(UtcTime, default=None)


class VisitRecord(Base):
    """One vehicle's stay; `date` is the day at the place itself."""

    __tablename__ = "visits"
    __table_args__ = (
        one_of("state", get_args(VisitState)),
        Index(None, "state", "opened_at"),
        Index(None, "plate", "vehicle_id"),
    )
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    vehicle_id: Mapped[str] = mapped_column(ForeignKey("vehicles.id"), index=True)
    customer_id: Mapped[str | None] = mapped_column(ForeignKey("customers.id"), index=True, default=None)
    opened_by: Mapped[str] = mapped_column(ForeignKey("accounts.id"))
    opened_at: Mapped[datetime.datetime] = mapped_column(UtcTime)
    date: Mapped[datetime.date]
    place: Mapped[str] = mapped_column(Text, default="")
    plate: Mapped[str] = mapped_column(Text, default="")
    vin: Mapped[str] = mapped_column(Text, default="")
    odometer_km: Mapped[float | None] = mapped_column(default=None)
    jurisdiction: Mapped[str] = mapped_column(String(64))
    state: Mapped[str] = mapped_column(String(16), default="open")


class Complaint(Base):
    """The customer's own words about a visit, apart from the record of the vehicle."""

    __tablename__ = "complaints"
    visit_id: Mapped[str] = mapped_column(ForeignKey("visits.id"), primary_key=True)
    words: Mapped[str] = mapped_column(Text, default="")


class ObservationRecord(Base):
    """One recorded fact, never changed; `sha256` is of the payload as it came, so a resend is known again.

    `sequence` counts from 1 without gaps in the order of receipt. Only erasing a person touches a payload, and says
    so in `redacted_at`.
    """

    __tablename__ = "observations"
    __table_args__ = (Index(None, "visit_id", "sequence"),)
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    sequence: Mapped[int] = mapped_column(BigInteger, unique=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visits.id"))
    kind: Mapped[str] = mapped_column(String(32))
    payload: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(_Sha256)
    account_id: Mapped[str] = mapped_column(ForeignKey("accounts.id"))
    device_time: Mapped[datetime.datetime] = mapped_column(UtcTime)
    received_at: Mapped[datetime.datetime] = mapped_column(UtcTime)
    supersedes: Mapped[str | None] = mapped_column(ForeignKey("observations.id"), index=True, default=None)
    redacted_at: Mapped[datetime.datetime | None] = mapped_column(UtcTime, default=None)


class JudgementRecord(Base):
    """A judgement frozen at sign-off: canonical JSON and its checksum, and which observations it rests on."""

    __tablename__ = "judgements"
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visits.id"), index=True)
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(_Sha256)
    basis_sha256: Mapped[str] = mapped_column(_Sha256)
    signed_by: Mapped[str] = mapped_column(ForeignKey("accounts.id"))
    signed_at: Mapped[datetime.datetime] = mapped_column(UtcTime)
    redacted_at: Mapped[datetime.datetime | None] = mapped_column(UtcTime, default=None)


class DecisionRecord(Base):
    """What the owner decided about an unsafe finding, and who of the shop wrote it down; the newest counts."""

    __tablename__ = "decisions"
    __table_args__ = (one_of("decision", get_args(OwnerDecision)),)
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    judgement_id: Mapped[str] = mapped_column(ForeignKey("judgements.id"), index=True)
    part: Mapped[str] = mapped_column(String(128))
    decision: Mapped[str] = mapped_column(String(16))
    account_id: Mapped[str] = mapped_column(ForeignKey("accounts.id"))
    decided_at: Mapped[datetime.datetime] = mapped_column(UtcTime)


class PhotoRecord(Base):
    """A photo; its bytes lie in a file named by `sha256`, and `source_sha256` is of the bytes as they came."""

    __tablename__ = "photos"
    id: Mapped[str] = mapped_column(_Id, primary_key=True)
    visit_id: Mapped[str] = mapped_column(ForeignKey("visits.id"), index=True)
    observation_id: Mapped[str | None] = mapped_column(ForeignKey("observations.id"), default=None)
    sha256: Mapped[str] = mapped_column(_Sha256, index=True)
    source_sha256: Mapped[str] = mapped_column(_Sha256)
    content_type: Mapped[str] = mapped_column(String(32))
    width_px: Mapped[int]
    height_px: Mapped[int]
    size_bytes: Mapped[int]
    account_id: Mapped[str] = mapped_column(ForeignKey("accounts.id"))
    device_time: Mapped[datetime.datetime] = mapped_column(UtcTime)
    received_at: Mapped[datetime.datetime] = mapped_column(UtcTime)


class ClipRecord(Base):
    """What moves of a photo that is the still of a clip; its bytes lie beside the photos', in a file of `ending`.

    Erased with its photo: the row stays, and nothing else.
    """

    __tablename__ = "clips"
    __table_args__ = (one_of("ending", get_args(ClipEnding)),)
    photo_id: Mapped[str] = mapped_column(ForeignKey("photos.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(_Sha256, index=True)
    ending: Mapped[str] = mapped_column(String(8))
    milliseconds: Mapped[int]
    size_bytes: Mapped[int]
