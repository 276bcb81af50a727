"""Pictures as cameras and mischief make them."""

from __future__ import annotations

import io
import struct
import zlib

from PIL import Image

GPS_LATITUDE = 2
GPS_TAG = 0x8825
ORIENTATION_TAG = 0x0112
MAKER_TAG = 0x010F
TURNED_RIGHT = 6


def camera_picture(width: int = 300, height: int = 200, kind: str = "JPEG") -> bytes:
    """A picture lying on its side, with the place where it was taken and the camera's name."""
    exif = Image.Exif()
    exif[ORIENTATION_TAG] = TURNED_RIGHT
    exif[MAKER_TAG] = "SPYGLASS"
    exif.get_ifd(GPS_TAG)[GPS_LATITUDE] = (50.0, 12.0, 33.0)
    out = io.BytesIO()
    Image.new("RGB", (width, height), (200, 40, 40)).save(out, kind, exif=exif)
    return out.getvalue()


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few bytes that declares very many pixels."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b""))
    body = b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + body
