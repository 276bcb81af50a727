"""The one place that says what is personal, and how it is erased: a stub stays, the vehicle's record stays whole."""

from __future__ import annotations

import dataclasses
import datetime
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.inspection.types import Visit
from looseends.language import refusal
from looseends.store.canonical import canonical_json
from looseends.store.clips import clip_path
from looseends.store.kept import Store
from looseends.store.models import (
    Base,
    ClipRecord,
    Complaint,
    Customer,
    JudgementRecord,
    ObservationRecord,
    PhotoRecord,
    VisitRecord,
)
from looseends.store.photos import photo_path

PERSONAL: dict[str, tuple[str, ...]] = {
    "customers": ("name", "phone"),
    "complaints": ("words",),
    "visits": ("plate", "vin"),
}
"""Columns that lead to a customer. The names of the shop's own people are not among them: they sign what they found."""

PERSONAL_IN_VISIT = ("customer", "complaint", "plate")
"""The same in the inspection's `Visit`."""

ERASED = "[erased]"
_FREE_TEXT = ("note", "because")
"""Fields that people write freely: here parts of a name are taken out too."""

_LEAST_LETTERS = 3


@dataclass(frozen=True)
class _Traces:
    whole: re.Pattern[str] | None
    parts: re.Pattern[str] | None


def without_personal(visit: Visit) -> Visit:
    """The visit without what leads to its customer."""
    empty: dict[str, Any] = dict.fromkeys(PERSONAL_IN_VISIT, "")
    return dataclasses.replace(visit, **empty)


def erase_customer(store: Store, customer_id: str, *, at: datetime.datetime | None = None) -> None:
    """Erase a customer on request: name, phone, words of complaint, plate and VIN of the visits, and their traces.

    The row stays as a stub with `erased_at`; observations and judgements stay, those whose notes named the customer
    with `redacted_at`. Photos, exports and backups made before are not touched. May be done again.

    Raises
    ------
    InputError
        If there is no such customer.
    StoreError
        If the files could not be rewritten yet (`Store.sweep`).
    """
    with store.writing() as session:
        customer = session.get(Customer, customer_id)
        if customer is None:
            raise InputError(refusal('customer must be one that is stored, found "{found}".', found=customer_id))
        _erase(session, customer, at or datetime.datetime.now(datetime.UTC))
    store.sweep()


def erase_photo(store: Store, photo_id: str) -> None:
    """Erase a photo or a clip on request: its files, their size and the checksums that named them.

    The row stays as a stub that knows the photo again, so that a device that sends it once more does not bring it
    back. Exports, backups and what a tablet holds are not touched. May be done again.

    Raises
    ------
    InputError
        If there is no such photo.
    """
    with store.writing() as session:
        photo = session.get(PhotoRecord, photo_id)
        if photo is None:
            raise InputError(refusal('photo must be one that is stored, found "{found}".', found=photo_id))
        files = {photo.sha256: photo_path(store.photos, photo.sha256)}
        photo.sha256, photo.size_bytes, photo.width_px, photo.height_px = "", 0, 0, 0
        clip = session.get(ClipRecord, photo_id)
        if clip is not None:
            files[clip.sha256] = clip_path(store.photos, clip)
            clip.sha256, clip.size_bytes, clip.milliseconds = "", 0, 0
        session.flush()
        for table in (PhotoRecord, ClipRecord):
            for shown_elsewhere in session.scalars(select(table.sha256).where(table.sha256.in_(list(files)))):
                files.pop(shown_elsewhere, None)
        files.pop("", None)
    # after the record is on the disk: a file too many does less harm than a photo that is said to be there and is not
    for path in files.values():
        path.unlink(missing_ok=True)


def _erase(session: Session, customer: Customer, at: datetime.datetime) -> None:
    visits = session.scalars(select(VisitRecord).where(VisitRecord.customer_id == customer.id)).all()
    ids = [visit.id for visit in visits]
    complaints = session.scalars(select(Complaint).where(Complaint.visit_id.in_(ids))).all()
    told = [text for row in (*visits, *complaints) for text in _personal_texts(row)]
    traces = _traces([customer.phone, *told], customer.name)
    for observation in session.scalars(select(ObservationRecord).where(ObservationRecord.visit_id.in_(ids))):
        redacted = _redacted(observation.payload, traces)
        if redacted != observation.payload:
            observation.payload, observation.redacted_at = redacted, at
    for judgement in session.scalars(select(JudgementRecord).where(JudgementRecord.visit_id.in_(ids))):
        redacted = _redacted(judgement.content, traces)
        if redacted != judgement.content:
            judgement.content, judgement.redacted_at = redacted, at
    for row in (customer, *visits, *complaints):
        for column in PERSONAL[row.__tablename__]:
            setattr(row, column, "")
    customer.erased_at = customer.erased_at or at


def _personal_texts(row: Base) -> list[str]:
    return [str(getattr(row, column)) for column in PERSONAL[row.__tablename__]]


def _traces(texts: Iterable[str], name: str) -> _Traces:
    words = [word for word in re.findall(r"\w+", name) if len(word) >= _LEAST_LETTERS]
    return _Traces(_any_of([name, *texts]), _any_of(words))


def _any_of(texts: Iterable[str]) -> re.Pattern[str] | None:
    # the longest first, so that no piece of a longer one stays
    known = sorted({text.strip() for text in texts if text.strip()}, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, known))})(?!\w)", re.IGNORECASE) if known else None


def _redacted(content: str, traces: _Traces) -> str:
    return canonical_json(_cleaned(json.loads(content), "", traces))


def _cleaned(value: object, key: str, traces: _Traces) -> object:
    if isinstance(value, dict):
        return {name: _cleaned(entry, name, traces) for name, entry in value.items()}
    if isinstance(value, list):
        return [_cleaned(entry, key, traces) for entry in value]
    if not isinstance(value, str):
        return value
    if key in _FREE_TEXT and traces.parts:
        value = traces.whole.sub(ERASED, value) if traces.whole else value
        return traces.parts.sub(ERASED, value)
    # Elsewhere stand words of the catalogue too: a plate "A1" or a name "Rust" must not break them.
    return traces.whole.sub(ERASED, value) if traces.whole and " " in value else value
