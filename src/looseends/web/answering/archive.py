"""Everything that is kept, as one file that is sent."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path

from litestar.background_tasks import BackgroundTask
from litestar.response import File

from looseends.store.export import export_archive
from looseends.store.kept import Store


def archive_file(store: Store) -> File:
    """The archive as a file that is taken away again once it is sent."""
    with tempfile.NamedTemporaryFile(prefix="looseends-", suffix=".zip", delete=False) as made:
        file = Path(made.name)
    try:
        export_archive(store, file, replace=True)
    except BaseException:
        file.unlink(missing_ok=True)
        raise
    day = datetime.datetime.now(datetime.UTC).date().isoformat()
    return File(
        path=file,
        filename=f"looseends-{day}.zip",
        media_type="application/zip",
        headers={"Cache-Control": "no-store"},
        background=BackgroundTask(file.unlink, missing_ok=True),
    )
