"""The first frames of a visit's clips for its handover, small enough for a letter."""

from __future__ import annotations

import io

from PIL import Image

from looseends.report.enclosures import ClipStill
from looseends.store.kept import Store
from looseends.store.models import PhotoRecord
from looseends.store.photos import photo_bytes
from looseends.web.of_visit.pictures import pictures_by_check

_LONGEST_PX = 640
_MOST_STILLS = 12
"""Two pages of them; the findings on screen have all."""


def clip_stills(store: Store, visit_id: str) -> tuple[ClipStill, ...]:
    """The stills check by check, at most twelve.

    Raises
    ------
    StoreError
        If the file of one is lost or damaged.
    """
    with store.reading() as session:
        shown = [
            (check, picture, photo_bytes(store.photos, session.get_one(PhotoRecord, picture.id)))
            for check, pictures in sorted(pictures_by_check(session, visit_id).items())
            for picture in pictures
            if picture.seconds
        ]
    return tuple(_small(check, picture.seconds, content) for check, picture, content in shown[:_MOST_STILLS])


def _small(check: int, seconds: int, content: bytes) -> ClipStill:
    made = io.BytesIO()
    with Image.open(io.BytesIO(content)) as image:
        image.draft("RGB", (_LONGEST_PX, _LONGEST_PX))
        image.thumbnail((_LONGEST_PX, _LONGEST_PX))
        image.save(made, "JPEG", quality=80)
        return ClipStill(check, seconds, made.getvalue(), image.width, image.height)
