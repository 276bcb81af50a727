"""An archive of records taken into a store: what is there already is passed over, what contradicts it is refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Table, func, insert, select, tuple_
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.archive import Archive, archive_read
from looseends.store.kept import Store
from looseends.store.models import Base, ClipRecord, ObservationRecord, PhotoRecord
from looseends.store.older import at_newest_form
from looseends.store.personal import PERSONAL
from looseends.store.photos import photo_path
from looseends.store.rows import chunks
from looseends.store.upgrade import HEAD

_OBSERVATIONS = ObservationRecord.__tablename__
_MAY_DIFFER: dict[str, tuple[str, ...]] = {
    "accounts": ("name", "role", "language", "units", "password_hash", "closed_at"),
    "customers": ("erased_at",),
    "vehicles": ("created_at",),
    "vehicle_texts": ("created_at",),
    "visits": ("state",),
    "observations": ("sequence", "received_at", "payload", "redacted_at"),
    "judgements": ("content", "redacted_at"),
}
"""Columns that change in a store's life; the store's own value stays. Payload and content are held by checksums."""

_EMPTIED = {
    "photos": ("sha256", "size_bytes", "width_px", "height_px"),
    "clips": ("sha256", "size_bytes", "milliseconds"),
}
"""Columns of a photo and a clip that erasing empties."""


@dataclass(frozen=True)
class TakenIn:
    """How many rows were new and how many were there already, and the photos and clips in the archive."""

    new: int
    there: int
    photos: int
    clips: int


def import_archive(store: Store, file: Path) -> TakenIn:
    """Take in an archive, all of it or nothing; taking it in again changes nothing.

    Sequence numbers are given anew in their order. Whoever, and whatever photo, was erased here stays erased.

    Raises
    ------
    InputError
        If the archive is damaged, of another version, or contradicts what is stored.
    StoreError
        If the store cannot be written.
    """
    with archive_read(file) as given:
        require_records(given)
        with at_newest_form(given, store.photos) as archive, store.writing() as session:
            taken = take_in(session, archive)
            erased = _named_by_none(session, archive, store.photos)
    for path in erased:
        path.unlink(missing_ok=True)
    return taken


def _named_by_none(session: Session, archive: Archive, folder: Path) -> list[Path]:
    """Files of photos and clips that came with an archive and that no record names: they were erased here."""
    named = {checksum for table in (PhotoRecord, ClipRecord) for checksum in session.scalars(select(table.sha256))}
    return [photo_path(folder, one.checksum, one.ending) for one in archive.pictures() if one.checksum not in named]


def require_records(archive: Archive) -> None:
    """Refuse an archive that holds no records, or not every table."""
    if archive.kind != "records":
        raise InputError(
            refusal("{file} is a backup of a SQLite store: bring it back with looseends restore.", file=archive.name)
        )
    if archive.form == HEAD and set(archive.tables()) != set(Base.metadata.tables):
        raise InputError(
            refusal(
                "{file} is damaged: its tables are not those of its form {form}.", file=archive.name, form=archive.form
            )
        )


def take_in(session: Session, archive: Archive) -> TakenIn:
    """Insert what is new, in the session's transaction.

    Raises
    ------
    InputError
        If a row is damaged, contradicts what is stored or names what is not there.
    """
    new = there = 0
    try:
        for table in Base.metadata.sorted_tables:
            for rows in chunks(archive, table):
                missing = _missing(session, table, rows, archive.name)
                if table.name == _OBSERVATIONS:
                    _number(session, missing)
                if missing:
                    session.execute(insert(table), missing)
                new, there = new + len(missing), there + len(rows) - len(missing)
    except IntegrityError as error:
        raise InputError(
            refusal("{file} is damaged: a row names what is nowhere, or is no row of ours.", file=archive.name)
        ) from error
    moving = [picture.is_clip for picture in archive.pictures()]
    return TakenIn(new, there, moving.count(False) - moving.count(True), moving.count(True))


def _missing(session: Session, table: Table, rows: Sequence[dict[str, Any]], name: str) -> list[dict[str, Any]]:
    """The rows that are not stored yet; those that are must say the same."""
    key = [column.name for column in table.primary_key.columns]
    keys = [tuple(row[part] for part in key) for row in rows]
    chosen = select(table).where(tuple_(*table.primary_key.columns).in_(keys))
    stored = {tuple(row[part] for part in key): row for row in session.execute(chosen).mappings()}
    missing: dict[tuple[Any, ...], dict[str, Any]] = {}
    for at, row in zip(keys, rows, strict=True):
        known = stored.get(at, missing.get(at))
        if known is None:
            missing[at] = row
        elif differs := _difference(table.name, row, known):
            raise InputError(
                refusal(
                    "{name}: {table} {id} is stored already with another {differs}; nothing was taken.",
                    name=name,
                    table=table.name,
                    id=at[0],
                    differs=differs,
                )
            )
    return list(missing.values())


def _difference(table: str, given: dict[str, Any], stored: Any) -> str:
    passed = _MAY_DIFFER.get(table, ())
    for column, value in given.items():
        # Erased on one side is no contradiction.
        erased = column in PERSONAL.get(table, ()) and "" in (value, stored[column])
        erased = erased or (column in _EMPTIED.get(table, ()) and "" in (given["sha256"], stored["sha256"]))
        if column not in passed and not erased and value != stored[column]:
            return column
    return ""


def _number(session: Session, rows: Sequence[dict[str, Any]]) -> None:
    after = session.scalar(select(func.max(ObservationRecord.sequence))) or 0
    for sequence, row in enumerate(rows, start=after + 1):
        row["sequence"] = sequence
