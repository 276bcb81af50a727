"""Where a store is: a SQLite file by default, or a PostgreSQL database by its URL; photos beside or in a folder."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from looseends.errors import InputError
from looseends.language import Text, refusal

STORE_VARIABLE = "LOOSEENDS_STORE"
"""Environment variable that names the store: a file, or a URL that starts with postgresql://."""

PHOTOS_VARIABLE = "LOOSEENDS_PHOTOS"
"""Environment variable that names the folder of the photos; beside a SQLite file it is not needed."""

_POSTGRESQL = ("postgres", "postgresql", "postgresql+psycopg")


@dataclass(frozen=True)
class Location:
    """The database and the folder of the photos; `file` is None for a server."""

    url: URL
    photos: Path
    file: Path | None

    @property
    def place(self) -> str:
        """The store in a sentence, without a password."""
        return str(self.file) if self.file else f"The database {self.url.database} at {self.url.host or 'this machine'}"


def location(named: str | None = None) -> Location:
    """The store that is named, else that of LOOSEENDS_STORE, else a file in the user's data folder.

    Raises
    ------
    InputError
        If the name is a URL of no database that is kept.
    """
    text = named or os.environ.get(STORE_VARIABLE) or str(user_data_path("looseends") / "records.sqlite")
    if "://" not in text:
        file = Path(text).absolute()
        photos = os.environ.get(PHOTOS_VARIABLE) or file.with_name(f"{file.stem}-photos")
        return Location(URL.create("sqlite", database=str(file)), Path(photos), file)
    url = _server_url(text)
    photos = os.environ.get(PHOTOS_VARIABLE) or user_data_path("looseends") / f"{url.database}-photos"
    return Location(url, Path(photos), None)


def _server_url(text: str) -> URL:
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise InputError(_refusal(text)) from error
    if url.drivername not in _POSTGRESQL or not url.database:
        raise InputError(_refusal(text))
    return url.set(drivername="postgresql+psycopg")


def _refusal(text: str) -> Text:
    # no more of it than the scheme: a password may follow
    return refusal(
        '{variable}: a store must be a file or postgresql://USER@HOST/DATABASE, found "{scheme}://…".',
        variable=STORE_VARIABLE,
        scheme=text.split("://")[0],
    )
