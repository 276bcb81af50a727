"""An archive of records of an older form, brought to the newest one by the same migrations as a store."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine, MetaData, insert

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.archive import Archive, archive_read
from looseends.store.connection import engine_at, writing
from looseends.store.export import export_archive
from looseends.store.kept import Store
from looseends.store.location import Location, location
from looseends.store.photos import copy_photos
from looseends.store.rows import chunks
from looseends.store.upgrade import HEAD, VERSION_TABLE, migrate_to, upgrade_to_head


@contextmanager
def at_newest_form(archive: Archive, photos: Path) -> Iterator[Archive]:
    """The archive itself, or if its form is older a new one made of it; its photos are in the folder already.

    Raises
    ------
    InputError
        If its form is not known here, or its tables are not those of its form.
    """
    copy_photos(archive, photos)
    if archive.form == HEAD:
        yield archive
        return
    with tempfile.TemporaryDirectory(prefix="looseends-") as folder:
        file = Path(folder) / "records.sqlite"
        where = Location(location(str(file)).url, photos, file)
        engine = engine_at(where)
        try:
            _fill(engine, archive)
            upgrade_to_head(engine, archive.name)
            newer = Path(folder) / "records.zip"
            export_archive(Store(where, engine), newer)
        finally:
            engine.dispose()
        with archive_read(newer) as brought_up:
            yield brought_up


def _fill(engine: Engine, archive: Archive) -> None:
    with writing(engine).begin() as connection:
        migrate_to(connection, archive.form, archive.name)
        tables = MetaData()
        tables.reflect(connection)
        tables.remove(tables.tables[VERSION_TABLE])
        if set(archive.tables()) != set(tables.tables):
            raise InputError(
                refusal(
                    "{file} is damaged: its tables are not those of its form {form}.",
                    file=archive.name,
                    form=archive.form,
                )
            )
        for table in tables.sorted_tables:
            for rows in chunks(archive, table):
                connection.execute(insert(table), rows)
