"""Ids that the device makes itself, in order of time: UUID version 7."""

from __future__ import annotations

import re
import secrets
import time

_PATTERN = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_RANDOM_BITS = 74
_LOW_BITS = 62


def is_time_ordered(text: str) -> bool:
    """True for a UUID of version 7 as text in lower case."""
    return _PATTERN.fullmatch(text) is not None


def time_ordered_id(milliseconds: int | None = None) -> str:
    """A new UUID of version 7: 48 bits of time [ms since 1970], then 74 random bits.

    Source
    ------
    RFC 9562, section 5.7.
    """
    at = time.time_ns() // 1_000_000 if milliseconds is None else milliseconds
    random = secrets.randbits(_RANDOM_BITS)
    high, low = random >> _LOW_BITS, random & ((1 << _LOW_BITS) - 1)
    number = (at << 80) | (0x7 << 76) | (high << 64) | (0b10 << 62) | low
    digits = f"{number:032x}"
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))
