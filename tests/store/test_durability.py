"""What was acknowledged is there, once, after a kill, a log cut anywhere, and a full disk."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select

from looseends.store import Store, StoreError, backup, keep_photo, open_store
from looseends.store.models import ObservationRecord
from tests.house.project_files import ROOT
from tests.store.made_records import prepared
from tests.store.pictures import camera_picture
from tests.store.test_photos import sent
from tests.store.writer import FULL, IN_A_BATCH, batch, send

# A long run: LOOSEENDS_KILLS=20 LOOSEENDS_KILL_RECORDS=1000
KILLS = int(os.environ.get("LOOSEENDS_KILLS", "4"))
RECORDS = int(os.environ.get("LOOSEENDS_KILL_RECORDS", "200"))

pytestmark = pytest.mark.slow


def writer(url: str, *numbers: int) -> subprocess.Popen[str]:
    """A device in a process of its own."""
    command = [sys.executable, "-m", "tests.store.writer", url, *map(str, numbers)]
    environment = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"}
    return subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)


def told(process: subprocess.Popen[str], batches: int) -> list[int]:
    """Batches that it tells as stored, until there are so many; then it is killed at no moment in particular."""
    assert process.stdout is not None
    numbers = [int(process.stdout.readline()) for _ in range(batches)]
    time.sleep(random.uniform(0.0, 0.02))
    process.kill()
    rest = process.stdout.read().split("\n")
    process.wait()
    process.stdout.close()
    # what was told in the moment of the kill is acknowledged too; half a line is not
    return numbers + [int(line) for line in rest[:-1]]


def stored_ids(store: Store) -> list[str]:
    """Ids in the order of their sequence, which has no gap; each payload is the one that was sent."""
    with store.reading() as session:
        rows = session.scalars(select(ObservationRecord).order_by(ObservationRecord.sequence)).all()
        if store.where.file is not None:
            assert session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    assert [row.sequence for row in rows] == list(range(1, len(rows) + 1))
    assert all(f"batch {int(row.id[:8], 16)}, " in row.payload for row in rows)
    return [row.id for row in rows]


def ids_of(numbers: range) -> list[str]:
    """Ids of whole batches."""
    return [sent.id for number in numbers for sent in batch(number)]


def test_a_killed_writer_loses_nothing_acknowledged_and_nothing_is_there_twice(url: str) -> None:
    prepared(open_store(url)).close()
    first = 0
    for _ in range(KILLS):
        # The batch that was not acknowledged is sent again: it may be there already.
        first = told(writer(url, first), RECORDS // IN_A_BATCH)[-1] + 1
        with closing(open_store(url)) as store:
            ids = stored_ids(store)
        assert ids in (ids_of(range(first)), ids_of(range(first + 1)))


def test_a_log_cut_after_the_last_acknowledged_sync_loses_nothing_acknowledged(
    new_url: Callable[[str], str], tmp_path: Path
) -> None:
    with closing(prepared(open_store(new_url("sqlite")))) as store:
        file = store.where.file
        assert file is not None
        log = file.with_name(f"{file.name}-wal")
        for number in range(3):
            send(store, number)
        acknowledged = log.stat().st_size
        send(store, 3)
        content, log_content = file.read_bytes(), log.read_bytes()
    assert 0 < acknowledged < len(log_content)
    lengths = sorted({*random.sample(range(acknowledged, len(log_content)), 40), acknowledged, len(log_content)})
    for length in lengths:
        copy = tmp_path / f"cut-{length}" / "records.sqlite"
        copy.parent.mkdir()
        copy.write_bytes(content)
        copy.with_name("records.sqlite-wal").write_bytes(log_content[:length])
        with closing(open_store(str(copy))) as store:
            ids = stored_ids(store)
            assert ids == ids_of(range(4 if length == len(log_content) else 3)), length
            send(store, 3)
            assert stored_ids(store) == ids_of(range(4))
        shutil.rmtree(copy.parent)


@pytest.mark.parametrize("more_bytes", [0, 5_000, 100_000, 1_000_000])
def test_a_full_disk_is_told_in_a_sentence_and_damages_nothing(new_url: Callable[[str], str], more_bytes: int) -> None:
    url = new_url("sqlite")
    prepared(open_store(url)).close()
    with writer(url, 0, more_bytes) as process:
        assert process.stdout is not None
        *numbers, last = process.stdout.read().splitlines()
    assert last == (
        f"{FULL} The disk that holds {url} is full or cannot be written: nothing of this was stored, what was stored "
        "before is whole; free some space and do it again."
    )
    assert [int(number) for number in numbers] == list(range(len(numbers)))
    assert len(numbers) > 0 or more_bytes < 100_000
    with closing(open_store(url)) as store:
        assert stored_ids(store) == ids_of(range(len(numbers)))
        send(store, len(numbers))


LIMITED = """
import sys
from looseends.store import StoreError, open_store
from tests.store import test_durability as tests
from tests.store.writer import forbid_growth
store = open_store(sys.argv[1])
forbid_growth(store.where.file, int(sys.argv[2]) - store.where.file.stat().st_size)
getattr(tests, sys.argv[3])(store)
"""


def photo_and_backup(store: Store) -> None:
    """Neither a photo nor a backup fits on the disk."""
    assert store.where.file is not None
    folder = store.where.file.parent
    with pytest.raises(StoreError, match="is full or cannot be written: nothing of this was stored"):
        backup(store, folder / "backup.zip")
    with pytest.raises(StoreError, match="is full or cannot be written"), store.writing() as session:
        keep_photo(session, store.photos, sent(camera_picture(2000, 2000)))
    left = [path.name for path in folder.rglob("*") if path.is_file() and not path.name.startswith("records.sqlite")]
    assert left == []


def test_a_photo_or_a_backup_that_does_not_fit_leaves_nothing_behind(new_url: Callable[[str], str]) -> None:
    url = new_url("sqlite")
    prepared(open_store(url)).close()
    environment = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"}
    command = [sys.executable, "-c", LIMITED, url, "10000", "photo_and_backup"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
