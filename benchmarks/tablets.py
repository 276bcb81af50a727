"""A full bay: sixty tablets record at once over loopback; how long each record with its new posterior takes."""

from __future__ import annotations

import asyncio
import datetime
import multiprocessing
import os
import random
import socket
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import AsyncExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from benchmarks.machine import processor_s
from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.diagnosis import default_store
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.store import keep_vehicle, open_store, open_visit
from looseends.store.ids import time_ordered_id
from looseends.store.models import VisitRecord
from looseends.store.typed_json import plain
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.web import Settings
from looseends.web.accounts.people import new_account
from looseends.web.accounts.tokens import new_token
from looseends.web.bay.cards import setup_key

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
    late: int = 0
    """Records whose posterior did not come within a minute; they stand in no row."""


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

    async def opened(self) -> None:
        """The sheet opened and judged, as it is before anybody records."""
        (await self.client.get(f"/visits/{self.visit}/sheet")).raise_for_status()
        await self.record(Times())

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
        return self._begun(next(iter(self.setups)))

    def _begun(self, key: str) -> tuple[str, str, dict[str, object]]:
        id_, setup = time_ordered_id(), self.setups.pop(key)
        self.setups[key] = setup
        payload: dict[str, object] = {"setup": plain(setup), "stop_gap_mm": None, "observer": "Tom Orrin"}
        watches = self.draw.sample(self.watches[key], min(MOST_READINGS, len(self.watches[key])))
        self.check = (id_, watches) if watches else None
        return id_, "check", payload | {"readings": [], "passed_parts": [], "note": "", "hidden": []}

    def _go_on(self, advised: Sequence[str]) -> None:
        """The check that is advised comes next; where none is, the one that was done longest ago."""
        for key in advised:
            if key in self.setups:
                self.setups = {key: self.setups.pop(key), **self.setups}
                return

    def _grade(self) -> str:
        return self.draw.choices(("none", "slight", "clear", "gross"), (80, 12, 6, 2))[0]

    async def _put(self, id_: str, kind: str, payload: dict[str, object]) -> None:
        at = datetime.datetime.now(datetime.UTC).isoformat()
        body = {"kind": kind, "payload": payload, "device_time": at}
        answer = await self.client.put(f"/api/visits/{self.visit}/observations/{id_}", json=body)
        answer.raise_for_status()


