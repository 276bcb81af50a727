"""A device that sends batch after batch until it is killed or the disk is full; each is told once it is stored."""

from __future__ import annotations

import datetime
import resource
import signal
import sys
from pathlib import Path

from looseends.store import Observation, Store, StoreError, open_store, record
from tests.store.made_records import NOON, TECHNICIAN, VISIT, condition

IN_A_BATCH = 10
FULL = "full:"


def batch(number: int) -> list[Observation]:
    """The observations of a batch, the same whenever they are made."""
    return [
        Observation(
            f"{number:08x}-{place:04x}-7000-8000-000000000000",
            VISIT,
            "condition",
            condition(note=f"batch {number}, {'x' * 200}"),
            TECHNICIAN,
            NOON + datetime.timedelta(seconds=number, milliseconds=place),
        )
        for place in range(IN_A_BATCH)
    ]


def send(store: Store, number: int) -> None:
    """Store a batch."""
    with store.writing() as session:
        assert record(session, batch(number)).refused == ()


def forbid_growth(file: Path, more_bytes: int) -> None:
    """No file of this process may grow past the store's size and so many bytes: to it, the disk is full."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    most = file.stat().st_size + more_bytes
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))


def main(url: str, first: int, more_bytes: int | None = None) -> None:
    """Send from batch `first` on, without end; what is told on standard output is stored."""
    store = open_store(url)
    if more_bytes is not None and store.where.file is not None:
        forbid_growth(store.where.file, more_bytes)
    number = first
    try:
        while True:
            send(store, number)
            print(number, flush=True)
            number += 1
    except StoreError as error:
        print(FULL, error, flush=True)


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
