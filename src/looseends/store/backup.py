"""A store put away while it is in use, and brought back."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import delete, func, select

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.archive import SNAPSHOT, Archive, archive_read, archive_written
from looseends.store.export import Written, add_photos, counted, export_archive, require_free
from looseends.store.failures import StoreError, disk_sentence, told_failures
from looseends.store.kept import Store, open_store
from looseends.store.models import Base
from looseends.store.older import at_newest_form
from looseends.store.photos import copy_photos
from looseends.store.take_in import require_records, take_in
from looseends.store.upgrade import HEAD

_PIECE_BYTES = 1 << 20


def backup(store: Store, file: Path, *, replace: bool = False) -> Written:
    """Put all of a store into one file while others work: SQLite's own copy of its pages, or the records' archive.

    Raises
    ------
    InputError
        If the file is there and `replace` is off.
    StoreError
        If the store cannot be read, a photo is lost or the disk is full.
    """
    require_free(file, replace)
    if store.where.file is None:
        return export_archive(store, file, replace=replace)
    with _folder_beside(file) as folder:
        copy = folder / SNAPSHOT
        with told_failures(store.place):
            _copy_pages(store.where.file, copy)
        snapshot = open_store(str(copy))
        try:
            with snapshot.reading() as session, archive_written(file, "snapshot", HEAD) as archive:
                # Photos are only ever added, so those of the snapshot are all there.
                add_photos(session, store.photos, archive)
                archive.add(SNAPSHOT, _pieces(copy), packed=False)
                return counted(session, file)
        finally:
            snapshot.close()


def restore(store: Store, file: Path, *, replace: bool = False) -> Written:
    """Bring a backup or an archive of records back: afterwards the store holds what it held, and nothing else.

    It happens in one transaction, so others who work with the store see the old or the new state.

    Raises
    ------
    InputError
        If the file is damaged, or the store holds records and `replace` is off.
    StoreError
        If the store cannot be written.
    """
    with archive_read(file) as archive:
        with store.reading() as session:
            holds = any(session.scalar(select(func.count()).select_from(t)) for t in Base.metadata.sorted_tables)
        if holds and not replace:
            raise InputError(
                refusal(
                    "{place} holds records: say --replace to have them replaced by those of {file}.",
                    place=store.place,
                    file=file,
                )
            )
        if archive.kind == "snapshot":
            _restore_pages(store, archive)
        else:
            _restore_records(store, archive)
    with store.reading() as session:
        return counted(session, file)


def _restore_records(store: Store, archive: Archive) -> None:
    require_records(archive)
    with at_newest_form(archive, store.photos) as newest, store.writing() as session:
        for table in reversed(Base.metadata.sorted_tables):
            session.execute(delete(table))
        take_in(session, newest)


def _restore_pages(store: Store, archive: Archive) -> None:
    if store.where.file is None:
        raise InputError(
            refusal(
                "{file} is a backup of a SQLite store, which PostgreSQL cannot take: restore it into a file, "
                "and bring that over with looseends export and import.",
                file=archive.name,
            )
        )
    with _folder_beside(store.where.file) as folder:
        copy = folder / SNAPSHOT
        try:
            with archive.open(SNAPSHOT) as packed, copy.open("wb") as out:
                shutil.copyfileobj(packed, out, _PIECE_BYTES)
        except OSError as error:
            raise StoreError(disk_sentence(str(store.where.file))) from error
        open_store(str(copy)).close()  # one that cannot be opened, or is of a newer version, is refused here
        copy_photos(archive, store.photos)
        store.close()
        with told_failures(store.place):
            _copy_pages(copy, store.where.file)


def _copy_pages(source: Path, target: Path) -> None:
    """SQLite's online copy: one consistent state, and at the target one transaction."""
    with closing(sqlite3.connect(source)) as taken, closing(sqlite3.connect(target)) as given:
        given.execute("PRAGMA synchronous = FULL")
        taken.backup(given)


@contextmanager
def _folder_beside(file: Path) -> Iterator[Path]:
    """A folder on the same disk, for its user alone, gone afterwards."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        folder = tempfile.mkdtemp(dir=file.parent, prefix=".new-")
    except OSError as error:
        said = refusal("{folder} cannot be written: {problem}.", folder=file.parent, problem=error.strerror or error)
        raise StoreError(said) from error
    try:
        yield Path(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(_PIECE_BYTES):
            yield piece
