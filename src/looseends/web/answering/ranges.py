"""A file answered in the pieces that a player asks for (RFC 9110, section 14)."""

from __future__ import annotations

import re
from collections.abc import Mapping

from litestar.response import Response

_ONE_PIECE = re.compile(r"bytes=(\d{0,19})-(\d{0,19})")


def in_pieces(content: bytes, asked: str | None, media_type: str, headers: Mapping[str, str]) -> Response[bytes]:
    """The piece that the Range header asks for (206), the whole where it asks for none or for several (200).

    A piece that begins behind the end is answered by 416 and the length.
    """
    headers = {**headers, "Accept-Ranges": "bytes"}
    found = _ONE_PIECE.fullmatch(asked.strip()) if asked else None
    if found is None or found[0] == "bytes=-":
        return Response(content, media_type=media_type, headers=headers)
    first, last = _ends(found[1], found[2], len(content))
    if first >= len(content) or last < first:
        return Response(
            b"", status_code=416, media_type=media_type, headers={"Content-Range": f"bytes */{len(content)}"}
        )
    headers["Content-Range"] = f"bytes {first}-{last}/{len(content)}"
    return Response(content[first : last + 1], status_code=206, media_type=media_type, headers=headers)


def _ends(first: str, last: str, length: int) -> tuple[int, int]:
    """The places of the first and the last byte; without a first one the last so many bytes are meant."""
    if not first:
        return (max(0, length - int(last)), length - 1) if int(last) else (length, length)
    return int(first), min(int(last), length - 1) if last else length - 1
