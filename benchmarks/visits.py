"""How long the first page and a search take where very many visits are stored: invented ones, in PostgreSQL."""

from __future__ import annotations

import datetime
import os
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from litestar.testing import TestClient
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url

from benchmarks.machine import processor_s
from looseends.store import Store, keep_vehicle, open_store
from looseends.store.canonical import canonical_json
from looseends.store.typed_json import plain
from looseends.vehicle.loading import shipped_vehicles
from looseends.vehicle.setup import Setup
from looseends.web import Settings, create_app
from looseends.web.accounts.people import new_account
from looseends.web.accounts.tokens import new_token
from looseends.web.long_lived import spare_long_lived

VISITS, OPEN, RECORDS_OF_A_VISIT = 200_000, 240, 4
"""Visits in the store, how many of them are open, and the records of each."""

ASKED = 60
Address = Callable[[random.Random], tuple[str, str]]
"""Gives a path and the words that are searched for."""

GOAL_MS = 200.0
SERVER_VARIABLE = "LOOSEENDS_TEST_POSTGRES"

_NAMES = (
    *("Hanna", "Ode", "Ines", "Bram", "Tom", "Lucía", "Wen", "Nilo", "Marta", "Piet"),
    *("Aoife", "Sven", "Yusuf", "Greta", "Ilse", "Rafael", "Dora", "Emil", "Kaja", "Noor"),
)
_FAMILIES = (
    *("Ferris", "Marlin", "Calder", "Oduya", "Orrin", "Quay", "Sallow", "Varga"),
    *("Brandt", "Holm", "Teague", "Ansel", "Rook", "Pell", "Dunmore", "Vance"),
)
_COMPLAINTS = (
    "wanders on the straight road",
    "knocks over kerbs at the slipway",
    "shakes at speed on the coast road",
    "pulls to the left when braking",
    "steering is stiff after the wash",
    "squeaks at the front over bumps",
    "clunks when turning in the yard",
)
_RARE = "hums beside the lighthouse"

_FILL = """
CREATE TEMPORARY TABLE told AS SELECT CAST(:names AS text[]) AS names, CAST(:families AS text[]) AS families,
  CAST(:vehicles AS text[]) AS vehicles, CAST(:words AS text[]) AS words, CAST(:account AS text) AS account;
CREATE TEMPORARY TABLE numbered AS SELECT n, CAST(:start AS timestamptz) + n * interval '9 minutes' AS at
  FROM generate_series(1, CAST(:visits AS int)) AS n;
INSERT INTO customers (id, name, phone, created_at)
  SELECT 'c' || n, names[1 + n % cardinality(names)] || ' ' || families[1 + (n / 7) % cardinality(families)] || ' '
    || n % 9973, '', at FROM numbered, told;
INSERT INTO visits
    (id, vehicle_id, customer_id, opened_by, opened_at, date, place, plate, vin, odometer_km, jurisdiction, state)
  SELECT 'v' || n, vehicles[1 + n % cardinality(vehicles)], 'c' || n, account, at, at::date, 'Saltmarsh Slip',
    'SLIP ' || (n * 7919) % 1000003, upper(substr(md5(n::text), 1, 17)), n % 300000, 'us-federal',
    CASE WHEN n > :visits - :open THEN 'open' ELSE 'signed-off' END FROM numbered, told;
INSERT INTO complaints (visit_id, words)
  SELECT 'v' || n, CASE WHEN n % 20011 = 0 THEN :rare ELSE words[1 + n % cardinality(words)] END FROM numbered, told;
INSERT INTO observations
    (id, sequence, visit_id, kind, payload, sha256, account_id, device_time, received_at)
  SELECT 'o' || n || '-' || k, (n - 1) * :records + k, 'v' || n, 'check', :payload, md5(n || '-' || k), account, at, at
  FROM numbered, told, generate_series(1, :records) AS k
"""
_READING = {
    "watch": "lower-ball-joint-left",
    "by": "gauge",
    "gauge_mm": 1.25,
    "grade": None,
    "free_mm": None,
    "note": "",
}
_PAYLOAD = {
    "setup": plain(Setup("bj-axial", "arm", "left", "held", "off", 0.0)),
    "stop_gap_mm": None,
    "observer": "Tom Orrin",
    "readings": [_READING],
    "passed_parts": ["idler-arm"],
    "note": "",
    "hidden": [],
}


def print_visits() -> None:
    """Fill a database of its own, ask the pages, print what was measured, and drop the database again."""
    server = os.environ.get(SERVER_VARIABLE)
    if server is None:
        print(f"Many visits: not measured, for {SERVER_VARIABLE} names no PostgreSQL server.\n")
        return
    with _database(server) as url, tempfile.TemporaryDirectory() as folder:
        store = open_store(url)
        begin = time.perf_counter()
        key = _filled(store)
        version = _version(store)
        print(
            f"{VISITS} invented visits with {RECORDS_OF_A_VISIT} records each, {OPEN} of them open, in {version}; ",
            end="",
        )
        print(f"filled in {time.perf_counter() - begin:.0f} s\n")
        store.close()
        _ask_all(Settings(Path(folder), url), key)


def _ask_all(settings: Settings, key: str) -> None:
    heads = (
        "asked",
        "median [ms]",
        "p95 [ms]",
        "longest [ms]",
        "processor time: program [ms]",
        "database [ms]",
        "lines",
    )
    print(f"| {' | '.join(heads)} | goal for p95 |\n|" + " --- |" * (len(heads) + 1))
    app = create_app(settings)
    spare_long_lived()  # as `looseends serve` does
    with TestClient(app) as client:
        client.headers["authorization"] = f"Bearer {key}"
        for name, address in _ADDRESSES.items():
            _print_row(client, name, address, app.state.store)
    print(f"\nWaiting for a core at the end: {os.getloadavg()[0]:.1f} processes.\n")


