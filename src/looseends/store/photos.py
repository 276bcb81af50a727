"""Photos of a visit: the record in the database, the bytes in a file named by their checksum."""

from __future__ import annotations

import datetime
import hashlib
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.language import Text, refusal, say
from looseends.store.archive import Archive
from looseends.store.failures import StoreError
from looseends.store.ids import is_time_ordered
from looseends.store.models import Account, ObservationRecord, PhotoRecord, VisitRecord
from looseends.store.picture import CONTENT_TYPE, Picture, kept_picture
from looseends.store.safe_files import written_whole


@dataclass(frozen=True)
class PhotoSent:
    """A photo as a device sends it; the device makes `id` (UUID version 7). `content` is JPEG, PNG or WebP."""

    id: str
    visit: str
    account: str
    device_time: datetime.datetime
    content: bytes
    observation: str | None = None


def keep_photo(
    session: Session,
    folder: Path,
    sent: PhotoSent,
    *,
    picture: Picture | None = None,
    received_at: datetime.datetime | None = None,
) -> PhotoRecord:
    """Keep a photo; sent again it is accepted. The file is on the disk before its record is.

    `picture` is what `kept_picture` made of the content, where that was done before: other writers wait in here.

    Raises
    ------
    InputError
        If the picture is refused, the id stored with another one, or visit, observation or account not stored.
    StoreError
        If the disk is full.
    """
    where = refusal("photo {id}", id=sent.id)
    if not is_time_ordered(sent.id):
        raise InputError(
            refusal("photo: id must be a UUID of version 7 in lower case, found {found}.", found=shown(sent.id))
        )
    source = hashlib.sha256(sent.content).hexdigest()
    stored = session.get(PhotoRecord, sent.id)
    if stored is not None:
        if stored.source_sha256 != source or stored.visit_id != sent.visit:
            raise InputError(
                refusal("{where}: is stored already as another photo; a new one takes an id of its own.", where=where)
            )
        return stored
    _require_known(session, sent, where)
    picture = picture or kept_picture(sent.content, where)
    checksum = hashlib.sha256(picture.content).hexdigest()
    write_photo(folder, checksum, picture.content)
    photo = PhotoRecord(
        id=sent.id,
        visit_id=sent.visit,
        observation_id=sent.observation,
        sha256=checksum,
        source_sha256=source,
        content_type=CONTENT_TYPE,
        width_px=picture.width_px,
        height_px=picture.height_px,
        size_bytes=len(picture.content),
        account_id=sent.account,
        device_time=sent.device_time,
        received_at=received_at or datetime.datetime.now(datetime.UTC),
    )
    session.add(photo)
    session.flush()
    return photo


def is_erased(photo: PhotoRecord) -> bool:
    """Whether only the stub of a photo is left."""
    return not photo.sha256


def photo_path(folder: Path, checksum: str, ending: str = "jpg") -> Path:
    """Where the bytes of this checksum lie; `ending` is another one for a clip."""
    return folder / checksum[:2] / f"{checksum}.{ending}"


def write_photo(folder: Path, checksum: str, content: bytes, ending: str = "jpg") -> None:
    """Put the bytes of a photo or a clip on the disk, unless they are there whole.

    Raises
    ------
    StoreError
        If the disk is full.
    """
    path = photo_path(folder, checksum, ending)
    if not path.is_file() or hashlib.sha256(path.read_bytes()).hexdigest() != checksum:
        with written_whole(path) as file:
            file.write(content)


def copy_photos(archive: Archive, folder: Path) -> None:
    """Put the photos and clips of an archive into the folder; they are there before their records are."""
    for kept in archive.pictures():
        with archive.open(kept.name) as picture:
            content = picture.read()
        if hashlib.sha256(content).hexdigest() != kept.checksum:
            told = {"name": archive.name, "checksum": kept.checksum}
            if kept.is_clip:
                raise InputError(refusal("{name} is damaged: clip {checksum} is another one.", **told))
            raise InputError(refusal("{name} is damaged: photo {checksum} is another one.", **told))
        write_photo(folder, kept.checksum, content, kept.ending)


def photo_bytes(folder: Path, photo: PhotoRecord) -> bytes:
    """The bytes of a photo.

    Raises
    ------
    StoreError
        If the file is lost or damaged.
    """
    return whole_file(photo_path(folder, photo.sha256), photo.sha256, photo.id)


def whole_file(path: Path, checksum: str, photo_id: str) -> bytes:
    """The bytes of a photo's or a clip's file.

    Raises
    ------
    StoreError
        If the file is lost or damaged.
    """
    content = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(content).hexdigest() != checksum:
        what = say("damaged") if path.is_file() else say("lost")
        raise StoreError(
            refusal(
                "photo {id}: its file {path} is {what}; bring it back from a backup.", id=photo_id, path=path, what=what
            )
        )
    return content


def _require_known(session: Session, sent: PhotoSent, where: Text) -> None:
    if session.get(VisitRecord, sent.visit) is None:
        raise InputError(
            refusal('{where}: visit must be one that is stored, found "{found}".', where=where, found=sent.visit)
        )
    if session.get(Account, sent.account) is None:
        raise InputError(
            refusal('{where}: account must be one that is stored, found "{found}".', where=where, found=sent.account)
        )
    if sent.observation is not None:
        observation = session.get(ObservationRecord, sent.observation)
        if observation is None or observation.visit_id != sent.visit:
            raise InputError(
                refusal(
                    '{where}: observation must be one of its visit, found "{found}".',
                    where=where,
                    found=sent.observation,
                )
            )
