"""One [[check]] of a visit file: how it was set up, and what was read."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from looseends.catalogue import Catalogue
from looseends.catalogue.sides import watches_of
from looseends.catalogue.types import Check, WatchPlace
from looseends.errors import InputError
from looseends.inspection.completed_names import completed_part
from looseends.inspection.fields import Table
from looseends.inspection.plain_values import shown
from looseends.inspection.readings import READING_KEYS, nothing_moved_readings, read_readings
from looseends.inspection.types import CheckDone, Hidden, Hider, Reading
from looseends.language import Text, refusal, say
from looseends.vehicle.setup import Setup, Side

CHECK_KEYS = (
    "do",
    "support",
    "side",
    "steer",
    "brake",
    "stand_inboard_mm",
    "stop_gap_mm",
    "by",
    "readings",
    "passed",
    "nothing_moved",
    "hidden",
    "cleaned",
    "note",
)
HIDDEN_KEYS = ("part", "by")
PART_EXAMPLE = "lower-ball-joint"
# The one support whose stand can be set further inboard under the lower arm.
ARM_SUPPORT = "arm"
# Longer than any lower arm or rebound travel of a road vehicle: a slip of the pen. Common practice, no source.
MOST_STAND_INBOARD_MM = 400.0
MOST_STOP_GAP_MM = 200.0
_HIDERS: dict[str, Hider] = {hider: hider for hider in get_args(Hider)}
_SIDES: dict[str, Side] = {"left": "left", "right": "right", "l": "left", "r": "right"}


@dataclass(frozen=True)
class VisitNames:
    """What the names in a visit file may refer to, and who is meant when nobody is named."""

    catalogue: Catalogue
    parts: frozenset[str]
    technician: str


def read_checks(tables: Sequence[Table], hidden: Sequence[Table], names: VisitNames) -> tuple[CheckDone, ...]:
    """The checks as they were done, in the order of the file.

    What the visit names as hidden is hidden in every check, until a check says that it was cleaned before; a check's
    own word of a part comes before the visit's.

    Raises
    ------
    InputError
        As `read_check`; or if a part is cleaned that nothing hid.
    """
    still = {entry.part: entry for entry in _read_hidden(hidden, None, names.parts, in_visit=True)}
    checks = []
    for number, table in enumerate(tables, start=1):
        done = read_check(number, table, names)
        for part in _cleaned(table, done, names.parts):
            if part not in still:
                raise InputError(
                    refusal(
                        '{where}: cleaned names "{part}", which the visit\'s hidden does not; '
                        "name there what hid it, or leave it out.",
                        where=table.where,
                        part=part,
                    )
                )
            del still[part]
        own = {entry.part for entry in done.hidden}
        rest = tuple(entry for part, entry in still.items() if part not in own)
        checks.append(replace(done, hidden=(*done.hidden, *rest)))
    return tuple(checks)


def _cleaned(table: Table, done: CheckDone, parts: Collection[str]) -> list[str]:
    return [
        completed_part(part, done.setup.side, parts, key="cleaned", where=table.where)
        for part in dict.fromkeys(table.texts("cleaned", PART_EXAMPLE))
    ]


def read_check(number: int, table: Table, names: VisitNames) -> CheckDone:
    """The check as it was done.

    Raises
    ------
    InputError
        If its setup is not one the check has, or a reading does not fit.
    """
    check = names.catalogue.checks[table.choice("do", names.catalogue.checks)]
    if check.kind != "movement":
        raise InputError(
            refusal(
                '{where}: do "{id}" is a check of {kind}, which has no readings of movement; write what it '
                "showed as [[condition]].",
                where=table.where,
                id=check.id,
                kind=check.kind,
            )
        )
    setup = _read_setup(table, check, names.catalogue.supports)
    watches = _watches_on_vehicle(check, setup.side, names.parts, table.where)
    passed = tuple(
        completed_part(part, setup.side, names.parts, key="passed", where=table.where)
        for part in table.texts("passed", PART_EXAMPLE)
    )
    return CheckDone(
        number=number,
        setup=setup,
        stop_gap_mm=(table.number("stop_gap_mm", least=0.0, most=MOST_STOP_GAP_MM) if "stop_gap_mm" in table else None),
        observer=table.text("by", default=names.technician),
        readings=_all_readings(table, watches, setup.side, names, has_passed=bool(passed)),
        passed_parts=passed,
        note=table.text("note", default=""),
        hidden=_read_hidden(table.tables("hidden", "hidden", HIDDEN_KEYS), setup.side, names.parts),
    )


def _read_setup(table: Table, check: Check, supports: Collection[str]) -> Setup:
    support = table.choice("support", supports)
    if support not in check.supports:
        possible = ", ".join(check.supports)
        raise InputError(
            refusal(
                '{where}: support of "{id}" must be one of {accepted}, found "{found}".',
                where=table.where,
                id=check.id,
                accepted=possible,
                found=support,
            )
        )
    if support != ARM_SUPPORT and "stand_inboard_mm" in table:
        raise InputError(
            refusal(
                '{where}: stand_inboard_mm belongs to support "{support}" only, found support "{found}".',
                where=table.where,
                support=ARM_SUPPORT,
                found=support,
            )
        )
    return Setup(
        check=check.id,
        support=support,
        side=_read_side(table, check),
        steer="held" if table.choice("steer", check.steer_states, default=check.steer_states[0]) == "held" else "free",
        brake="on" if table.choice("brake", check.brake_states, default=check.brake_states[0]) == "on" else "off",
        stand_inboard_mm=table.number("stand_inboard_mm", least=0.0, most=MOST_STAND_INBOARD_MM, default=0.0),
    )


def _read_side(table: Table, check: Check) -> Side | None:
    if "side" not in table:
        if check.sided:
            raise InputError(
                refusal(
                    '{where}: side of "{id}" must be "left" or "right", it is missing.', where=table.where, id=check.id
                )
            )
        return None
    given = table.value("side")
    if not check.sided:
        raise InputError(
            refusal(
                '{where}: side must be left out of "{id}", which is done on the whole vehicle, found {found}.',
                where=table.where,
                id=check.id,
                found=shown(given),
            )
        )
    side = _SIDES.get(given.strip().lower()) if isinstance(given, str) else None
    if side is None:
        raise table.refused("side", say('"left" or "right" ("L" or "R" for short)'))
    return side


def _watches_on_vehicle(
    check: Check, side: Side | None, parts: Collection[str], where: str
) -> Mapping[str, WatchPlace]:
    """The watches of the check whose part this vehicle has, by id."""
    watches = {watch.id: watch for watch in watches_of(check, side) if watch.part is None or watch.part in parts}
    if not watches:
        raise InputError(
            refusal(
                '{where}: do "{id}" watches none of the parts that this vehicle has; leave it out.',
                where=where,
                id=check.id,
            )
        )
    return watches


def _all_readings(
    table: Table, watches: Mapping[str, WatchPlace], side: Side | None, names: VisitNames, *, has_passed: bool
) -> tuple[Reading, ...]:
    tables = table.tables("readings", "reading", READING_KEYS)
    listed = read_readings(tables, watches, side, names.catalogue.observers)
    unlisted = nothing_moved_readings(watches, listed) if table.flag("nothing_moved") else ()
    if not listed and not unlisted and not has_passed:
        raise InputError(
            refusal(
                "{where}: readings must say what was watched, found none; where every joint stayed still "
                "write nothing_moved = true.",
                where=table.where,
            )
        )
    return listed + unlisted


def _read_hidden(
    tables: Sequence[Table], side: Side | None, parts: Collection[str], *, in_visit: bool = False
) -> tuple[Hidden, ...]:
    found: list[Hidden] = []
    for table in tables:
        part = completed_part(table.text("part"), side, parts, key="part", where=table.where)
        if any(hidden.part == part for hidden in found):
            raise InputError(_twice(table.where, part, in_visit=in_visit))
        found.append(Hidden(part, _HIDERS[table.choice("by", _HIDERS)]))
    return tuple(found)


def _twice(where: str, part: str, *, in_visit: bool) -> Text:
    if in_visit:
        return refusal(
            '{where}: part "{part}" is already hidden in this visit; name only what hides it most.',
            where=where,
            part=part,
        )
    return refusal(
        '{where}: part "{part}" is already hidden in this check; name only what hides it most.', where=where, part=part
    )
