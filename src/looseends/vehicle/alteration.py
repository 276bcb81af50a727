"""What somebody changed from how a vehicle's maker built it, as a vehicle file or a command says it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal

UNITS = ("mm", "turns")

_ENDS = ("front", "rear")
_KEYS = ("id", "end", *UNITS)


@dataclass(frozen=True)
class Altered:
    """One alteration: its id in the catalogue, how much of its unit ("mm" or "turns"), and at which end.

    `end` may be None where the alteration is known at one end of the vehicle only.
    """

    id: str
    amount: float
    unit: str = "mm"
    end: str | None = None


def read_alterations(entries: Any, file: str) -> tuple[Altered, ...]:
    """The alterations of a vehicle file's table `[[alteration]]`; `file` names it in errors.

    Raises
    ------
    InputError
        If an entry is no table, has an unknown key, or does not say how much.
    """
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise InputError(
            refusal(
                "{file}: alteration must be written as tables [[alteration]], found {found}",
                file=file,
                found=repr(entries),
            )
        )
    return tuple(_read(entry, f"{file}, alteration number {i}") for i, entry in enumerate(entries, 1))


def _read(entry: Mapping[str, Any], where: str) -> Altered:
    for key in entry:
        if key not in _KEYS:
            raise InputError(unknown_name_sentence("key", key, _KEYS, where=where))
    given = [unit for unit in UNITS if unit in entry]
    if not isinstance(entry.get("id"), str) or len(given) != 1:
        raise InputError(
            refusal(
                "{where}: needs id and one of {accepted}, found {found}",
                where=where,
                accepted=" and ".join(UNITS),
                found=", ".join(entry) or "nothing",
            )
        )
    amount = entry[given[0]]
    if isinstance(amount, bool) or not isinstance(amount, int | float):
        raise InputError(
            refusal("{where}: {key} must be a number, found {found}", where=where, key=given[0], found=repr(amount))
        )
    if entry.get("end") not in (None, *_ENDS):
        raise InputError(
            refusal(
                "{where}: end must be one of {accepted}, found {found}",
                where=where,
                accepted=", ".join(_ENDS),
                found=repr(entry["end"]),
            )
        )
    return Altered(entry["id"], float(amount), given[0], entry.get("end"))
