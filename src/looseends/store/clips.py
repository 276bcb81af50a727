"""Clips of a visit: each a photo, its still, with a film beside it that is named by its checksum too."""

from __future__ import annotations

import datetime
import hashlib
from pathlib import Path

from sqlalchemy.orm import Session

from looseends.language import refusal
from looseends.store.clip import Clip, kept_clip
from looseends.store.models import ClipRecord, PhotoRecord
from looseends.store.photos import PhotoSent, keep_photo, photo_path, whole_file, write_photo


def keep_clip(
    session: Session,
    folder: Path,
    sent: PhotoSent,
    *,
    clip: Clip | None = None,
    received_at: datetime.datetime | None = None,
) -> PhotoRecord:
    """Keep a clip and its still; sent again it is accepted. The files are on the disk before their records are.

    `clip` is what `kept_clip` made of the content, where that was done before: other writers wait in here.

    Raises
    ------
    InputError
        If the clip is refused, the id stored with another one, or visit, observation or account not stored.
    StoreError
        If the disk is full.
    """
    if session.get(PhotoRecord, sent.id) is not None:
        return keep_photo(session, folder, sent)  # the same, or refused
    clip = clip or kept_clip(sent.content, refusal("clip {id}", id=sent.id))
    photo = keep_photo(session, folder, sent, picture=clip.still, received_at=received_at)
    checksum = hashlib.sha256(clip.content).hexdigest()
    write_photo(folder, checksum, clip.content, clip.ending)
    kept = ClipRecord(
        photo_id=photo.id,
        sha256=checksum,
        ending=clip.ending,
        milliseconds=clip.milliseconds,
        size_bytes=len(clip.content),
    )
    session.add(kept)
    session.flush()
    return photo


def clip_path(folder: Path, clip: ClipRecord) -> Path:
    """Where the bytes of a clip lie."""
    return photo_path(folder, clip.sha256, clip.ending)


def clip_bytes(folder: Path, clip: ClipRecord) -> bytes:
    """The bytes of a clip.

    Raises
    ------
    StoreError
        If the file is lost or damaged.
    """
    return whole_file(clip_path(folder, clip), clip.sha256, clip.photo_id)
