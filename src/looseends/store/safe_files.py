"""Files written whole or not at all: into a temporary one beside, synced, then renamed."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from looseends.store.failures import StoreError, disk_sentence


@contextmanager
def written_whole(path: Path) -> Iterator[IO[bytes]]:
    """A file to write to; it takes the place of `path` when all of it is on the disk, and leaves nothing otherwise.

    Raises
    ------
    StoreError
        If the folder cannot be made or the disk is full.
    """
    temporary: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".new-", delete=False) as file:
            temporary = Path(file.name)
            yield file
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
        sync_folder(path.parent)
    except OSError as error:
        raise StoreError(disk_sentence(str(path))) from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk, which syncing a file alone does not; not all systems can."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
