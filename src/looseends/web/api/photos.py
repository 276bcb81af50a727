"""Photos over HTTP: each put under the id that its device made, made small and stripped of places, and read again."""

from __future__ import annotations

import datetime
import io
import threading
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.openapi.spec import OpenAPIFormat, OpenAPIMediaType, OpenAPIType, Operation, RequestBody, Schema
from litestar.params import FromPath, HeaderParameter, QueryParameter, RawBody
from litestar.response import Response
from PIL import Image
from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.kept import Store
from looseends.store.models import ClipRecord, PhotoRecord, VisitRecord
from looseends.store.photos import PhotoSent, is_erased, keep_photo, photo_bytes
from looseends.store.picture import CONTENT_TYPE, MOST_BYTES, Picture, kept_picture
from looseends.web.accounts.access import Person, may
from looseends.web.api.visit_structs import PhotoOut
from looseends.web.of_visit.visits import known_visit

_PATH = "/visits/{visit_id:str}/photos"
_SMALL_PX = 320
KEPT = {"Cache-Control": "private, max-age=31536000, immutable"}
ONE_PICTURE = threading.Lock()
"""Pictures are decoded one at a time: a large one takes hundreds of megabytes."""


@dataclass
class OfPicture(Operation):
    """The description of an address that takes a picture as it is, which the framework cannot read off the handler."""

    taken: ClassVar[tuple[str, ...]] = ("image/jpeg", "image/png", "image/webp")

    def __post_init__(self) -> None:
        picture = OpenAPIMediaType(schema=Schema(type=OpenAPIType.STRING, format=OpenAPIFormat.BINARY))
        self.request_body = RequestBody(content=dict.fromkeys(self.taken, picture), required=True)


@get(_PATH, guards=[may("see visits")], sync_to_thread=True, tags=["photos"])
def photos(state: State, visit_id: FromPath[str]) -> list[PhotoOut]:
    """The photos of a visit in the order of the devices' times, the stills of its clips among them."""
    store: Store = state.store
    chosen = select(PhotoRecord, ClipRecord.milliseconds).outerjoin(ClipRecord, ClipRecord.photo_id == PhotoRecord.id)
    chosen = chosen.where(PhotoRecord.visit_id == visit_id, PhotoRecord.sha256 != "")
    with store.reading() as session:
        known_visit(session, visit_id)
        rows = session.execute(chosen.order_by(PhotoRecord.device_time, PhotoRecord.id))
        return [photo_out(photo, milliseconds) for photo, milliseconds in rows]


@put(
    _PATH + "/{photo_id:str}",
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["photos"],
    request_max_body_size=MOST_BYTES,
    operation_class=OfPicture,
)
def put_photo(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    photo_id: FromPath[str],
    body: RawBody,
    device_time: Annotated[datetime.datetime, HeaderParameter(name="x-device-time")],
    observation: Annotated[str | None, QueryParameter(name="observation")] = None,
) -> PhotoOut:
    """Keep a photo (JPEG, PNG or WebP as the body) under the id of the device; sent again nothing happens."""
    require_zone(photo_id, device_time)
    store: Store = state.store
    sent = PhotoSent(photo_id, visit_id, request.user.account_id, device_time, body, observation)
    picture = _picture(store, sent)
    with store.writing() as session:
        return photo_out(keep_photo(session, store.photos, sent, picture=picture), None)


@get(
    _PATH + "/{photo_id:str}", guards=[may("see visits")], sync_to_thread=True, tags=["photos"], media_type=CONTENT_TYPE
)
def photo(state: State, visit_id: FromPath[str], photo_id: FromPath[str]) -> Response[bytes]:
    """The photo as it is kept, a JPEG."""
    content, kind = _content(state.store, visit_id, photo_id)
    return Response(content, media_type=kind, headers=KEPT)


@get(
    _PATH + "/{photo_id:str}/small",
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["photos"],
    media_type=CONTENT_TYPE,
)
def small_photo(state: State, visit_id: FromPath[str], photo_id: FromPath[str]) -> Response[bytes]:
    """The photo at the size of a thumbnail, a JPEG."""
    content, kind = _content(state.store, visit_id, photo_id)
    made = io.BytesIO()
    with Image.open(io.BytesIO(content)) as image:
        image.draft("RGB", (_SMALL_PX, _SMALL_PX))
        image.thumbnail((_SMALL_PX, _SMALL_PX))
        image.save(made, "JPEG", quality=80)
    return Response(made.getvalue(), media_type=kind, headers=KEPT)


def require_zone(photo_id: str, device_time: datetime.datetime) -> None:
    """Refuse a time that may be anybody's.

    Raises
    ------
    InputError
        If it tells no time zone.
    """
    if device_time.tzinfo is None:
        raise InputError(
            refusal(
                "photo {photo_id}: x-device-time must tell its time zone, found {found}.",
                photo_id=photo_id,
                found=device_time.isoformat(),
            )
        )


def _picture(store: Store, sent: PhotoSent) -> Picture | None:
    """The picture as it is to be kept; None where the photo is stored, whose content then decides.

    Made before anybody's turn to write, and one at a time: a large picture takes hundreds of megabytes.
    """
    if not is_new(store, sent):
        return None
    with ONE_PICTURE:
        return kept_picture(sent.content, refusal("photo {id}", id=sent.id))


def is_new(store: Store, sent: PhotoSent) -> bool:
    """Whether nothing is stored under this id.

    Raises
    ------
    NotFoundException
        If there is no such visit.
    """
    with store.reading() as session:
        if session.get(VisitRecord, sent.visit) is None:
            raise NotFoundException
        return session.get(PhotoRecord, sent.id) is None


def _content(store: Store, visit_id: str, photo_id: str) -> tuple[bytes, str]:
    with store.reading() as session:
        found = known_photo(session, visit_id, photo_id)
        return photo_bytes(store.photos, found), found.content_type


def known_photo(session: Session, visit_id: str, photo_id: str) -> PhotoRecord:
    """A photo of this visit that was not erased.

    Raises
    ------
    NotFoundException
        If there is none.
    """
    found = session.get(PhotoRecord, photo_id)
    if found is None or found.visit_id != visit_id or is_erased(found):
        raise NotFoundException
    return found


def photo_out(row: PhotoRecord, clip_milliseconds: int | None) -> PhotoOut:
    """A photo as it is told; of a clip's still with how long the clip lasts."""
    return PhotoOut(
        id=row.id,
        observation=row.observation_id,
        width_px=row.width_px,
        height_px=row.height_px,
        size_bytes=row.size_bytes,
        clip_milliseconds=clip_milliseconds,
        account=row.account_id,
        device_time=row.device_time,
        received_at=row.received_at,
    )


HANDLERS = [photos, put_photo, photo, small_photo]
