"""Photos over HTTP: kept once under the device's id, small, and refused where they are none."""

from __future__ import annotations

import io

import pytest
from litestar import Litestar
from PIL import Image

from looseends.store.ids import time_ordered_id
from tests.web.cast import Client, form_token, signed_in, taken_in

AT = "2026-11-26T09:00:00+00:00"


def picture(width: int = 3000, height: int = 1500) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (width, height), "gray").save(made, "JPEG")
    return made.getvalue()


def put(client: Client, visit: str, photo: str, content: bytes, at: str = AT) -> tuple[int, dict[str, object]]:
    headers = {"x-csrftoken": form_token(client), "x-device-time": at, "content-type": "image/jpeg"}
    answer = client.put(f"/api/visits/{visit}/photos/{photo}", content=content, headers=headers)
    return answer.status_code, answer.json()


def size(client: Client, address: str) -> tuple[int, int]:
    answer = client.get(address)
    assert answer.headers["content-type"] == "image/jpeg"
    return Image.open(io.BytesIO(answer.content)).size


def test_a_photo_sent_twice_is_kept_once_and_made_small(technician: Client) -> None:
    visit, photo = taken_in(technician), time_ordered_id()
    assert [put(technician, visit, photo, picture())[0] for _ in range(2)] == [200, 200]
    kept = technician.get(f"/api/visits/{visit}/photos").json()
    assert [(one["id"], one["width_px"], one["height_px"]) for one in kept] == [(photo, 2048, 1024)]
    assert size(technician, f"/api/visits/{visit}/photos/{photo}") == (2048, 1024)
    assert size(technician, f"/api/visits/{visit}/photos/{photo}/small") == (320, 160)


def test_another_picture_under_the_same_id_is_refused(technician: Client) -> None:
    visit, photo = taken_in(technician), time_ordered_id()
    put(technician, visit, photo, picture())
    status, said = put(technician, visit, photo, picture(200, 100))
    assert (status, "already" in str(said["detail"])) == (400, True)


@pytest.mark.parametrize(("content", "word"), [(b"no picture", "JPEG"), (picture()[:4000], "damaged")])
def test_what_is_no_whole_picture_is_refused_in_a_sentence(technician: Client, content: bytes, word: str) -> None:
    visit = taken_in(technician)
    status, said = put(technician, visit, time_ordered_id(), content)
    assert (status, word in str(said["detail"])) == (400, True)


def test_a_photo_of_another_visit_is_not_there(technician: Client) -> None:
    visit, other, photo = taken_in(technician), taken_in(technician), time_ordered_id()
    put(technician, visit, photo, picture(20, 10))
    assert technician.get(f"/api/visits/{other}/photos/{photo}").status_code == 404


def test_a_time_without_a_zone_is_refused(technician: Client) -> None:
    status, said = put(technician, taken_in(technician), time_ordered_id(), picture(20, 10), "2026-11-26T09:00:00")
    assert (status, "time zone" in str(said["detail"])) == (400, True)


def test_the_office_sees_photos_and_adds_none(app: Litestar) -> None:
    with signed_in(app, "technician") as technician:
        visit, photo = taken_in(technician), time_ordered_id()
        put(technician, visit, photo, picture(20, 10))
    with signed_in(app, "office") as office:
        assert len(office.get(f"/api/visits/{visit}/photos").json()) == 1
        assert put(office, visit, time_ordered_id(), picture(20, 10))[0] == 403
