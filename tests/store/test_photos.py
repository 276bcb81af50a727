"""Photos are checked before they are unpacked, lose place and camera, and lie whole on the disk or not at all."""

from __future__ import annotations

import io
import tracemalloc
from dataclasses import replace

import pytest
from PIL import Image

from looseends.errors import InputError
from looseends.store import PhotoSent, Store, StoreError, keep_photo, photo_bytes, time_ordered_id
from looseends.store.photos import photo_path
from looseends.store.picture import MOST_BYTES, kept_picture
from tests.store.made_records import NOON, TECHNICIAN, VISIT, prepared
from tests.store.pictures import GPS_TAG, bomb, camera_picture


def sent(content: bytes) -> PhotoSent:
    """A photo of the visit."""
    return PhotoSent(time_ordered_id(), VISIT, TECHNICIAN, NOON, content)


def kept(store: Store, photo: PhotoSent) -> bytes:
    """The bytes that the store gives back for a photo."""
    with store.writing() as session:
        keep_photo(session, store.photos, photo)
    with store.writing() as session:
        return photo_bytes(store.photos, keep_photo(session, store.photos, photo))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_and_camera_are_gone_and_the_picture_is_upright(store: Store, kind: str) -> None:
    given = camera_picture(kind=kind)
    assert b"SPYGLASS" in given
    content = kept(prepared(store), sent(given))
    with Image.open(io.BytesIO(content)) as image:
        assert (image.format, image.size) == ("JPEG", (200, 300))
        assert dict(image.getexif()) == {} and image.getexif().get_ifd(GPS_TAG) == {}
        red, green, blue = image.convert("RGB").getpixel((100, 100))  # type: ignore[misc]
        assert red > 180 and green < 60 and blue < 60
    assert b"SPYGLASS" not in content and b"Exif" not in content


def test_a_large_picture_is_made_smaller() -> None:
    made = kept_picture(camera_picture(4000, 3000), "photo")
    assert (made.width_px, made.height_px) == (1536, 2048)


def test_a_bomb_is_refused_by_its_header() -> None:
    tracemalloc.start()
    for width, height in ((60_000, 60_000), (10_000, 7_000), (2**31 - 1, 2**31 - 1)):
        with pytest.raises(InputError, match=r"^photo: must "):
            kept_picture(bomb(width, height), "photo")
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 5_000_000


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "found something else"),
        (b"GIF89a" + bytes(100), "found something else"),
        (camera_picture()[:-200], "found a damaged one"),
        (bomb(100, 100), "found a damaged one"),
        (bytes(MOST_BYTES + 1), f"must have at most {MOST_BYTES} bytes"),
    ],
    ids=["nothing", "another format", "cut", "too little data", "too many bytes"],
)
def test_what_is_no_picture_is_refused(content: bytes, words: str) -> None:
    with pytest.raises(InputError, match=f"^photo: .*{words}"):
        kept_picture(content, "photo")


def test_an_id_belongs_to_one_photo(store: Store) -> None:
    first = sent(camera_picture())
    kept(prepared(store), first)
    with pytest.raises(InputError, match="is stored already as another photo"):
        kept(store, replace(first, content=camera_picture(64, 64)))
    with pytest.raises(InputError, match='visit must be one that is stored, found "none"'):
        kept(store, replace(sent(camera_picture()), visit="none"))


def test_a_damaged_file_is_noticed_and_mended_by_sending_again(store: Store) -> None:
    photo = sent(camera_picture())
    kept(prepared(store), photo)
    with store.writing() as session:
        stored = keep_photo(session, store.photos, photo)
        path = photo_path(store.photos, stored.sha256)
        path.write_bytes(path.read_bytes()[:-1])
        with pytest.raises(StoreError, match="is damaged; bring it back from a backup"):
            photo_bytes(store.photos, stored)
        path.unlink()
        with pytest.raises(StoreError, match="is lost; bring it back from a backup"):
            photo_bytes(store.photos, stored)
    kept(store, replace(photo, id=time_ordered_id()))
    assert [found.name for found in path.parent.iterdir()] == [path.name]
