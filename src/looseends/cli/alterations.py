"""Alterations as the command line gives them: ID=MM, ID.front=MM, ID.turns=NUMBER."""

from __future__ import annotations

from collections.abc import Sequence

from looseends.cli.plain_number import plain_number
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.vehicle.alteration import Altered

ALTERED = "looseends shake, --altered"
_WORDS = ("front", "rear", "turns")


def read_altered(given: Sequence[str]) -> tuple[Altered, ...]:
    """The alterations as written; whether they fit the vehicle is for `looseends.vehicle.altered` to say.

    Raises
    ------
    InputError
        If one is not written so, or its amount is no number.
    """
    return tuple(_read(text) for text in given)


def _read(text: str) -> Altered:
    name, equals, amount = text.partition("=")
    if not equals:
        raise InputError(f"{ALTERED} must be ALTERATION=MM, as in lift-block=50, found {shown(text)}.")
    id_, *words = (word.strip() for word in name.split("."))
    for word in words:
        if word not in _WORDS:
            raise InputError(f"{ALTERED} {id_}: behind the dot must be {' or '.join(_WORDS)}, found {shown(word)}.")
    unit = "turns" if "turns" in words else "mm"
    end = next((word for word in words if word != "turns"), None)
    return Altered(id_, plain_number(amount, f"{ALTERED} {id_}: amount", unit), unit, end)
