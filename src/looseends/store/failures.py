"""What goes wrong with a disk or a database server, in one sentence that says what was kept and what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError

from looseends.errors import LooseEndsError
from looseends.language import Text, refusal

_DISK_FAULTS = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR)
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_NO_STORE = (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT)
_NO_ACCESS = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM)
# PostgreSQL's SQLSTATE for a full disk, https://www.postgresql.org/docs/15/errcodes-appendix.html
_DISK_FULL_STATE = "53100"
_PRIMARY_CODE = 0xFF


class StoreError(LooseEndsError):
    """The store cannot be read or written now; nothing that was acknowledged is lost."""


@contextmanager
def told_failures(place: str) -> Iterator[None]:
    """Database failures inside become a StoreError that names `place`.

    Raises
    ------
    StoreError
        Instead of what the driver raises for a full disk, a busy, damaged or unreachable database.
    """
    try:
        yield
    except IntegrityError:
        raise  # a fault of the program, not of the place
    except DBAPIError as error:
        raise StoreError(_sentence(error.orig, place)) from error
    except sqlite3.DatabaseError as error:
        raise StoreError(_sentence(error, place)) from error


def disk_sentence(place: str) -> Text:
    """What is said where writing to the disk fails."""
    return refusal(
        "The disk that holds {place} is full or cannot be written: nothing of this was stored, what was stored "
        "before is whole; free some space and do it again.",
        place=place,
    )


def _sentence(error: BaseException | None, place: str) -> Text:
    code = getattr(error, "sqlite_errorcode", 0) & _PRIMARY_CODE
    if code in _DISK_FAULTS or getattr(error, "sqlstate", None) == _DISK_FULL_STATE:
        return disk_sentence(place)
    if code in _BUSY:
        return refusal(
            "{place} is being written by another program: nothing of this was stored; do it again in a moment.",
            place=place,
        )
    if code in _NO_STORE:
        return refusal(
            "{place} is damaged or no store of Loose Ends: name another one, or bring a backup back.", place=place
        )
    if code in _NO_ACCESS:
        return refusal(
            "{place} cannot be opened for writing: check that its folder is there and may be written.", place=place
        )
    first_line = (str(error).strip().splitlines() or ["no reason given"])[0].rstrip(".")
    return refusal("{place} cannot be used: {reason}; nothing of this was stored.", place=place, reason=first_line)
