"""How far a vehicle's joint centers and figures may lie from what its file says, for one that is known by tape only."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from looseends.catalogue.entry import Entry
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.groups import PointGroup, groups_of

MOST_MM, MOST_DEG, MOST_SHARE = 60.0, 15.0, 0.6
"""A spread beyond these is another layout rather than another vehicle. Assumed."""


@dataclass(frozen=True)
class GroupSpread:
    """Spread (1 sigma) of a group: alike on both sides [mm], of each side for itself [mm], lean of its axis [rad]."""

    common: float
    own: float
    lean: float


@dataclass(frozen=True)
class Spread:
    """Spread of every group of a vehicle, by id, and of its numbers as a share of each, by name."""

    groups: Mapping[str, GroupSpread]
    numbers: Mapping[str, float]


def read_spread(values: object, points: Iterable[str], numbers: Collection[str], file: str) -> Spread | None:
    """The spread that the table `[spread]` of a vehicle with these points and numbers gives; None without one.

    `file` names the vehicle in errors. A group that is left out has its own usual spread, a number none.

    Raises
    ------
    InputError
        If a group or a number is not the vehicle's, or a spread is no number in its range.
    """
    if values is None:
        return None
    if not isinstance(values, dict):
        raise InputError(
            refusal("{file}: spread must be a table [spread], found {found}.", file=file, found=repr(values))
        )
    known = groups_of(points)
    for name in values:
        if name not in known and name != "numbers":
            raise InputError(unknown_name_sentence("group", name, {*known, "numbers"}, where=f"{file}, spread"))
    groups = {name: _group(values.get(name, {}), group, f"{file}, spread") for name, group in known.items()}
    return Spread(groups, _numbers(values.get("numbers", {}), numbers, f"{file}, spread"))


def _group(values: object, group: PointGroup, where: str) -> GroupSpread:
    if not isinstance(values, dict):
        raise InputError(
            refusal(
                "{where}: {group} must be a table with common_mm and own_mm, found {found}.",
                where=where,
                group=group.id,
                found=repr(values),
            )
        )
    entry = Entry(where, group.id, values)
    common = entry.number("common_mm", minimum=0.0, maximum=MOST_MM) if values else group.common_mm
    own = entry.number("own_mm", minimum=0.0, maximum=MOST_MM) if values else group.own_mm
    lean = group.lean_deg or 0.0
    if group.lean_deg is not None and entry.has("lean_deg"):
        lean = entry.number("lean_deg", minimum=0.0, maximum=MOST_DEG)
    entry.finish()
    return GroupSpread(common, own, math.radians(lean))


def _numbers(values: object, known: Collection[str], where: str) -> dict[str, float]:
    if not isinstance(values, dict):
        raise InputError(refusal("{where}: numbers must be a table, found {found}.", where=where, found=repr(values)))
    for name in values:
        if name not in known:
            raise InputError(unknown_name_sentence("number", name, known, where=f"{where}, numbers"))
    entry = Entry(where, "numbers", values)
    return {name: entry.number(name, minimum=0.0, maximum=MOST_SHARE) for name in values}
