"""Everything in a store as one archive: a file of JSON lines for each table, the photos and the clips."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Select, Table, func, select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.archive import Writing, archive_written
from looseends.store.clips import clip_bytes
from looseends.store.kept import Store
from looseends.store.models import Base, ClipRecord, ObservationRecord, PhotoRecord
from looseends.store.photos import photo_bytes
from looseends.store.rows import row_line
from looseends.store.upgrade import HEAD

_ROWS_AT_ONCE = 1_000
_Row = TypeVar("_Row", PhotoRecord, ClipRecord)


@dataclass(frozen=True)
class Written:
    """What an archive holds; the stills of clips are counted as no photos."""

    file: Path
    observations: int
    visits: int
    photos: int
    clips: int


def export_archive(store: Store, file: Path, *, replace: bool = False) -> Written:
    """Write all records, photos and clips into one archive (docs/store.md); others may go on working.

    Raises
    ------
    InputError
        If the file is there and `replace` is off.
    StoreError
        If the store cannot be read, a photo or a clip is lost or the disk is full.
    """
    require_free(file, replace)
    with store.reading() as session, archive_written(file, "records", HEAD) as archive:
        for table in Base.metadata.sorted_tables:
            archive.add(f"tables/{table.name}.jsonl", _lines(session, table), packed=True)
        add_photos(session, store.photos, archive)
        return counted(session, file)


def require_free(file: Path, replace: bool) -> None:
    """Refuse a file that is there, unless it may be replaced."""
    if file.is_dir() or (file.exists() and not replace):
        raise InputError(refusal("{file} is there already: name another file, or say --replace.", file=file))


def add_photos(session: Session, folder: Path, archive: Writing) -> None:
    """Add the bytes of every photo and every clip, each once."""
    photos = {photo.sha256: photo for photo in session.scalars(_kept(PhotoRecord))}
    for checksum, photo in sorted(photos.items()):
        archive.add(f"photos/{checksum}.jpg", iter([photo_bytes(folder, photo)]), packed=False)
    clips = {clip.sha256: clip for clip in session.scalars(_kept(ClipRecord))}
    for checksum, clip in sorted(clips.items()):
        archive.add(f"clips/{checksum}.{clip.ending}", iter([clip_bytes(folder, clip)]), packed=False)


def _kept(table: type[_Row]) -> Select[_Row]:
    return select(table).where(table.sha256 != "").order_by(table.sha256)


def counted(session: Session, file: Path) -> Written:
    """What the store holds, as it went into an archive."""
    tables = Base.metadata.tables
    observations, visits, photos, clips = (
        session.scalar(select(func.count()).select_from(tables[name])) or 0
        for name in ("observations", "visits", "photos", "clips")
    )
    return Written(file, observations, visits, photos - clips, clips)


def _lines(session: Session, table: Table) -> Iterator[bytes]:
    # Observations in the order of receipt: a correction then comes after what it corrects.
    first = table.c.sequence if table.name == ObservationRecord.__tablename__ else None
    order = [first] if first is not None else list(table.primary_key.columns)
    rows = session.execute(select(table).order_by(*order).execution_options(yield_per=_ROWS_AT_ONCE))
    for rows_at_once in rows.mappings().partitions():
        yield "".join(row_line(dict(row)) + "\n" for row in rows_at_once).encode()
