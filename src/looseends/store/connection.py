"""How each database is opened: what SQLite must be told on every connection, and one writer at a time in both."""

from __future__ import annotations

import importlib.util
import sqlite3
from time import monotonic, sleep
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.failures import StoreError
from looseends.store.location import Location

# Write-ahead log with a sync at every commit: a power cut takes nothing acknowledged. Deleted content is overwritten.
_SQLITE_SETTINGS = (
    "PRAGMA busy_timeout = 5000",
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    "PRAGMA secure_delete = ON",
)
_PATIENCE_S = 5.0
# Any number, the same in every program that writes: writers take turns, so sequence numbers appear in order.
_WRITER_LOCK = 0x4C6F6F73
_WRITES = "looseends_writes"
_OUTSIDE = "looseends_outside"


def engine_at(where: Location) -> Engine:
    """An engine; the folder of a SQLite file is made, for its user alone.

    Raises
    ------
    InputError
        If PostgreSQL is named and its driver is not installed.
    StoreError
        If the folder cannot be made.
    """
    if where.file is None:
        if importlib.util.find_spec("psycopg") is None:
            raise InputError(refusal('PostgreSQL needs the extra "postgresql": pip install "looseends[postgresql]".'))
        # A plan made once for every word of a search would be one for no word: each is planned for what it asks.
        engine = create_engine(where.url, connect_args={"prepare_threshold": None})
        event.listen(engine, "begin", _begin_postgresql)
        return engine
    try:
        where.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        said = refusal("{folder} cannot be made: {problem}.", folder=where.file.parent, problem=error.strerror or error)
        raise StoreError(said) from error
    engine = create_engine(where.url)
    event.listen(engine, "connect", _settle_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def writing(engine: Engine) -> Engine:
    """The same engine, whose transactions wait for their turn to write."""
    return engine.execution_options(**{_WRITES: True})


def outside_transactions(engine: Engine) -> Engine:
    """The same engine, each of whose statements is for itself, as rewriting a file needs it."""
    if engine.dialect.name == "sqlite":
        return engine.execution_options(**{_OUTSIDE: True})
    return engine.execution_options(isolation_level="AUTOCOMMIT", **{_OUTSIDE: True})


def _settle_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    # The driver would begin transactions by rules of its own; they are begun below instead.
    connection.isolation_level = None
    for setting in _SQLITE_SETTINGS:
        _patiently(connection, setting)


def _patiently(connection: sqlite3.Connection, setting: str) -> None:
    """One setting, tried again while another that opens the same new file holds it: SQLite does not wait by itself."""
    until = monotonic() + _PATIENCE_S
    while True:
        try:
            connection.execute(setting)
            return
        except sqlite3.OperationalError as problem:
            if "locked" not in str(problem) or monotonic() > until:
                raise
            sleep(0.02)


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    if not options.get(_OUTSIDE):
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get(_WRITES) else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    options = connection.get_execution_options()
    if options.get(_WRITES):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITER_LOCK})")
    elif not options.get(_OUTSIDE):
        # SQLite's readers see one state throughout; here that has to be asked for.
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
