"""The photos and clips of a visit as pages show them, in the order of the devices' times."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.store.models import ClipRecord, PhotoRecord
from looseends.store.rebuild import facts_of


@dataclass(frozen=True)
class Shown:
    """A photo, or where `seconds` is above zero the still of a clip that lasts so long."""

    id: str
    observation: str | None
    width_px: int
    height_px: int
    seconds: int


def shown_pictures(session: Session, visit_id: str) -> list[Shown]:
    """What was not erased."""
    chosen = (
        select(PhotoRecord, ClipRecord)
        .outerjoin(ClipRecord, ClipRecord.photo_id == PhotoRecord.id)
        .where(PhotoRecord.visit_id == visit_id, PhotoRecord.sha256 != "")
        .order_by(PhotoRecord.device_time, PhotoRecord.id)
    )
    return [_shown(photo, clip) for photo, clip in session.execute(chosen)]


def pictures_by_check(session: Session, visit_id: str) -> dict[int, list[Shown]]:
    """The same by the number of the check that they are of, 0 where they are of none."""
    checks = [fact.id for fact in facts_of(session, visit_id) if fact.kind == "check"]
    numbers = {fact: number for number, fact in enumerate(checks, start=1)}
    found: dict[int, list[Shown]] = {}
    for picture in shown_pictures(session, visit_id):
        found.setdefault(numbers.get(picture.observation or "", 0), []).append(picture)
    return found


def _shown(photo: PhotoRecord, clip: ClipRecord | None) -> Shown:
    seconds = 0 if clip is None else max(1, round(clip.milliseconds / 1000))
    return Shown(photo.id, photo.observation_id, photo.width_px, photo.height_px, seconds)
