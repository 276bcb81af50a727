"""The store itself: opened once, then read from and written to in sessions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from sqlalchemy import Engine, text
from sqlalchemy.orm import Session

from looseends.language import refusal
from looseends.store.connection import engine_at, outside_transactions, writing
from looseends.store.failures import StoreError, told_failures
from looseends.store.location import Location, location
from looseends.store.models import Base
from looseends.store.upgrade import upgrade_to_head


class Store:
    """A store that is open. `where` says which one; a session is one transaction."""

    def __init__(self, where: Location, engine: Engine) -> None:
        self.where = where
        self.engine = engine

    @property
    def place(self) -> str:
        """The store in a sentence."""
        return self.where.place

    @property
    def photos(self) -> Path:
        """The folder of the photos."""
        return self.where.photos

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one state throughout and holds up no writer.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with told_failures(self.place), Session(self.engine, expire_on_commit=False) as session, session.begin():
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that writes; when it is left without an error, everything in it is on the disk, else nothing.

        Writers take turns.

        Raises
        ------
        StoreError
            If the store cannot be written: the disk is full, another writer does not end, the server is away.
        """
        with (
            told_failures(self.place),
            Session(writing(self.engine), expire_on_commit=False) as session,
            session.begin(),
        ):
            yield session

    def sweep(self) -> None:
        """Rewrite the files so that nothing deleted or overwritten is left in them.

        A PostgreSQL server's write-ahead log and backups keep older content for as long as the server is told to.

        Raises
        ------
        StoreError
            If somebody else is reading; what was erased is erased, but older copies stay until this is done again.
        """
        with told_failures(self.place), outside_transactions(self.engine).connect() as connection:
            if self.where.file is None:
                for table in Base.metadata.tables:
                    connection.execute(text(f"VACUUM (FULL) {table}"))
                return
            connection.exec_driver_sql("VACUUM")
            busy = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").scalar()
        if busy:
            raise StoreError(
                refusal(
                    "{place} is being read: older copies stay in its files until the sweep is done again.",
                    place=self.place,
                )
            )

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()


def open_store(named: str | None = None) -> Store:
    """The store of this name (a file or a postgresql:// URL), else the usual one; made or migrated as needed.

    Raises
    ------
    InputError
        If the name is no store's, or its content is somebody else's or a newer version's.
    StoreError
        If it cannot be reached or written.
    """
    where = location(named)
    with told_failures(where.place):
        engine = engine_at(where)
        with ExitStack() as on_failure:
            on_failure.callback(engine.dispose)
            upgrade_to_head(engine, where.place)
            on_failure.pop_all()
    if where.file is not None:
        where.file.chmod(0o600)  # it holds customers' names
    return Store(where, engine)
