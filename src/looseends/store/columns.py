"""Kinds of column that both databases keep alike."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from sqlalchemy import CheckConstraint, DateTime, Dialect
from sqlalchemy.types import TypeDecorator


class UtcTime(TypeDecorator[datetime.datetime]):
    """A moment with its time zone, kept and given back in UTC; SQLite has no zones of its own."""

    impl = DateTime(timezone=True)
    cache_ok = True

    @property
    def python_type(self) -> type[datetime.datetime]:
        """What a value is in Python."""
        return datetime.datetime

    def process_bind_param(self, value: datetime.datetime | None, dialect: Dialect) -> datetime.datetime | None:
        """The moment in UTC.

        Raises
        ------
        ValueError
            If it has no time zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a moment needs its time zone, found {value.isoformat()}")
        return value.astimezone(datetime.UTC)

    def process_result_value(self, value: datetime.datetime | None, dialect: Dialect) -> datetime.datetime | None:
        """The moment with its zone, UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=datetime.UTC) if value.tzinfo is None else value.astimezone(datetime.UTC)


def one_of(column: str, words: Sequence[str]) -> CheckConstraint:
    """The database itself refuses any other word in this column."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")
