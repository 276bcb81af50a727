"""Everything that is kept, as one archive for its owner."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path
from typing import Any

from litestar import get
from litestar.background_tasks import BackgroundTask
from litestar.connection import Request
from litestar.datastructures import State
from litestar.response import File, Template
from sqlalchemy import func, select

from looseends.store.export import export_archive
from looseends.store.kept import Store
from looseends.store.models import ClipRecord, ObservationRecord, PhotoRecord, VisitRecord
from looseends.web.accounts.access import Person, may
from looseends.web.answering.rendering import page


@get("/export", guards=[may("export everything")], sync_to_thread=True)
def export_page(request: Request[Person, Any, Any], state: State) -> Template:
    """How much is kept, and the way to take it along."""
    store: Store = state.store
    with store.reading() as session:
        visits, observations = (
            session.scalar(select(func.count()).select_from(table)) or 0 for table in (VisitRecord, ObservationRecord)
        )
        stills, clips = (
            session.scalar(select(func.count()).where(table.sha256 != "")) or 0 for table in (PhotoRecord, ClipRecord)
        )
    photos = stills - clips
    return page(request, "export.html.j2", visits=visits, observations=observations, photos=photos, clips=clips)


@get("/export/archive", guards=[may("export everything")], sync_to_thread=True)
def export_everything(state: State) -> File:
    """All records, photos and clips as the archive that docs/store.md describes; the server keeps no copy of it."""
    return archive_file(state.store)


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


HANDLERS = [export_page, export_everything]