def _print_row(client: TestClient, name: str, address: Address, store: Store) -> None:  # type: ignore[type-arg]
    draw, times, busy, lines, of_server = random.Random(1), [], [], [], 0.0
    for number in range(ASKED + 3):
        path, search = address(draw)
        query = {"search" if path.startswith("/api") else "q": search} if search else {}
        if number == 3:  # the first ones read what the server had not in memory
            of_server = _processor_s(store)
        begin, spent = time.perf_counter(), time.process_time()
        answer = client.get(path, params=query)
        if number >= 3:
            times.append(1e3 * (time.perf_counter() - begin))
            busy.append(1e3 * (time.process_time() - spent))
            lines.append(len(answer.json()) if path.startswith("/api") else answer.text.count('class="line"'))
        assert answer.status_code == 200, answer.text
    of_server = 1e3 * (_processor_s(store) - of_server) / ASKED
    p95 = sorted(times)[int(0.95 * len(times))]
    goal = f"{GOAL_MS:.0f}, {'met' if p95 <= GOAL_MS else 'missed'}"
    clock = f"{statistics.median(times):.0f} | {p95:.0f} | {max(times):.0f}"
    spent_on_it = f"{statistics.median(busy):.0f} | {of_server:.0f}"
    print(f"| {name} | {clock} | {spent_on_it} | {min(lines)} to {max(lines)} | {goal} |", flush=True)


def _plate(draw: random.Random) -> str:
    return f"SLIP {draw.randrange(1, VISITS) * 7919 % 1_000_003}"


def _name(draw: random.Random) -> str:
    return f"{draw.choice(_NAMES)} {draw.choice(_FAMILIES)} {draw.randrange(9973)}"


_ADDRESSES: dict[str, Address] = {
    "first page": lambda draw: ("/", ""),
    "visits over the API": lambda draw: ("/api/visits", ""),
    "a plate": lambda draw: ("/", _plate(draw)),
    "half a plate, three digits": lambda draw: ("/", f"{draw.randrange(100, 999)}"),
    "a customer's whole name": lambda draw: ("/", _name(draw)),
    "a family name, one in sixteen": lambda draw: ("/", draw.choice(_FAMILIES)),
    "part of an identification number": lambda draw: ("/", f"{draw.randrange(16**6):06X}"),
    "a complaint, one in seven": lambda draw: ("/", draw.choice(_COMPLAINTS)),
    "a complaint that ten have": lambda draw: ("/", "lighthouse"),
    "a vehicle and a name": lambda draw: ("/", f"{draw.choice(['pickup', 'sedan', 'van'])} {draw.choice(_NAMES)}"),
    "what nobody has": lambda draw: ("/", f"zeppelin {draw.randrange(99)}"),
    "two letters that nobody has": lambda draw: ("/", "qx"),
}


def _filled(store: Store) -> str:
    """The store filled; the key of a technician."""
    start = datetime.datetime.now(datetime.UTC) - datetime.timedelta(minutes=9 * VISITS)
    vehicles = sorted(shipped_vehicles())
    with store.writing() as session:
        account = new_account(session, "Tom Orrin", "technician", None)
        key = new_token(session, account.id, "measures")
        for vehicle in vehicles:
            keep_vehicle(session, vehicle, at=start)
        lists = {"names": [*_NAMES], "families": [*_FAMILIES], "vehicles": vehicles, "words": [*_COMPLAINTS]}
        figures = {"visits": VISITS, "open": OPEN, "records": RECORDS_OF_A_VISIT, "start": start}
        more = {"account": account.id, "rare": _RARE, "payload": canonical_json(_PAYLOAD)}
        for statement in _FILL.split(";"):
            session.execute(text(statement), _named_in(statement, lists | figures | more))
    with create_engine(store.where.url, isolation_level="AUTOCOMMIT").connect() as connection:
        connection.execute(text("VACUUM ANALYZE"))
    return key


def _named_in(statement: str, values: dict[str, Any]) -> dict[str, Any]:
    """Those of the values that a statement names."""
    return {name: value for name, value in values.items() if f":{name}" in statement.replace("::", "")}


def _version(store: Store) -> str:
    with store.reading() as session:
        version = str(session.scalar(text("SHOW server_version"))).split()[0]
        words = session.scalar(text("SELECT count(*) FROM pg_indexes WHERE indexname LIKE 'words_in%'"))
    return f"PostgreSQL {version}, {words} indexes of words"


def _processor_s(store: Store) -> float:
    """Processor time that the server's processes of this database have had; not a number on another machine."""
    with store.reading() as session:
        found = session.scalars(text("SELECT pid FROM pg_stat_activity WHERE datname = current_database()")).all()
    return sum(processor_s(process) for process in found)


@contextmanager
def _database(server: str) -> Iterator[str]:
    """The URL of a new database of the server, dropped at the end."""
    name = f"looseends_benchmark_{os.getpid()}"
    url = make_url(server).set(drivername="postgresql+psycopg")
    with create_engine(url, isolation_level="AUTOCOMMIT").connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
        try:
            yield make_url(server).set(database=name).render_as_string(hide_password=False)
        finally:
            connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
