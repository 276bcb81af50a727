"""Numbers as people type them: with a point or a comma, with thousands set apart or not."""

from __future__ import annotations

import re

_GROUPED = re.compile(r"\d{1,3}(?:([ ,.'\u00a0\u202f])\d{3})(?:\1\d{3})*")
_PLAIN = re.compile(r"\d+(?:[.,]\d*)?|[.,]\d+")


def number(given: str, *, whole: bool = True) -> float | None:
    """The number that was typed, None for what is none.

    `whole`: a group of three digits after one sign is thousands, as in 148,200 or 148.200; else the sign is the decimal
    point, as in 1,400 mm read off a gauge.
    """
    typed = given.strip()
    if whole and _GROUPED.fullmatch(typed):
        return float(re.sub(r"\D", "", typed))
    return float(typed.replace(",", ".")) if _PLAIN.fullmatch(typed) else None
