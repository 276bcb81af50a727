"""What a visit records beside checks: what was told or noticed, the vehicle's use, and parts that were replaced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast, get_args

from looseends.errors import InputError
from looseends.inspection.checks_done import VisitNames
from looseends.inspection.completed_names import completed_part
from looseends.inspection.fields import Table
from looseends.inspection.types import Replaced, Rust, SymptomKind, SymptomSeen, Use, Wheel, Work
from looseends.language import refusal, say

SYMPTOM_KEYS = ("kind", "what", "wheel", "present", "by", "note")
USE_KEYS = ("age_years", "work", "rust")
REPLACED_KEYS = ("part", "after_check", "by", "note")
# Older than any road vehicle in use: a slip of the pen. Common practice, no source.
MOST_AGE_YEARS = 120.0


def read_symptoms(tables: Sequence[Table], names: VisitNames) -> tuple[SymptomSeen, ...]:
    """What was told, noticed on the road test or seen on a tire, in the order of the file.

    Raises
    ------
    InputError
        If a name is unknown, a wheel is missing or misplaced, or a symptom stands twice.
    """
    found: list[SymptomSeen] = []
    for number, table in enumerate(tables, start=1):
        symptom = _read_symptom(number, table, names)
        for other in found:
            if (other.kind, other.id, other.wheel) == (symptom.kind, symptom.id, symptom.wheel):
                raise InputError(
                    refusal(
                        '{where}: what "{id}" is already written as symptom {number}; write it once, or under '
                        "another kind or wheel.",
                        where=table.where,
                        id=symptom.id,
                        number=other.number,
                    )
                )
        found.append(symptom)
    return tuple(found)


def _read_symptom(number: int, table: Table, names: VisitNames) -> SymptomSeen:
    kind = cast(SymptomKind, table.choice("kind", get_args(SymptomKind)))
    known: Mapping[str, object] = names.catalogue.wear_patterns if kind == "tire" else names.catalogue.complaints
    return SymptomSeen(
        number=number,
        kind=kind,
        id=table.choice("what", known),
        wheel=_read_wheel(table, kind),
        observer=table.text("by", default=names.technician),
        note=table.text("note", default=""),
        present=table.flag("present", default=True),
    )


def _read_wheel(table: Table, kind: SymptomKind) -> Wheel | None:
    if kind == "tire":
        return cast(Wheel, table.choice("wheel", get_args(Wheel)))
    if "wheel" in table:
        raise InputError(
            refusal('{where}: wheel belongs to kind "tire" only, found kind "{kind}".', where=table.where, kind=kind)
        )
    return None


def read_use(table: Table) -> Use:
    """The vehicle's age, work and rust; the distance stands in the visit itself.

    Raises
    ------
    InputError
        If a value is not one of those accepted.
    """
    return Use(
        age_years=table.number("age_years", least=0.0, most=MOST_AGE_YEARS) if "age_years" in table else None,
        work=cast(Work, table.choice("work", get_args(Work), default="usual")),
        rust=cast(Rust, table.choice("rust", get_args(Rust), default="none")),
    )


def read_replaced(tables: Sequence[Table], checks: int, names: VisitNames) -> tuple[Replaced, ...]:
    """Parts that were replaced in a visit of so many checks, in the order of the file.

    Raises
    ------
    InputError
        If a part is unknown or replaced twice after the same check, or there is no such check.
    """
    found: list[Replaced] = []
    for number, table in enumerate(tables, start=1):
        event = Replaced(
            number=number,
            part=completed_part(table.text("part"), None, names.parts, key="part", where=table.where),
            after_check=table.count("after_check", most=checks, of=say("how many checks were done before")),
            by=table.text("by", default=names.technician),
            note=table.text("note", default=""),
        )
        if any((other.part, other.after_check) == (event.part, event.after_check) for other in found):
            raise InputError(
                refusal(
                    '{where}: part "{part}" is already replaced after check {after_check}; write it once.',
                    where=table.where,
                    part=event.part,
                    after_check=event.after_check,
                )
            )
        found.append(event)
    return tuple(found)
