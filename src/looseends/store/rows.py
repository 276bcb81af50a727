"""Rows of the tables as JSON objects and back; only the columns that the tables have, each of its own kind."""

from __future__ import annotations

import datetime
import itertools
import json
from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Column, Table

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.archive import Archive
from looseends.store.canonical import canonical_json, checksum
from looseends.store.observation import Observation, checksum_of

MOST_LINE_BYTES = 16_000_000
_ROWS_AT_ONCE = 500


def row_line(row: Mapping[str, Any]) -> str:
    """A row as one line of JSON; moments in UTC and days in ISO 8601."""
    return canonical_json({name: _plain(value) for name, value in row.items()})


def row_of(table: Table, line: bytes, where: str) -> dict[str, Any]:
    """The row that a line holds.

    Raises
    ------
    InputError
        If it is not a row of this table.
    """
    try:
        values = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise InputError(refusal("{where}: must be a line of JSON, found something else.", where=where)) from error
    names = {column.name for column in table.columns}
    if not isinstance(values, dict) or set(values) != names:
        raise InputError(
            refusal(
                "{where}: must hold the columns {accepted}, found others.",
                where=where,
                accepted=", ".join(sorted(names)),
            )
        )
    return {column.name: _value(column, values[column.name], where) for column in table.columns}


def require_whole(table: str, row: Mapping[str, Any], where: str) -> None:
    """Refuse an observation or a judgement whose content has not its own checksum, unless it says that it was redacted.

    Raises
    ------
    InputError
        If they do not agree.
    """
    found = None
    if table == "judgements":
        found = checksum(row["content"])
    elif table == "observations":
        sent = Observation(
            row["id"], row["visit_id"], row["kind"], {}, row["account_id"], row["device_time"], row["supersedes"]
        )
        found = checksum_of(sent, row["payload"])
    if found is not None and row["redacted_at"] is None and found != row["sha256"]:
        raise InputError(
            refusal("{where}: sha256 must be that of the content, found {found}.", where=where, found=row["sha256"])
        )


def chunks(archive: Archive, table: Table) -> Iterator[list[dict[str, Any]]]:
    """The rows of a table in an archive, some hundreds at a time.

    Raises
    ------
    InputError
        If a line is no row of the table, or its content has not its own checksum.
    """
    with archive.open(f"tables/{table.name}.jsonl") as file:
        numbers = itertools.count(1)
        rows: list[dict[str, Any]] = []
        held = 0
        while line := file.readline(MOST_LINE_BYTES):
            held += len(line)
            where = f"{archive.name}, {table.name}, line {next(numbers)}"
            rows.append(row_of(table, line, where))
            require_whole(table.name, rows[-1], where)
            if len(rows) == _ROWS_AT_ONCE or held >= MOST_LINE_BYTES:
                yield rows
                rows, held = [], 0
        if rows:
            yield rows


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, datetime.date) else value


def _value(column: Column[Any], value: object, where: str) -> object:
    kind = column.type.python_type
    if value is None and column.nullable:
        return None
    try:
        if kind is datetime.datetime and isinstance(value, str):
            moment = datetime.datetime.fromisoformat(value)
            if moment.tzinfo is not None:
                return moment
        if kind is datetime.date and isinstance(value, str):
            return datetime.date.fromisoformat(value)
    except ValueError as error:
        raise _refusal(column, where) from error
    if kind is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if kind in (int, str) and type(value) is kind and "\0" not in str(value):
        return value
    raise _refusal(column, where)


def _refusal(column: Column[Any], where: str) -> InputError:
    return InputError(
        refusal(
            "{where}: {column} must be of kind {kind}, found another.",
            where=where,
            column=column.name,
            kind=column.type.python_type.__name__,
        )
    )
