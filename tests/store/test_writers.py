"""Several write at once: each in its turn, sequence numbers without gaps, and a reader sees them appear in order."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from sqlalchemy import select

from looseends.store import Store
from looseends.store.models import ObservationRecord
from tests.store.made_records import prepared
from tests.store.writer import IN_A_BATCH, send

WRITERS, BATCHES = 4, 6


def test_writers_take_turns_and_readers_see_no_gap(store: Store) -> None:
    prepared(store)

    def write(writer: int) -> None:
        for number in range(BATCHES):
            # the same batches twice over: each other writer's batch has been sent by somebody else too
            send(store, (writer // 2) * BATCHES + number)

    def seen() -> list[int]:
        with store.reading() as session:
            return sorted(session.scalars(select(ObservationRecord.sequence)))

    with ThreadPoolExecutor(WRITERS) as pool:
        writing = [pool.submit(write, writer) for writer in range(WRITERS)]
        while not all(done.done() for done in writing):
            sequences = seen()
            assert sequences == list(range(1, len(sequences) + 1))
        for done in writing:
            done.result()
    assert seen() == list(range(1, WRITERS // 2 * BATCHES * IN_A_BATCH + 1))
