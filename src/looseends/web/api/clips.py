"""Short clips over HTTP: each put under the id that its device made, and played again piece by piece."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from litestar import get, put
from litestar.connection import Request
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import FromPath, HeaderParameter, QueryParameter, RawBody
from litestar.response import Response

from looseends.language import refusal
from looseends.store.clip import CLIP_TYPES, MOST_CLIP_BYTES, Clip, kept_clip
from looseends.store.clips import clip_bytes, keep_clip
from looseends.store.kept import Store
from looseends.store.models import ClipRecord
from looseends.store.photos import PhotoSent
from looseends.web.accounts.access import Person, may
from looseends.web.answering.ranges import in_pieces
from looseends.web.api.photos import KEPT, ONE_PICTURE, OfPicture, is_new, known_photo, photo_out, require_zone
from looseends.web.api.visit_structs import PhotoOut

_PATH = "/visits/{visit_id:str}/clips/{clip_id:str}"
AS_IT_IS = "as_it_is"
"""What is packed already is not packed again, and a piece of it is counted in its own bytes."""


@dataclass
class _OfClip(OfPicture):
    """The same of an address that takes a clip."""

    taken: ClassVar[tuple[str, ...]] = ("video/mp4", "video/webm", "video/quicktime")


@put(
    _PATH,
    guards=[may("record")],
    status_code=200,
    sync_to_thread=True,
    tags=["photos"],
    request_max_body_size=MOST_CLIP_BYTES,
    operation_class=_OfClip,
)
def put_clip(
    request: Request[Person, Any, Any],
    state: State,
    visit_id: FromPath[str],
    clip_id: FromPath[str],
    body: RawBody,
    device_time: Annotated[datetime.datetime, HeaderParameter(name="x-device-time")],
    observation: Annotated[str | None, QueryParameter(name="observation")] = None,
) -> PhotoOut:
    """Keep a clip of at most 15 s (MP4, MOV or WebM as the body) without its sound; sent again nothing happens."""
    require_zone(clip_id, device_time)
    store: Store = state.store
    sent = PhotoSent(clip_id, visit_id, request.user.account_id, device_time, body, observation)
    clip = _clip(store, sent)
    with store.writing() as session:
        photo = keep_clip(session, store.photos, sent, clip=clip)
        kept = session.get(ClipRecord, photo.id)
        return photo_out(photo, kept.milliseconds if kept else None)


@get(
    _PATH,
    guards=[may("see visits")],
    sync_to_thread=True,
    tags=["photos"],
    media_type="video/mp4",
    opt={AS_IT_IS: True},
    responses={
        206: ResponseSpec(bytes, generate_examples=False, media_type="video/mp4", description="A piece of it"),
        416: ResponseSpec(bytes, generate_examples=False, media_type="video/mp4", description="A piece behind its end"),
    },
)
def clip(
    request: Request[Person, Any, Any], state: State, visit_id: FromPath[str], clip_id: FromPath[str]
) -> Response[bytes]:
    """The clip as it is kept, MP4 or WebM, whole or the piece that is asked for; /photos has its still."""
    store: Store = state.store
    with store.reading() as session:
        known_photo(session, visit_id, clip_id)
        found = session.get(ClipRecord, clip_id)
        if found is None:
            raise NotFoundException
        content = clip_bytes(store.photos, found)
    return in_pieces(content, request.headers.get("range"), CLIP_TYPES[found.ending], KEPT)


def _clip(store: Store, sent: PhotoSent) -> Clip | None:
    """The clip as it is to be kept; None where it is stored. Opened before anybody's turn to write, one at a time."""
    if not is_new(store, sent):
        return None
    with ONE_PICTURE:
        return kept_clip(sent.content, refusal("clip {id}", id=sent.id))


HANDLERS = [put_clip, clip]
