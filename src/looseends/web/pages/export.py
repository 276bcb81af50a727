"""Everything that is kept, as one archive for its owner."""

from __future__ import annotations

from typing import Any

from litestar import get
from litestar.connection import Request
from litestar.datastructures import State
from litestar.response import File, Template
from sqlalchemy import func, select

from looseends.store.kept import Store
from looseends.store.models import ClipRecord, ObservationRecord, PhotoRecord, VisitRecord
from looseends.web.accounts.access import Person, may
from looseends.web.answering.archive import archive_file
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


HANDLERS = [export_page, export_everything]
