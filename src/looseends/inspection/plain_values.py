"""How a value that was found stands in a sentence, and what number a person may have meant."""

from __future__ import annotations

import datetime
import re

from looseends.language import say

_SHOWN_CHARACTERS = 60
_LARGEST_SHOWN = 10**15

# Exact by definition (inch 25.4 mm, mile 1609.344 m).
_TO_UNIT: dict[str, dict[str, float]] = {
    "mm": {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "thou": 0.0254},
    "km": {"km": 1.0, "mi": 1.609344, "mile": 1.609344, "miles": 1.609344},
    "years": {"years": 1.0, "year": 1.0, "yr": 1.0, "yrs": 1.0},
}
_WRITTEN_NUMBER = re.compile(r"\s*([-+]?\d{1,9}(?:[.,]\d{1,9})?)(?:\s*/\s*(\d{1,9}))?\s*([A-Za-z\"]*)\s*")
_THOUSANDS = re.compile(r"\s*(\d{1,3}(?:,\d{3})+)\s*([A-Za-z]*)\s*")


def shown(value: object) -> str:
    """The value in words of TOML, shortened and without control characters."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        short = value if len(value) <= _SHOWN_CHARACTERS else value[:_SHOWN_CHARACTERS] + "…"
        return '"' + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in short) + '"'
    if isinstance(value, int) and abs(value) > _LARGEST_SHOWN:
        return say("a very large number")
    if isinstance(value, (int, float)):
        return str(value)
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return say("a list") if isinstance(value, list) else say("a table")


def meant_number(text: str, unit: str) -> str | None:
    """The plain number in `unit` ("mm", "km" or "years") that a text such as "0.12 in" or "3,4" stands for.

    None if the text is no number or its unit is unknown. An inch is 25.4 mm and a mile 1.609344 km, exactly.
    """
    factors = _TO_UNIT[unit]
    thousands = _THOUSANDS.fullmatch(text) if unit == "km" else None
    if thousands is not None:
        number, over, given_unit = thousands.group(1).replace(",", ""), None, thousands.group(2)
    else:
        written = _WRITTEN_NUMBER.fullmatch(text)
        if written is None:
            return None
        number, over, given_unit = written.group(1).replace(",", "."), written.group(2), written.group(3)
    factor = factors.get(given_unit.lower() or unit)
    if factor is None or (over is not None and int(over) == 0):
        return None
    value = float(number) / (int(over) if over else 1) * factor
    return f"{value:.2f}".rstrip("0").rstrip(".")
