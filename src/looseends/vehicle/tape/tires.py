"""What the size on a tire's side says: radius, width and wheel rim."""

from __future__ import annotations

import re
from dataclasses import dataclass

from looseends.errors import InputError
from looseends.language import refusal

_INCH = 25.4
_METRIC = re.compile(r"(?:P|LT|T|C)?\s*(\d{3})\s*/\s*(\d{2,3})\s*Z?R\s*(\d{2}(?:\.5)?)\s*(?:C|LT)?", re.IGNORECASE)
_BY_INCHES = re.compile(
    r"(\d{2}(?:\.\d+)?)\s*[xX]\s*(\d{1,2}(?:\.\d+)?)\s*R\s*(\d{2}(?:\.5)?)\s*(?:LT|C)?", re.IGNORECASE
)
_LEAST_RADIUS, _MOST_RADIUS = 200.0, 700.0


@dataclass(frozen=True)
class Tire:
    """Radius without load, width and rim diameter, all [mm]."""

    radius: float
    width: float
    rim: float


def read_tire(size: str, where: str) -> Tire:
    """A tire by its size; `where` names the place in errors.

    Radius: half the rim and the sidewall, width times aspect; or half the diameter where the size gives that.

    Raises
    ------
    InputError
        If the size is none, or no road vehicle's.
    """
    if found := _METRIC.fullmatch(size.strip()):
        width, aspect, rim = float(found[1]), float(found[2]) / 100.0, float(found[3]) * _INCH
        tire = Tire(rim / 2.0 + width * aspect, width, rim)
    elif found := _BY_INCHES.fullmatch(size.strip()):
        tire = Tire(float(found[1]) * _INCH / 2.0, float(found[2]) * _INCH, float(found[3]) * _INCH)
    else:
        raise InputError(
            refusal(
                '{where}: tire_size must be a size such as 265/75R16 or 31x10.50R15, found "{found}".',
                where=where,
                found=size,
            )
        )
    if not _LEAST_RADIUS <= tire.radius <= _MOST_RADIUS or tire.rim >= 2.0 * tire.radius:
        raise InputError(
            refusal(
                '{where}: tire_size must be that of a road vehicle, such as 265/75R16, found "{found}".',
                where=where,
                found=size,
            )
        )
    return tire
