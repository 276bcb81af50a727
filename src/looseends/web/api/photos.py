"""Photos over HTTP: each put under the id that its device made, made small and stripped of places, and read again."""

from __future__ import annotations

import datetime
import io
from typing import Annotated, Any

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, HeaderParameter, QueryParameter, RawBody
from litestar.response import Response
from PIL import Image
from sqlalchemy import select
from sqlalchemy.orm import Session

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.kept import Store
from looseends.store.models import PhotoRecord
from looseends.store.photos import PhotoSent, is_erased, keep_photo, photo_bytes
from looseends.store.picture import MOST_BYTES
from looseends.web.access import Person, may
from looseends.web.api.structs import PhotoOut
from looseends.web.visits import known_visit

_PATH = "/visits/{visit_id:str}/photos"
_SMALL_PX = 320
_KEPT = {"Cache-Control": "private, max-age=31536000, immutable"}


@get(_PATH, guards=[may("see visits")], sync_to_thread=True, tags=["photos"])
def photos(state: State, visit_id: FromPath[str]) -> list[PhotoOut]:
    """The photos of a visit in the order of the devices' times."""
    store: Store = state.store
    chosen = select(PhotoRecord).where(PhotoRecord.visit_id == visit_id, PhotoRecord.sha256 != "")
    with store.reading() as session:
        known_visit(session, visit_id)
        return [_out(row) for row in session.scalars(chosen.order_by(PhotoRecord.device_time, PhotoRecord.id))]


@put(
    _PATH + "/{photo_id:str}",
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["photos"],
    request_max_body_size=MOST_BYTES,
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
    if device_time.tzinfo is None:
        raise InputError(
            refusal(
                "photo {photo_id}: x-device-time must tell its time zone, found {found}.",
                photo_id=photo_id,
                found=device_time.isoformat(),
            )
        )
    store: Store = state.store
    sent = PhotoSent(photo_id, visit_id, request.user.account_id, device_time, body, observation)
    with store.writing() as session:
        known_visit(session, visit_id)
        return _out(keep_photo(session, store.photos, sent))


@get(_PATH + "/{photo_id:str}", guards=[may("see visits")], sync_to_thread=True, tags=["photos"])
def photo(state: State, visit_id: FromPath[str], photo_id: FromPath[str]) -> Response[bytes]:
    """The photo as it is kept, a JPEG."""
    content, kind = _content(state.store, visit_id, photo_id)
    return Response(content, media_type=kind, headers=_KEPT)


@get(_PATH + "/{photo_id:str}/small", guards=[may("see visits")], sync_to_thread=True, tags=["photos"])
def small_photo(state: State, visit_id: FromPath[str], photo_id: FromPath[str]) -> Response[bytes]:
    """The photo at the size of a thumbnail, a JPEG."""
    content, kind = _content(state.store, visit_id, photo_id)
    made = io.BytesIO()
    with Image.open(io.BytesIO(content)) as image:
        image.draft("RGB", (_SMALL_PX, _SMALL_PX))
        image.thumbnail((_SMALL_PX, _SMALL_PX))
        image.save(made, "JPEG", quality=80)
    return Response(made.getvalue(), media_type=kind, headers=_KEPT)


def _content(store: Store, visit_id: str, photo_id: str) -> tuple[bytes, str]:
    with store.reading() as session:
        found = _known_photo(session, visit_id, photo_id)
        return photo_bytes(store.photos, found), found.content_type


def _known_photo(session: Session, visit_id: str, photo_id: str) -> PhotoRecord:
    found = session.get(PhotoRecord, photo_id)
    if found is None or found.visit_id != visit_id or is_erased(found):
        raise NotFoundException
    return found


def _out(row: PhotoRecord) -> PhotoOut:
    return PhotoOut(
        id=row.id,
        observation=row.observation_id,
        width_px=row.width_px,
        height_px=row.height_px,
        size_bytes=row.size_bytes,
        account=row.account_id,
        device_time=row.device_time,
        received_at=row.received_at,
    )


HANDLERS = [photos, put_photo, photo, small_photo]
