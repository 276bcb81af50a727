"""Vehicle identification numbers: their characters, check digit and model year."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from looseends.errors import InputError
from looseends.language import refusal


@dataclass(frozen=True)
class Vin:
    """A number as it was read, the model years that it may stand for, and what to look at again."""

    text: str
    years: tuple[int, ...]
    remarks: tuple[str, ...]


def read_vin(text: str, where: str = "vin") -> Vin:
    """A vehicle identification number; `where` names the place in errors.

    A wrong check digit is a remark and no refusal: the rule binds in North America only, and a mistyped number should
    stop nobody from working on the vehicle.

    Raises
    ------
    InputError
        If it has not 17 characters, or one that no such number has.

    Source
    ------
    49 CFR 565.15, tables III to VI.
    """
    rule, vin = _rule(), "".join(text.upper().split())
    if len(vin) != rule["length"]:
        raise InputError(
            refusal(
                '{where}: must have {count} characters, found {found} in "{vin}".',
                where=where,
                count=rule["length"],
                found=len(vin),
                vin=vin,
            )
        )
    for place, character in enumerate(vin, start=1):
        if character not in rule["counts"] and character not in "0123456789":
            raise InputError(
                refusal(
                    "{where}: character {place} must be a digit or a letter other than I, O and Q, found "
                    '"{found}" in "{vin}".',
                    where=where,
                    place=place,
                    found=character,
                    vin=vin,
                )
            )
    return Vin(vin, _years(vin), _remarks(vin))


def check_digit(vin: str) -> str:
    """The character that position 9 of a number of 17 characters should have.

    Source: 49 CFR 565.15(c): values times weights, summed, the remainder by 11, with X for 10.
    """
    rule = _rule()
    values = (rule["counts"][character] if character in rule["counts"] else int(character) for character in vin)
    total = sum(value * weight for value, weight in zip(values, rule["weights"], strict=True))
    return str(rule["remainders"][total % rule["modulus"]])


def _remarks(vin: str) -> tuple[str, ...]:
    rule = _rule()
    place, region = rule["check_position"], vin[0]
    found, right = vin[place - 1], check_digit(vin)
    remarks = []
    if found != right and region in rule["bound_regions"]:
        remarks.append(
            f'The check digit of {vin} does not fit: position {place} is "{found}" and should be "{right}"; read the '
            "number off the vehicle again."
        )
    elif found != right:
        remarks.append(
            f"{vin} has no check digit that fits; it was given out outside North America, where the rule does not bind."
        )
    if vin[rule["year_position"] - 1] not in rule["year_codes"] and region in rule["bound_regions"]:
        remarks.append(f'Position {rule["year_position"]} of {vin} is "{vin[9]}", which stands for no model year.')
    return tuple(remarks)


def _years(vin: str) -> tuple[int, ...]:
    """Model years that position 10 may mean: its codes come round every 30 years, from memory."""
    rule = _rule()
    code = vin[rule["year_position"] - 1]
    if vin[0] not in rule["bound_regions"] or code not in rule["year_codes"]:
        return ()
    return tuple(first + rule["year_codes"].index(code) for first in rule["rounds"])


@cache
def _rule() -> dict[str, Any]:
    file = resources.files("looseends.vehicle") / "data" / "vin.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))
