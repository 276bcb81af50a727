"""An identification number read off a photo, over HTTP."""

from __future__ import annotations

from typing import Any

from litestar import post
from litestar.connection import Request
from litestar.params import RawBody

from looseends.store.picture import MOST_BYTES
from looseends.web.accounts.access import Person, may
from looseends.web.answering.speaking import manner_of
from looseends.web.api.photos import ONE_PICTURE, OfPicture
from looseends.web.api.vehicle_structs import VinOut
from looseends.web.taken.vin_photo import vin_in_photo


@post(
    "/vin-photo",
    guards=[may("take in")],
    status_code=200,
    sync_to_thread=True,
    tags=["visits"],
    request_max_body_size=MOST_BYTES,
    operation_class=OfPicture,
)
def vin_photo(request: Request[Person, Any, Any], body: RawBody) -> VinOut:
    """The number in the bar code of a sticker's photo (JPEG, PNG or WebP as the body); the photo is not kept."""
    with ONE_PICTURE:
        found = vin_in_photo(body)
    said = "" if found.remark is None else manner_of(request).speech.words(found.remark)
    return VinOut(vin=found.vin, code=found.code, remark=said)


HANDLERS = [vin_photo]
