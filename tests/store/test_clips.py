"""Clips are checked in a process of their own, keep film alone and no place, and are refused in a sentence."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace

import av
import pytest
from PIL import Image
from sqlalchemy import select

from looseends.errors import InputError
from looseends.store import PhotoSent, Store, StoreError, clip_bytes, keep_clip, photo_bytes
from looseends.store.clip import MOST_CLIP_BYTES, Clip, kept_clip
from looseends.store.clips import clip_path
from looseends.store.models import ClipRecord, PhotoRecord
from looseends.store.personal import erase_photo
from tests.store.films import (
    LEFT,
    OVER,
    PLACE,
    RIGHT,
    called_small,
    film,
    of_absurd_size,
    turned,
    with_place_between_frames,
)
from tests.store.made_records import prepared
from tests.store.test_photos import sent

Size = tuple[int, int]


def keep(store: Store, clip: PhotoSent) -> ClipRecord:
    """What the store has of a clip after it was sent."""
    with store.writing() as session:
        return session.get_one(ClipRecord, keep_clip(session, store.photos, clip).id)


def streams(clip: Clip) -> list[tuple[str, str]]:
    """Kinds and codecs in a clip; all its frames are decoded."""
    with av.open(io.BytesIO(clip.content)) as opened:
        assert len(list(opened.decode(video=0))) == 10
        return [(stream.type, stream.codec_context.codec.canonical_name) for stream in opened.streams]


@pytest.mark.parametrize(
    ("container", "codec", "live", "kept"),
    [
        ("mp4", "libx264", False, "h264"),
        ("mp4", "libx264", True, "h264"),
        ("mov", "libx264", False, "h264"),
        ("mov", "libx265", False, "h264"),
        ("webm", "libvpx", False, "vp8"),
        ("webm", "libvpx-vp9", True, "vp9"),
    ],
)
def test_place_and_sound_are_gone_and_the_frames_are_there(container: str, codec: str, live: bool, kept: str) -> None:
    given = film(container, codec, place=True, sound=True, live=live)
    assert given.count(PLACE[:8].encode()) >= 2
    assert len(av.open(io.BytesIO(given)).streams) == 2
    made = kept_clip(given, "clip")
    assert (made.ending, round(made.milliseconds, -2)) == ("mp4" if kept == "h264" else "webm", 1000)
    assert streams(made) == [("video", kept)]
    assert not any(told in made.content for told in (PLACE[:8].encode(), b"SPYGLASS"))


@pytest.mark.parametrize(("container", "codec"), [("mp4", "libx264"), ("mov", "libx265"), ("webm", "libvpx")])
def test_frames_that_come_when_they_come_keep_their_times(container: str, codec: str) -> None:
    times = [0, 40, 300, 340, 1200, 1250, 1900, 2000, 2600, 2700]
    made = kept_clip(film(container, codec, times_ms=times), "clip")
    with av.open(io.BytesIO(made.content)) as opened:
        assert [round(frame.time * 1000) for frame in opened.decode(video=0)] == pytest.approx(times, abs=1)


def test_a_place_between_the_frames_is_gone_too() -> None:
    given = with_place_between_frames(film("mp4", "libx264"))
    assert PLACE.encode() in given
    made = kept_clip(given, "clip")
    assert PLACE.encode() not in made.content
    assert streams(made) == [("video", "h264")]


def test_the_still_of_a_clip_taken_upright_is_upright_and_the_clip_still_says_so() -> None:
    made = kept_clip(turned(film("mp4", "libx264")), "clip")
    assert (made.still.width_px, made.still.height_px) == (120, 160)
    with Image.open(io.BytesIO(made.still.content)) as still:
        red, green, _ = still.getpixel((110, 10))
        assert red > 150 and green < 100  # the corner above left has come to above right
    with av.open(io.BytesIO(made.content)) as opened:
        assert next(opened.decode(video=0)).rotation == -90


@pytest.mark.parametrize(
    ("turn", "size", "red_at"),
    [(RIGHT, (120, 160), (110, 10)), (LEFT, (120, 160), (10, 150)), (OVER, (160, 120), (150, 110))],
)
def test_h265_is_coded_anew_as_it_was_held(turn: tuple[int, int, int, int], size: Size, red_at: Size) -> None:
    made = kept_clip(turned(film("mov", "libx265"), turn), "clip")
    assert streams(made) == [("video", "h264")]
    with av.open(io.BytesIO(made.content)) as opened:
        first = next(opened.decode(video=0))
    for shown in (first.to_image(), Image.open(io.BytesIO(made.still.content))):
        red, green, _ = shown.getpixel(red_at)
        assert (shown.size, first.rotation, red > 150, green < 100) == (size, 0, True, True)


def test_h265_coded_anew_is_small_enough_for_any_tablet() -> None:
    times = [at * 1000 // 120 for at in range(24)]  # slow motion
    made = kept_clip(film("mov", "libx265", frames=24, width=1920, height=1080, times_ms=times), "clip")
    with av.open(io.BytesIO(made.content)) as opened:
        frames = list(opened.decode(video=0))
    assert ({(frame.width, frame.height) for frame in frames}, len(frames)) == ({(1280, 720)}, 6)


def zipped() -> bytes:
    """A zip, whatever it is called."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("clip.mp4", bytes(2_000))
    return out.getvalue()


