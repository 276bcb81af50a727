"""Numbers of the command line: plain, finite, in the unit that the option names."""

from __future__ import annotations

import math
import re

from looseends.errors import InputError
from looseends.inspection.plain_values import meant_number, shown
from looseends.language import Text, refusal

_PLAIN = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", re.IGNORECASE | re.ASCII)
_WITH_UNIT = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*([A-Za-z]+)\s*", re.ASCII)
# Exact by definition: pound 0.45359237 kg, standard gravity 9.80665 m/s².
_TO_NEWTON = {"n": 1.0, "kn": 1000.0, "lb": 4.4482216152605, "lbs": 4.4482216152605, "lbf": 4.4482216152605}
_TO_NEWTON |= {"kg": 9.80665, "kgf": 9.80665}

_AS_IN = {"mm": "2.5", "N": "600", "min": "15"}


def plain_number(text: str, where: str, unit: str) -> float:
    """The number that the text is; `where` names the option or thing, `unit` is "mm", "N" or "min".

    Raises
    ------
    InputError
        If the text is no plain finite number; where it carries a known unit, the converted number is offered.
    """
    stripped = text.strip()
    if _PLAIN.fullmatch(stripped) and math.isfinite(float(stripped)):
        return float(stripped)
    meant = _in_newton(stripped) if unit == "N" else meant_number(stripped, unit) if unit == "mm" else None
    raise InputError(_refused(text, where, unit, meant))


def number_within(text: str, where: str, unit: str, least: float, most: float) -> float:
    """The number that the text is, from `least` to `most`.

    Raises
    ------
    InputError
        As `plain_number`, and if the number lies outside.
    """
    value = plain_number(text, where, unit)
    if not least <= value <= most:
        raise InputError(
            refusal(
                "{where} must be from {least} to {most} {unit}, found {found}.",
                where=where,
                least=f"{least:g}",
                most=f"{most:g}",
                unit=unit,
                found=f"{value:g}",
            )
        )
    return value


def _refused(text: str, where: str, unit: str, meant: str | None) -> Text:
    if meant is None:
        return refusal(
            "{where} must be a plain finite number in {unit}, found {found}, as in {example}.",
            where=where,
            unit=unit,
            found=shown(text),
            example=_AS_IN[unit],
        )
    return refusal(
        "{where} must be a plain finite number in {unit}, found {found}; write {meant}.",
        where=where,
        unit=unit,
        found=shown(text),
        meant=meant,
    )


def _in_newton(text: str) -> str | None:
    written = _WITH_UNIT.fullmatch(text)
    factor = _TO_NEWTON.get(written.group(2).lower()) if written else None
    return None if written is None or factor is None else f"{float(written.group(1)) * factor:.0f}"
