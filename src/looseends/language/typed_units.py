"""A number as a person typed it, with the unit that is meant where none stands beside it."""

from __future__ import annotations

from looseends.language.speech import Units

_UNITS = {"length": "in", "mass": "lb"}


def in_units(value: object, kind: str, units: Units) -> object:
    """A number without a unit as a text with the unit that is meant; `kind` is length, mass or something else."""
    unit = _UNITS.get(kind) if units == "us" else None
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return f"{value} {unit}" if unit and plain else value


def as_typed(typed: str, kind: str, units: Units) -> object:
    """A number with a decimal point or comma, in the units that are meant; any other text as it stands."""
    try:
        return in_units(float(typed.replace(",", ".")), kind, units)
    except ValueError:
        return typed
