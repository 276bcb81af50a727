"""Clips over HTTP: kept once without sound and place, played piece by piece from here alone, refused in a sentence."""

from __future__ import annotations

import io

import av
import pytest
from litestar import Litestar

from looseends.store.clip import MOST_CLIP_BYTES
from looseends.store.ids import time_ordered_id
from looseends.store.kept import Store
from tests.store.films import PLACE, film, of_absurd_size
from tests.web.cast import Client, form_token, put_photo, send, signed_in, taken_in, words_of

AT = "2026-11-26T09:00:00+00:00"


def put(client: Client, visit: str, clip: str, content: bytes, at: str = AT) -> tuple[int, dict[str, object]]:
    headers = {"x-csrftoken": form_token(client), "x-device-time": at, "content-type": "video/webm"}
    answer = client.put(f"/api/visits/{visit}/clips/{clip}", content=content, headers=headers)
    return answer.status_code, answer.json()


def files(app: Litestar) -> list[str]:
    """Names of all that lies beside the records."""
    store: Store = app.state.store
    return sorted(path.suffix for path in store.photos.rglob("*") if path.is_file())


Clips = tuple[Client, str, bytes]


@pytest.fixture
def clips(technician: Client) -> Clips:
    """Somebody, the address of a clip and all of it."""
    visit, clip = taken_in(technician), time_ordered_id()
    assert put(technician, visit, clip, film())[0] == 200
    address = f"/api/visits/{visit}/clips/{clip}"
    return technician, address, technician.get(address).content


def test_a_clip_sent_twice_is_kept_once_without_sound_and_place(app: Litestar, technician: Client) -> None:
    visit, clip, given = taken_in(technician), time_ordered_id(), film("mp4", "libx264", place=True, sound=True)
    status, told = put(technician, visit, clip, given)
    assert (status, told["clip_milliseconds"], put(technician, visit, clip, given)[0]) == (200, 1000, 200)
    kept = technician.get(f"/api/visits/{visit}/photos").json()
    assert [(one["id"], one["clip_milliseconds"], one["width_px"]) for one in kept] == [(clip, 1000, 160)]
    answer = technician.get(f"/api/visits/{visit}/clips/{clip}", headers={"accept-encoding": "gzip"})
    assert (answer.headers["content-type"], answer.headers.get("content-encoding")) == ("video/mp4", None)
    with av.open(io.BytesIO(answer.content)) as opened:
        assert [stream.type for stream in opened.streams] == ["video"]
    assert PLACE[:8].encode() in given and PLACE[:8].encode() not in answer.content
    assert technician.get(f"/api/visits/{visit}/photos/{clip}/small").headers["content-type"] == "image/jpeg"
    assert files(app) == [".jpg", ".mp4"]


PIECES = [
    ("bytes=0-", 206, slice(0, None)),
    ("bytes=0-1", 206, slice(0, 2)),
    ("bytes=100-99999999", 206, slice(100, None)),
    ("bytes=-64", 206, slice(-64, None)),
    ("bytes=0-1, 5-6", 200, slice(0, None)),
    ("lines=1-2", 200, slice(0, None)),
    ("bytes=-", 200, slice(0, None)),
    ("bytes=99999999-", 416, slice(0, 0)),
    ("bytes=9-3", 416, slice(0, 0)),
    ("bytes=-0", 416, slice(0, 0)),
]


def test_a_player_is_given_the_piece_that_it_asks_for(clips: Clips) -> None:
    technician, address, whole = clips
    for asked, status, piece in PIECES:
        answer = technician.get(address, headers={"range": asked})
        assert (answer.status_code, answer.content) == (status, whole[piece]), asked
        first = piece.indices(len(whole))[0]
        told = {
            200: None,
            206: f"bytes {first}-{first + len(answer.content) - 1}/{len(whole)}",
            416: f"bytes */{len(whole)}",
        }
        assert answer.headers.get("content-range") == told[status], asked
        assert status == 416 or answer.headers["accept-ranges"] == "bytes"


