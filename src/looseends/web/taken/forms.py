"""What a sent form holds, read as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from litestar.enums import RequestEncodingType
from litestar.params import Body

Sent = Annotated[dict[str, Any], Body(media_type=RequestEncodingType.URL_ENCODED)]
"""The `data` of a handler that takes a form."""

MOST_LINE = 200
MOST_TEXT = 4_000


def line(sent: Mapping[str, Any], name: str, most: int = MOST_LINE) -> str:
    """One line of text, spaces at its ends and doubled ones taken off, cut at `most` characters."""
    return " ".join(text(sent, name, most).split())


def text(sent: Mapping[str, Any], name: str, most: int = MOST_TEXT) -> str:
    """Text as it was written, without what no database keeps, cut at `most` characters."""
    value = sent.get(name, "")
    value = value[-1] if isinstance(value, list) and value else value
    if not isinstance(value, str):
        return ""
    kept = "".join(sign for sign in value if sign in "\n\t" or sign.isprintable())
    return kept[:most].strip()


def several(sent: Mapping[str, Any], name: str) -> tuple[str, ...]:
    """Every value that was ticked under this name."""
    value = sent.get(name, [])
    values = value if isinstance(value, list) else [value]
    return tuple(entry for entry in values if isinstance(entry, str) and entry)


def own_path(given: str) -> str:
    """An address within this application, or its first page: no form leads anybody elsewhere."""
    inside = given.startswith("/") and not given.startswith(("//", "/\\")) and given.isprintable()
    return given if inside and "\\" not in given else "/"
