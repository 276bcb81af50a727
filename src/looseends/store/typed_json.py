"""The inspection's own types to JSON and back, strictly: what a payload holds is what the type names, or is refused."""

from __future__ import annotations

import dataclasses
import datetime
import math
import types
import typing
from collections.abc import Collection, Hashable, Mapping
from functools import cache
from typing import Any, Literal

from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.language import refusal, say

ASSIGNED = frozenset({"number", "after_check"})
"""Fields that a visit gives when it is put together; no payload carries them."""

ADDED = frozenset({("ConditionSeen", "again")})
"""Fields that records did not have at first: left out where they say nothing, so that what is sent again has the same
checksum as when it was first stored."""

_MOST_COUNTED = 9
"""What a payload counts (how often somebody had looked before) is never more."""


def plain(value: object, leave_out: Collection[str] = ()) -> object:
    """The value in JSON's own kinds; `leave_out` names fields of records; infinite numbers become null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = [field for field in dataclasses.fields(value) if field.name not in leave_out]
        held = {field.name: getattr(value, field.name) for field in fields if not _as_before(field, value)}
        return {name: plain(entry, leave_out) for name, entry in held.items()}
    if isinstance(value, Mapping):
        return {str(key): plain(entry, leave_out) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [plain(entry, leave_out) for entry in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value.isoformat() if isinstance(value, datetime.date) else value


def _as_before(field: dataclasses.Field[Any], value: object) -> bool:
    return (type(value).__name__, field.name) in ADDED and getattr(value, field.name) == field.default


def typed(kind: type[Any], value: object, where: str) -> Any:
    """A record of this dataclass from JSON; assigned numbers are 0 until a visit is put together.

    Raises
    ------
    InputError
        If a field is unknown, missing or of another kind than the type names.
    """
    if not isinstance(value, Mapping):
        raise InputError(
            refusal("{where}: must be an object with fields, found {found}.", where=where, found=_shown(value))
        )
    fields = {field.name: field for field in dataclasses.fields(kind) if field.name not in ASSIGNED}
    for name in value:
        if name not in fields:
            raise InputError(unknown_name_sentence("field", shown(str(name))[1:-1], fields, where=where))
    given: dict[str, Any] = {field.name: 0 for field in dataclasses.fields(kind) if field.name in ASSIGNED}
    hints = _hints(kind)  # type: ignore[arg-type]  # a class is hashable
    for name, field in fields.items():
        if name in value:
            given[name] = _value(hints[name], value[name], f"{where}, {name}")
        elif field.default is dataclasses.MISSING:
            raise InputError(refusal("{where}: {name} must be given, it is missing.", where=where, name=name))
    return kind(**given)


@cache
def _hints(kind: Hashable) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _value(hint: Any, value: object, where: str) -> object:
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        if value is None:
            return None
        (hint,) = (argument for argument in arguments if argument is not types.NoneType)
        return _value(hint, value, where)
    if origin is Literal:
        if not isinstance(value, str) or value not in arguments:
            raise InputError(
                refusal(
                    "{where}: must be one of {accepted}, found {found}.",
                    where=where,
                    accepted=", ".join(arguments),
                    found=_shown(value),
                )
            )
        return value
    if origin is tuple:
        if not isinstance(value, list | tuple):
            raise InputError(refusal("{where}: must be a list, found {found}.", where=where, found=_shown(value)))
        return tuple(_value(arguments[0], entry, f"{where} {place}") for place, entry in enumerate(value, start=1))
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return typed(hint, value, where)
    return _scalar(hint, value, where)


def _scalar(hint: Any, value: object, where: str) -> object:
    if hint is float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e15:
            raise InputError(refusal("{where}: must be a number, found {found}.", where=where, found=_shown(value)))
        return float(value)
    if hint is bool:
        if not isinstance(value, bool):
            raise InputError(
                refusal("{where}: must be true or false, found {found}.", where=where, found=_shown(value))
            )
        return value
    if hint is int:
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST_COUNTED:
            said = refusal(
                "{where}: must be a whole number from 0 to {most}, found {found}.",
                where=where,
                most=_MOST_COUNTED,
                found=_shown(value),
            )
            raise InputError(said)
        return value
    if not isinstance(value, str):
        raise InputError(refusal("{where}: must be a text, found {found}.", where=where, found=_shown(value)))
    # PostgreSQL takes no NUL in a text, and half of a surrogate pair is no character.
    if "\0" in value or any("\ud800" <= character <= "\udfff" for character in value):
        raise InputError(
            refusal("{where}: must be a text of whole characters, found {found}.", where=where, found=_shown(value))
        )
    return value


def _shown(value: object) -> str:
    if value is None:
        return "null"
    return shown(value) if not isinstance(value, Mapping) else say("an object")