def print_load() -> None:
    """Serve a bay from a process of its own, let the tablets work for a while, and print what they waited."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # read by the process that serves
    with tempfile.TemporaryDirectory() as folder:
        keys, visits = _opened(Path(folder))
        with _served(Path(folder)) as (address, process):
            busy_before, load_before = processor_s(process), os.getloadavg()
            own_before = time.process_time()
            times = asyncio.run(_work(address, keys, visits))
            spent, own = processor_s(process) - busy_before, time.process_time() - own_before
            _print_times(times, spent, own, load_before)


def _print_times(times: Times, spent: float, own: float, load_before: tuple[float, float, float]) -> None:
    records = len(times.judged)
    print(f"{TABLETS} tablets at as many visits for {SECONDS:.0f} s, each with a record every ", end="")
    print(f"{BETWEEN_S[0]:.0f} to {BETWEEN_S[1]:.0f} s: {records} records, {len(times.pages)} pages, ", end="")
    print(f"{times.late} posteriors not within a minute\n")
    print("| what | median [ms] | p95 [ms] | longest [ms] | goal for p95 |\n|" + " --- |" * 5)
    _print_row("record on the disk", times.stored, None)
    _print_row("record with its new posterior", times.judged, RECORD_MS)
    _print_row("page", times.pages, PAGE_MS)
    per_record = 1e3 * spent / max(records, 1)
    print(f"\nProcessor time of the server: {per_record:.0f} ms a record, pages included; ", end="")
    print(f"{100 * spent / SECONDS:.0f} % of one core; of the tablets {100 * own / SECONDS:.0f} %. ", end="")
    print(f"Waiting for a core: {load_before[0]:.1f} processes before, {os.getloadavg()[0]:.1f} at the end.\n")


def _print_row(name: str, seconds: Sequence[float], goal_ms: float | None) -> None:
    sorted_ms = [1e3 * entry for entry in sorted(seconds)] or [float("nan")]
    p95 = sorted_ms[int(0.95 * len(sorted_ms))]
    goal = "" if goal_ms is None else f"{goal_ms:.0f}, {'met' if p95 <= goal_ms else 'missed'}"
    print(f"| {name} | {sorted_ms[len(sorted_ms) // 2]:.0f} | {p95:.0f} | {sorted_ms[-1]:.0f} | {goal} |")


async def _work(address: str, keys: Sequence[str], visits: Sequence[tuple[str, str]]) -> Times:
    """All tablets at once for a while, after each has opened its sheet; none waits for another."""
    times = Times()
    async with AsyncExitStack() as stack:
        tablets = []
        for number, (visit, vehicle) in enumerate(visits):
            client = httpx.AsyncClient(
                base_url=address, headers={"authorization": f"Bearer {keys[number % len(keys)]}"}, timeout=60.0
            )
            tablets.append(_tablet(await stack.enter_async_context(client), visit, vehicle, random.Random(number)))
        for tablet in tablets:
            await tablet.opened()
        until = time.perf_counter() + SECONDS
        await asyncio.gather(*(_go_on(tablet, times, until) for tablet in tablets))
    return times


async def _go_on(tablet: Tablet, times: Times, until: float) -> None:
    await asyncio.sleep(tablet.draw.uniform(0.0, BETWEEN_S[1]))
    while time.perf_counter() < until:
        pause = tablet.draw.uniform(*BETWEEN_S)
        begin = time.perf_counter()
        try:
            await tablet.record(times)
        except httpx.ReadTimeout:
            times.late += 1
        if tablet.draw.random() < PAGE_SHARE:
            await asyncio.sleep(tablet.draw.uniform(1.0, 5.0))
            await tablet.look(times)
        await asyncio.sleep(max(0.0, begin + pause - time.perf_counter()))


def _tablet(client: httpx.AsyncClient, visit: str, vehicle_id: str, draw: random.Random) -> Tablet:
    vehicle, checks = load_vehicles()[vehicle_id], load_catalogue().checks
    setups = {setup_key(setup): setup for setup in usual_setups(vehicle) if setup.stand_inboard_mm == 0.0}
    watches = {
        key: [place.id for place in watches_of(checks[setup.check], setup.side) if place.part in vehicle.parts]
        for key, setup in setups.items()
    }
    return Tablet(client, visit, {key: setups[key] for key in setups if watches[key]}, watches, draw)


def _opened(folder: Path) -> tuple[list[str], list[tuple[str, str]]]:
    """A store with people and one open visit for each tablet: their keys, and the visits with their vehicles."""
    tables, vehicles = default_store(), load_vehicles()
    ready = [name for name in VEHICLES if all(tables.has(name, setup) for setup in usual_setups(vehicles[name]))]
    if not ready:
        raise SystemExit(f"No tables of {', '.join(VEHICLES)} are there: looseends prepare {VEHICLES[0]}")
    print(f"Vehicles: {', '.join(ready)}. Records in SQLite, each synced to the disk before it is acknowledged.")
    store, now = open_store(str(folder / "records.sqlite")), datetime.datetime.now(datetime.UTC)
    visits = [(time_ordered_id(), ready[number % len(ready)]) for number in range(TABLETS)]
    with store.writing() as session:
        people = [new_account(session, f"Technician {number}", "technician", None) for number in range(8)]
        keys = [new_token(session, account.id, "tablet") for account in people]
        for vehicle in ready:
            keep_vehicle(session, vehicle, at=now)
        for number, (visit, vehicle) in enumerate(visits):
            stay = VisitRecord(id=visit, vehicle_id=vehicle, opened_by=people[0].id, opened_at=now, date=now.date())
            stay.place, stay.plate, stay.vin, stay.jurisdiction = "Saltmarsh Slip", f"SLIP {number}", "", "us-federal"
            open_visit(session, stay, complaint="wanders")
    store.close()
    return keys, visits


@contextmanager
def _served(folder: Path) -> Iterator[tuple[str, int]]:
    """The address of an application in a process of its own, and that process."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
    process = _SPAWN.Process(target=_serve, args=(folder, port), daemon=False)
    process.start()
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address)
        assert process.pid is not None
        yield address, process.pid
    finally:
        process.terminate()
        process.join()


def _serve(folder: Path, port: int) -> None:
    import uvicorn

    from looseends.web import create_app
    from looseends.web.long_lived import spare_long_lived
    from looseends.web.serving import with_enough_threads

    with_enough_threads()
    app = create_app(Settings(folder / "web", str(folder / "records.sqlite"), f"http://127.0.0.1:{port}"))
    spare_long_lived()
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", access_log=False)


def _wait_for(address: str) -> None:
    for _ in range(600):
        try:
            httpx.get(f"{address}/sign-in", timeout=5.0).raise_for_status()
            return
        except httpx.TransportError:
            time.sleep(0.1)
    raise SystemExit(f"The server at {address} does not answer.")