def test_films_are_played_from_here_alone_and_nobody_is_heard(clips: Clips) -> None:
    technician, address, _ = clips
    headers = technician.get(address).headers
    policy = dict(part.split(" ", 1) for part in headers["content-security-policy"].split("; "))
    assert policy["media-src"] == "'self' blob:"  # blob: what waits on the device itself
    assert "microphone=()" in headers["permissions-policy"]
    assert headers["cross-origin-resource-policy"] == "same-origin"


REFUSED = [
    ("en", b"PK\x03\x04" + bytes(200), "must be a clip in MP4, MOV or WebM, found something else"),
    ("es", b"PK\x03\x04" + bytes(200), "debe ser un video en MP4, MOV o WebM"),
    ("es", film()[:-60], "debe ser un video completo; está dañado"),
    ("es", of_absurd_size(film()), "debe ser un video completo; está dañado"),
    ("es", film(frames=170, width=32, height=32), "debe durar como máximo 15 s; dura 17.0 s"),
]
"""A zip, a clip cut off, one of an absurd size, one too long."""


def test_what_is_no_clip_is_refused_in_the_senders_language_and_not_kept(app: Litestar, technician: Client) -> None:
    visit, clip = taken_in(technician), time_ordered_id()
    for language, content, sentence in REFUSED:
        send(technician, "/me", language=language, back="/")
        status, said = put(technician, visit, clip, content)
        assert (status, sentence in str(said["detail"])) == (400, True), said
    assert technician.get(f"/api/visits/{visit}/clips/{clip}").status_code == 404
    assert files(app) == []


def test_too_many_bytes_are_refused_before_they_are_all_read(technician: Client) -> None:
    assert put(technician, taken_in(technician), time_ordered_id(), bytes(MOST_CLIP_BYTES + 1))[0] == 413


def test_a_photo_is_no_clip_and_a_clip_of_another_visit_is_not_there(clips: Clips) -> None:
    technician, address, _ = clips
    visit, photo = taken_in(technician), time_ordered_id()
    put_photo(technician, visit, photo)
    assert technician.get(f"/api/visits/{visit}/clips/{photo}").status_code == 404
    assert technician.get(f"/api/visits/{visit}/clips/{address.rsplit('/')[-1]}").status_code == 404
    assert put(technician, visit, time_ordered_id(), film(), "2026-11-26T09:00:00")[0] == 400


def test_the_visit_shows_its_clip_and_an_erased_one_leaves_a_line(app: Litestar, owner: Client) -> None:
    visit, clip, given = taken_in(owner), time_ordered_id(), film()
    put(owner, visit, clip, given)
    page = owner.get(f"/visits/{visit}").text
    assert f'poster="/api/visits/{visit}/photos/{clip}/small" src="/api/visits/{visit}/clips/{clip}"' in page
    assert "Clip 1, 1 s, without sound" in page
    assert "Erase clip 1" in words_of(owner.get(f"/visits/{visit}/erase").text)
    assert "1 clip." in words_of(owner.get("/export").text)
    address = f"/visits/{visit}/erase/photo/{clip}"
    assert f'src="/api/visits/{visit}/clips/{clip}"' in owner.get(address).text
    status, page = send(owner, address, asked="yes")
    assert (status, "A clip that Ines Calder took on" in words_of(page)) == (200, True)
    assert files(app) == []
    assert put(owner, visit, clip, given)[0] == 200  # a tablet sends it once more
    assert files(app) == []
    assert owner.get(f"/api/visits/{visit}/clips/{clip}").status_code == 404
    assert clip not in owner.get(f"/visits/{visit}").text


def test_the_office_sees_clips_and_adds_none(app: Litestar) -> None:
    with signed_in(app, "technician") as technician:
        visit, clip = taken_in(technician), time_ordered_id()
        put(technician, visit, clip, film())
    with signed_in(app, "office") as office:
        assert office.get(f"/api/visits/{visit}/clips/{clip}").status_code == 200
        assert put(office, visit, time_ordered_id(), film())[0] == 403
