"""A full bay: sixty tablets record at once over loopback; how long a record with its new posterior takes, and a page."""

from __future__ import annotations

import asyncio
import datetime
import multiprocessing
import os
import random
import resource
import socket
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis import default_store
from looseends.diagnosis.tabulate import usual_setups
from looseends.store import keep_vehicle, open_store, open_visit
from looseends.store.ids import time_ordered_id
from looseends.store.models import VisitRecord
from looseends.store.typed_json import plain
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.web import Settings
from looseends.web.bay.cards import setup_key
from looseends.web.people import new_account
from looseends.web.tokens import new_token

TABLETS, SECONDS = 60, 180.0
BETWEEN_S = (10.0, 30.0)
"""From one record of a tablet to its next: 20 ± 10 s, evenly drawn."""

PAGE_SHARE = 0.5
"""After so many of the records a page is opened too."""

RECORD_MS, PAGE_MS = 250.0, 500.0
MOST_READINGS = 3
VEHICLES = ("yard-pickup", "pilots-sedan", "crew-van", "harbour-runabout")
PAGES = ("/", "/visits/{visit}", "/visits/{visit}/sheet", "/visits/{visit}/plan", "/visits/{visit}/findings")
_SPAWN = multiprocessing.get_context("spawn")


@dataclass
class Times:
    """Seconds: until a record is on the disk, until its new posterior is there too, and until a page is."""

    stored: list[float] = field(default_factory=list)
    judged: list[float] = field(default_factory=list)
    pages: list[float] = field(default_factory=list)
    refused: int = 0


@dataclass
class Tablet:
    """One tablet at one visit: the checks of its vehicle, and the check that it is at."""

    client: httpx.AsyncClient
    visit: str
    setups: dict[str, Setup]
    watches: dict[str, list[str]]
    draw: random.Random
    check: tuple[str, list[str]] | None = None

    async def record(self, times: Times) -> None:
        """One record, and everything that follows from it, as the sheet asks for it."""
        begin = time.perf_counter()
        await self._put(*self._next())
        times.stored.append(time.perf_counter() - begin)
        answer = await self._answer()
        times.judged.append(time.perf_counter() - begin)
        if self.check is None:
            self._go_on([step["key"] for step in answer["advice"]])

    async def look(self, times: Times) -> None:
        """One page."""
        begin = time.perf_counter()
        answer = await self.client.get(self.draw.choice(PAGES).format(visit=self.visit))
        answer.raise_for_status()
        times.pages.append(time.perf_counter() - begin)

    async def _answer(self) -> dict[str, Any]:
        answer = await self.client.get(f"/visits/{self.visit}/answer")
        answer.raise_for_status()
        found: dict[str, Any] = answer.json()["answer"]
        if found["state"] != "known":
            raise SystemExit(f"The tables are not there: {found['words']} Prepare them first.")
        return found

    def _next(self) -> tuple[str, str, dict[str, object]]:
        """A reading of the check at hand, or the check itself, gripped anew."""
        if self.check is not None:
            check, left = self.check
            reading = {"watch": left.pop(), "by": "hand", "gauge_mm": None, "grade": self._grade(), "note": ""}
            if not left:
                self.check = None
            return time_ordered_id(), "reading", {"check": check, "reading": reading}
        key = self.draw.choice(list(self.setups))
        return self._begun(key)

    def _begun(self, key: str) -> tuple[str, str, dict[str, object]]:
        id_ = time_ordered_id()
        payload: dict[str, object] = {"setup": plain(self.setups[key]), "stop_gap_mm": None, "observer": "Tom Orrin"}
        watches = self.draw.sample(self.watches[key], min(MOST_READINGS, len(self.watches[key])))
        self.check = (id_, watches) if watches else None
        return id_, "check", payload | {"readings": [], "passed_parts": [], "note": "", "hidden": []}

    def _go_on(self, advised: Sequence[str]) -> None:
        """The check that is advised comes next, where it has not been done."""
        for key in advised:
            if key in self.setups:
                self.setups = {key: self.setups[key], **self.setups}
                return

    def _grade(self) -> str:
        return self.draw.choices(("none", "slight", "clear", "gross"), (80, 12, 6, 2))[0]

    async def _put(self, id_: str, kind: str, payload: dict[str, object]) -> None:
        at = datetime.datetime.now(datetime.UTC).isoformat()
        body = {"kind": kind, "payload": payload, "device_time": at}
        answer = await self.client.put(f"/api/visits/{self.visit}/observations/{id_}", json=body)
        answer.raise_for_status()
