"""User text made fit for XML, HTML and the shipped type, without ever being read as markup."""

from __future__ import annotations

import html
import re
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

Record = TypeVar("Record")
NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
BEYOND_SHIPPED_TYPE = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u024f\u2013\u2014\u2018-\u201e\u2022\u2026\u20ac\u2212\u2264\u2265]"
)


def text_for_xml(text: str) -> str:
    """Text without the characters that XML cannot carry."""
    return NOT_IN_XML.sub("", text)


def escaped(text: str) -> str:
    """Text made safe to stand inside SVG or HTML."""
    return html.escape(text_for_xml(text))


def cleaned(record: Record) -> Record:
    """The same frozen record with `text_for_xml` applied to every text in it, however deep."""
    return _every_text(record, text_for_xml)  # type: ignore[no-any-return]


def spelled_out(value: Any) -> Any:
    """Plain lists, dicts and texts with letters that the shipped type lacks written as code points, [U+738B]."""
    return _every_text(value, lambda text: BEYOND_SHIPPED_TYPE.sub(lambda hit: f"[U+{ord(hit[0]):04X}]", text))


def _every_text(value: Any, change: Any) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple | list):
        return type(value)(_every_text(item, change) for item in value)
    if isinstance(value, dict):
        return {key: _every_text(item, change) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{f.name: _every_text(getattr(value, f.name), change) for f in fields(value)})
    return value
