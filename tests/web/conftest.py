"""An application over an empty store, and a browser of each of its people."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from litestar import Litestar

from tests.web.cast import Client, shop, shop_records, signed_in, visitor


@pytest.fixture(scope="session")
def records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The records of a shop that has its people and nothing else; not to be opened, only copied."""
    return shop_records(tmp_path_factory.mktemp("shop") / "records.sqlite")


@pytest.fixture
def app(tmp_path: Path, records: Path, monkeypatch: pytest.MonkeyPatch) -> Litestar:
    """A shop with its cast."""
    monkeypatch.setenv("LOOSEENDS_CACHE", str(tmp_path / "tables"))
    return shop(tmp_path, records)


@pytest.fixture
def stranger(app: Litestar) -> Iterator[Client]:
    """Nobody of the shop."""
    with visitor(app) as client:
        yield client


@pytest.fixture
def technician(app: Litestar) -> Iterator[Client]:
    """Tom Orrin."""
    with signed_in(app, "technician") as client:
        yield client


@pytest.fixture
def owner(app: Litestar) -> Iterator[Client]:
    """Ines Calder."""
    with signed_in(app, "owner") as client:
        yield client
