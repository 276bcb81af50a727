"""Spiteful uploads to a shop in a process that may take so much more memory and no more; prints what became of each."""

from __future__ import annotations

import asyncio
import io
import json
import resource
import struct
import sys
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

from litestar import Litestar
from litestar.types import HTTPRequestEvent, Message
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from looseends.errors import InputError
from looseends.store import import_archive
from looseends.store.ids import time_ordered_id
from looseends.web.accounts.people import account_named
from looseends.web.accounts.tokens import new_token
from looseends.web.application import MOST_BODY_BYTES
from tests.store.films import film, of_absurd_size
from tests.store.pictures import bomb
from tests.web.cast import NAMES, Client, form_token, shop, shop_records, signed_in, taken_in

MORE_BYTES = 400_000_000
"""The largest picture that is taken stands in memory once, four bytes a pixel."""
AT = "2026-11-26T09:00:00+00:00"


def picture(kind: str, **more: object) -> bytes:
    """A small picture."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 90, 90)).save(out, kind, **more)  # type: ignore[arg-type]
    return out.getvalue()


def png_of(width: int, height: int, *, colours: int = 1) -> bytes:
    """A whole PNG of so many pixels, all of them there, gray or of three colours; made row by row."""
    packing = zlib.compressobj(1)
    rows = b"".join(packing.compress(bytes(colours * width + 1)) for _ in range(height)) + packing.flush()
    header = struct.pack(">IIBBBBB", width, height, 8, 2 if colours == 3 else 0, 0, 0, 0)
    body = b""
    for name, data in ((b"IHDR", header), (b"IDAT", rows), (b"IEND", b"")):
        body += struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
    return b"\x89PNG\r\n\x1a\n" + body


def png_with_text(unpacked: int) -> bytes:
    """A PNG whose note unpacks to so many bytes."""
    note = PngInfo()
    note.add_text("note", "x" * unpacked, zip=True)
    return picture("PNG", pnginfo=note)


def archive(folder: Path, entries: dict[str, bytes]) -> Path:
    """A zip with these entries."""
    file = folder / "spiteful.zip"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in entries.items():
            packed.writestr(name, content)
    return file


PHOTOS: dict[str, Callable[[], bytes]] = {
    "200 megapixels, all of them there": lambda: png_of(20_000, 10_000),
    "4 gigapixels by its header": lambda: bomb(65_535, 65_535),
    "a note that unpacks to 60 MB": lambda: png_with_text(60_000_000),
    "a web page": lambda: b"<!doctype html><script>alert(1)</script>",
    "a drawing with a script": lambda: b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "a program": lambda: b"MZ" + bytes(2_000),
    "a GIF": lambda: picture("GIF"),
    "the first bytes of a JPEG before a zip": lambda: picture("JPEG")[:4] + b"PK\x03\x04" + bytes(2_000),
}
CLIPS: dict[str, Callable[[], bytes]] = {
    "a zip named clip.mp4": lambda: picture("JPEG") + b"PK\x03\x04" + bytes(2_000),
    "a film of 16383 x 16383": lambda: of_absurd_size(film()),
    "a film of 8192 x 4320": lambda: film("mp4", "libx264", frames=1, width=8192, height=4320),
    "a film cut off": lambda: film("mp4", "libx264")[:-200],
    "a film of a minute": lambda: film(frames=600, width=32, height=32),
    "an MP4 of a million boxes": lambda: b"\0\0\0\x10ftypmp42" + bytes(4) + b"\0\0\0\x08free" * 1_000_000,
}
TAKEN = {
    "a JPEG with a web page behind it": lambda: picture("JPEG") + b"<script>alert(1)</script>",
    "a JPEG with a web page in its comment": lambda: picture("JPEG", comment=b"<script>alert(1)</script>"),
    "60 megapixels, the most that is taken": lambda: png_of(10_000, 6_000, colours=3),
}


def put_photo(client: Client, visit: str, content: bytes) -> tuple[int, str]:
    """Status and id of a photo."""
    photo = time_ordered_id()
    headers = {"x-csrftoken": form_token(client), "x-device-time": AT, "content-type": "image/jpeg"}
    return client.put(f"/api/visits/{visit}/photos/{photo}", content=content, headers=headers).status_code, photo


def put_clip(client: Client, visit: str, content: bytes) -> tuple[int, int]:
    """Status of a clip that is sent, and of reading it."""
    clip = f"/api/visits/{visit}/clips/{time_ordered_id()}"
    headers = {"x-csrftoken": form_token(client), "x-device-time": AT, "content-type": "video/mp4"}
    return client.put(clip, content=content, headers=headers).status_code, client.get(clip).status_code


def endless(app: Litestar, address: str, key: str) -> tuple[int, int]:
    """Status for a body that tells no length and never ends, and how many megabytes of it were asked for."""
    answered: list[Message] = []
    asked = 0

    async def receive() -> HTTPRequestEvent:
        nonlocal asked
        asked += 1
        return {"type": "http.request", "body": bytes(1_000_000), "more_body": asked < 400}

    async def send(message: Message) -> None:
        answered.append(message)

    headers = [(b"authorization", f"Bearer {key}".encode()), (b"content-type", b"application/json")]
    scope = {"type": "http", "method": "PUT", "path": address, "raw_path": address.encode(), "query_string": b""}
    more = {"headers": headers, "scheme": "http", "client": ("127.0.0.1", 1), "server": ("testserver.local", 80)}
    asyncio.run(app(scope | more | {"http_version": "1.1", "root_path": ""}, receive, send))  # type: ignore[arg-type]
    return int(answered[0]["status"]), asked  # type: ignore[typeddict-item]


def limited() -> None:
    """From here on this process gets so much more address space than it has."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * resource.getpagesize() + MORE_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def main(folder: Path) -> None:
    """Print one line of JSON: outcome by name."""
    photos = {name: make() for name, make in (PHOTOS | TAKEN).items()}
    clips = {name: make() for name, make in CLIPS.items()} | {"a film": film()}
    bombs = {
        "an archive that unpacks to 1 GB": {"manifest.json": b"{}", "tables/observations.jsonl": bytes(1_000_000_000)},
        "an archive with a manifest of 60 MB": {"manifest.json": b"[" + b"{}," * 20_000_000 + b"{}]"},
    }
    files = {}
    for name, entries in bombs.items():
        (folder / name).mkdir()
        files[name] = archive(folder / name, entries)
    del bombs
    app = shop(folder, shop_records(folder / "of-the-cast.sqlite"))
    with signed_in(app, "owner") as client:
        visit = taken_in(client)
        put_photo(client, visit, picture("WEBP"))
        with app.state.store.writing() as session:
            account = account_named(session, NAMES["owner"])
            assert account is not None
            key = new_token(session, account.id, "sends without end")
        limited()
        found: dict[str, object] = {}
        for name, content in photos.items():
            status, photo = put_photo(client, visit, content)
            kept = client.get(f"/api/visits/{visit}/photos/{photo}")
            found[name] = [status, kept.status_code, b"alert" in kept.content]
        found |= {name: put_clip(client, visit, content) for name, content in clips.items()}
        headers = {"x-csrftoken": form_token(client), "content-type": "application/json"}
        address = f"/api/visits/{visit}/observations/{time_ordered_id()}"
        nested = b"[" * 900_000 + b"]" * 900_000
        deep = b'{"kind":"use","device_time":"%s","payload":{"age_years":%s}}' % (AT.encode(), nested)
        assert len(deep) < MOST_BODY_BYTES
        found["a record nested 900,000 deep"] = client.put(address, content=deep, headers=headers).status_code
        found["a record without a length and without end"] = endless(app, address, key)
        for name, file in files.items():
            try:
                import_archive(app.state.store, file)
            except InputError as refused:
                found[name] = str(refused)
        found["still there"] = client.get("/").status_code
    print(json.dumps(found))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