REFUSED = {
    "nothing": (lambda: b"", "must be a clip in MP4, MOV or WebM, found something else"),
    "a zip": (zipped, "found something else"),
    "a list of other addresses": (lambda: b"#EXTM3U\n#EXTINF:1,\nfile:secret\n", "found something else"),
    "its first bytes alone": (lambda: b"\0\0\0\x18ftypmp42" + bytes(12) + b"PK\x03\x04" * 500, "found a damaged one"),
    "cut off": (lambda: film("mp4", "libx264")[:-300], "found a damaged one"),
    "a WebM cut off": (lambda: film()[:-60], "found a damaged one"),
    "recorded as it happened and cut off": (lambda: film(live=True)[:-60], "found a damaged one"),
    "recorded as it happened and half of it": (lambda: _half(film(live=True)), "found a damaged one"),
    "an MP4 in fragments cut off": (lambda: _half(film("mp4", "libx264", live=True)), "found a damaged one"),
    "frames of nothing": (lambda: _without_frames(film("mp4", "libx264")), "found a damaged one"),
    "too many bytes": (lambda: bytes(MOST_CLIP_BYTES + 1), f"must have at most {MOST_CLIP_BYTES} bytes"),
    "too long": (lambda: film(frames=170, width=32, height=32), "must last at most 15 s, found 17.0 s"),
    "too large": (lambda: film("mp4", "libx264", width=2560, height=1440, frames=1), "found 2560 x 1440"),
    "large in its frames alone": (lambda: called_small(film(width=2560, height=1440, frames=1)), "found 2560 x 1440"),
    "of an absurd size": (lambda: of_absurd_size(film()), "found a damaged one"),
    "two films": (lambda: film("mp4", "libx264", films=2), "must have one film in it, found 2"),
    "too many streams": (lambda: film("mp4", "libx264", films=9), "must have at most 8 streams, found 9"),
    "too large to look at": (
        lambda: film("mp4", "libx264", width=10_000, height=10_000, frames=1),
        "found 10000 x 10000",
    ),
    "an hour": (lambda: film(frames=61, width=32, height=32, times_ms=range(0, 3_660_000, 60_000)), "found 3600.1 s"),
    "what no browser plays": (
        lambda: film("mp4", "mpeg4"),
        "must be encoded as H.264, H.265, VP8, VP9, AV1, found mpeg4",
    ),
}


def _half(clip: bytes) -> bytes:
    return clip[: len(clip) // 2]


def _without_frames(mp4: bytes) -> bytes:
    """The clip with nothing where its frames were."""
    at = mp4.find(b"mdat") + 4
    size = int.from_bytes(mp4[at - 8 : at - 4], "big") - 8
    return mp4[:at] + bytes(size) + mp4[at + size :]


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_clip_that_can_be_kept_is_refused_in_a_sentence(name: str) -> None:
    make, words = REFUSED[name]
    with pytest.raises(InputError, match=f"^clip: .*{words}") as refused:
        kept_clip(make(), "clip")
    assert "\n" not in str(refused.value)


def test_h265_that_takes_too_long_to_code_anew_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(kept_clip.__globals__["_MOST"], "pixels_coded_anew", 9 * 160 * 120)
    with pytest.raises(InputError, match=r"^clip: .*in H\.265, which is encoded anew, found 10 of 160 x 120\.$"):
        kept_clip(film("mov", "libx265"), "clip")


@pytest.mark.parametrize(("bound", "most"), [("memory", 60_000_000), ("cpu_seconds", 0)])
def test_what_takes_more_than_it_may_is_refused(bound: str, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    given = film()
    monkeypatch.setitem(kept_clip.__globals__["_MOST"], bound, most)
    with pytest.raises(InputError, match=r"^clip: .*found a damaged one"):
        kept_clip(given, "clip")


def test_what_takes_too_long_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("looseends.store.clip._PATIENCE_S", 0.001)
    with pytest.raises(InputError, match=r"^clip: .*found a damaged one"):
        kept_clip(film(), "clip")


def test_a_clip_is_kept_once_and_another_under_its_id_is_refused(store: Store) -> None:
    clip = sent(film())
    first = keep(prepared(store), clip)
    assert (keep(store, clip).sha256, first.ending, first.milliseconds) == (first.sha256, "webm", 1000)
    with store.reading() as session:
        photo = session.get_one(PhotoRecord, clip.id)
        assert (photo.width_px, photo.height_px) == (160, 120)
        assert photo_bytes(store.photos, photo)[:2] == b"\xff\xd8"
        assert clip_bytes(store.photos, first)[:4] == b"\x1aE\xdf\xa3"
    with pytest.raises(InputError, match="is stored already as another photo"):
        keep(store, replace(clip, content=film(frames=5)))
    clip_path(store.photos, first).unlink()
    with pytest.raises(StoreError, match="is lost; bring it back from a backup"):
        clip_bytes(store.photos, first)


def test_erased_nothing_of_a_clip_is_left_but_what_knows_it_again_and_a_copy_elsewhere_stays(store: Store) -> None:
    clip, same = sent(film()), sent(film())
    kept = keep(prepared(store), clip)
    keep(store, same)
    erase_photo(store, clip.id)
    assert clip_path(store.photos, kept).is_file()
    erase_photo(store, same.id)
    assert [path for path in store.photos.rglob("*") if path.is_file()] == []
    stub = keep(store, clip)  # sent once more
    assert (stub.sha256, stub.size_bytes, stub.milliseconds) == ("", 0, 0)
    with store.reading() as session:
        assert list(session.scalars(select(PhotoRecord.sha256))) == ["", ""]
    assert [path for path in store.photos.rglob("*") if path.is_file()] == []
