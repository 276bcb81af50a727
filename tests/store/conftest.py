"""Both databases: a SQLite file of its own for each test, and a PostgreSQL database of its own."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url

from looseends.store import Store, open_store

SERVER_VARIABLE = "LOOSEENDS_TEST_POSTGRES"
DATABASES = ("sqlite", "postgresql")


@pytest.fixture
def new_url(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], str]]:
    """Gives the name of a new, empty store in one of the databases."""
    server = os.environ.get(SERVER_VARIABLE)
    made: list[str] = []

    def name(database: str) -> str:
        if database == "sqlite":
            return str(tmp_path / f"store-{uuid.uuid4().hex[:8]}" / "records.sqlite")
        if server is None:
            pytest.skip(f"no PostgreSQL server: {SERVER_VARIABLE} names none")
        monkeypatch.setenv("LOOSEENDS_PHOTOS", str(tmp_path / "photos"))
        made.append(f"looseends_{uuid.uuid4().hex}")
        administer(server, f"CREATE DATABASE {made[-1]}")
        return make_url(server).set(database=made[-1]).render_as_string(hide_password=False)

    yield name
    for database in made:
        assert server is not None
        administer(server, f"DROP DATABASE {database} WITH (FORCE)")


def administer(server: str, statement: str) -> None:
    """One statement to the server itself."""
    url = make_url(server).set(drivername="postgresql+psycopg")
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(statement))
    engine.dispose()


@pytest.fixture(params=DATABASES)
def url(request: pytest.FixtureRequest, new_url: Callable[[str], str]) -> str:
    """A new, empty store in each database."""
    return new_url(request.param)


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A store that is open, with nothing in it."""
    opened = open_store(url)
    yield opened
    opened.close()
