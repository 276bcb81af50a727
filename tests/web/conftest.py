"""An application over an empty store, and a browser of each of its people."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar
from playwright.sync_api import Browser, BrowserContext, Page

from tests.web.advice import AdvisingStub
from tests.web.bay import browser, served_bay, tablet
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


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all tests here."""
    with browser() as found:
        yield found


@pytest.fixture(scope="module")
def bay(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Any]]:
    """The address of a served demo bay, and the cookies of somebody who is signed in."""
    os.environ.setdefault("LOOSEENDS_CACHE", str(tmp_path_factory.mktemp("tables")))
    with served_bay(tmp_path_factory.mktemp("bay"), AdvisingStub()) as link:
        context = tablet(chromium)
        page = context.new_page()
        page.goto(link)
        yield page.url.rstrip("/"), context.storage_state()
        context.close()


@pytest.fixture
def device(chromium: Browser, bay: tuple[str, Any]) -> Iterator[BrowserContext]:
    """A tablet that holds nothing yet, in the hands of somebody signed in."""
    context = tablet(chromium, has_touch=True, storage_state=bay[1], base_url=bay[0])
    yield context
    context.close()


@pytest.fixture
def page(device: BrowserContext) -> Iterator[Page]:
    """A page that must tell of no fault, but that there is no connection."""
    found = device.new_page()
    told: list[str] = []
    found.on("pageerror", lambda error: told.append(str(error)))
    yield found
    assert told == []
