"""A visit file (docs/visit-file.md) becomes a Visit, or one sentence that says what to mend."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path

from looseends.catalogue import Catalogue
from looseends.catalogue.names import unknown_name_sentence
from looseends.errors import InputError
from looseends.inspection.checks_done import CHECK_KEYS, HIDDEN_KEYS, VisitNames, read_checks
from looseends.inspection.completed_names import completed_part, kind_of
from looseends.inspection.fields import Table
from looseends.inspection.history import REPLACED_KEYS, SYMPTOM_KEYS, USE_KEYS, read_replaced, read_symptoms, read_use
from looseends.inspection.plain_values import shown
from looseends.inspection.toml_text import named, read_toml
from looseends.inspection.types import ConditionSeen, NotChecked, Visit
from looseends.language import refusal, say

FORMAT = 1
DEFAULT_JURISDICTION = "us-federal"
# The catalogue's word for a customary limit that holds whatever the law: no place to be in.
EVERYWHERE = "any"
VISIT_KEYS = (
    "format",
    "vehicle",
    "date",
    "place",
    "technician",
    "learners",
    "plate",
    "odometer_km",
    "customer",
    "complaint",
    "jurisdiction",
    "check",
    "condition",
    "not_checked",
    "symptom",
    "use",
    "replaced",
    "hidden",
)
CONDITION_KEYS = ("part", "seen", "present", "by", "note", "again")
NOT_CHECKED_KEYS = ("part", "check", "because")
# A record is of a visit that took place: the span catches a slipped digit without asking the clock.
FIRST_DAY = datetime.date(1980, 1, 1)
LAST_DAY = datetime.date(2099, 12, 31)
MOST_ODOMETER_KM = 5_000_000.0
MOST_AGAIN = 9


def read_visit(
    path: Path, *, catalogue: Catalogue, part_ids: Mapping[str, Collection[str]], vehicle_ids: Collection[str]
) -> Visit:
    """The visit that a file records; the file is only read.

    Contradictory readings, repeated checks and checks under a support that cannot show anything are
    kept as they stand: they are facts of the visit.

    Parameters
    ----------
    path : Path
        A visit file, TOML in UTF-8.
    catalogue : Catalogue
        Names of checks, supports, part kinds, conditions, complaints, wear patterns and jurisdictions; grades.
    part_ids : mapping
        Vehicle id to the ids of its parts; one entry for each of `vehicle_ids`.
    vehicle_ids : collection of str
        The vehicles that a visit may name.

    Returns
    -------
    Visit
        Lengths in mm, odometer in km.

    Raises
    ------
    InputError
        In one sentence: file, place in it, field, what was found, what is accepted.

    Source
    ------
    Format of this project, docs/visit-file.md.
    """
    values = read_toml(path)
    where = named(path)
    _require_format(values.get("format"), where)
    top = Table(values, where, VISIT_KEYS)
    vehicle = top.choice("vehicle", vehicle_ids)
    names = VisitNames(catalogue=catalogue, parts=frozenset(part_ids[vehicle]), technician=top.text("technician"))
    checks = top.tables("check", "check", CHECK_KEYS)
    visit = Visit(
        vehicle=vehicle,
        date=top.date("date", first=FIRST_DAY, last=LAST_DAY),
        place=top.text("place", default=""),
        technician=names.technician,
        plate=top.text("plate", default=""),
        odometer_km=(top.number("odometer_km", least=0.0, most=MOST_ODOMETER_KM) if "odometer_km" in top else None),
        customer=top.text("customer", default=""),
        complaint=top.text("complaint", default=""),
        jurisdiction=top.choice("jurisdiction", _jurisdictions(catalogue), default=DEFAULT_JURISDICTION),
        checks=read_checks(checks, top.tables("hidden", "hidden", HIDDEN_KEYS), names),
        conditions=tuple(
            _read_condition(number, table, names)
            for number, table in enumerate(top.tables("condition", "condition", CONDITION_KEYS), start=1)
        ),
        not_checked=tuple(
            _read_not_checked(number, table, names)
            for number, table in enumerate(top.tables("not_checked", "not_checked", NOT_CHECKED_KEYS), start=1)
        ),
        symptoms=read_symptoms(top.tables("symptom", "symptom", SYMPTOM_KEYS), names),
        use=read_use(top.table("use", USE_KEYS)),
        replaced=read_replaced(top.tables("replaced", "replaced", REPLACED_KEYS), len(checks), names),
    )
    return replace(visit, learners=_learners(top, visit))


def _learners(top: Table, visit: Visit) -> tuple[str, ...]:
    """Who of those that the visit names still learns."""
    named_as = {
        visit.technician,
        *(check.observer for check in visit.checks),
        *(seen.observer for seen in visit.conditions),
        *(told.observer for told in visit.symptoms),
        *(event.by for event in visit.replaced),
    }
    names = tuple(name.strip() for name in top.texts("learners", visit.technician))
    for name in names:
        if name not in named_as:
            # a name that is misspelt would leave what the learner wrote down at its full weight
            raise InputError(unknown_name_sentence("learners", shown(name)[1:-1], named_as, where=top.where))
    return names


def _require_format(value: object, where: str) -> None:
    # before all else: a file of another format may hold other keys
    if value is None:
        raise InputError(
            refusal(
                "{where}: format must be {format}, it is missing; write format = {format} in the first line.",
                where=where,
                format=FORMAT,
            )
        )
    if isinstance(value, bool) or value != FORMAT:
        raise InputError(
            refusal("{where}: format must be {format}, found {found}.", where=where, format=FORMAT, found=shown(value))
        )


def _jurisdictions(catalogue: Catalogue) -> Collection[str]:
    named_by_limits = {limit.jurisdiction for limit in catalogue.limits.values()}
    return (named_by_limits | {DEFAULT_JURISDICTION}) - {EVERYWHERE}


def _read_condition(number: int, table: Table, names: VisitNames) -> ConditionSeen:
    part = completed_part(table.text("part"), None, names.parts, key="part", where=table.where)
    seen = table.choice("seen", names.catalogue.conditions)
    _require_applicable(seen, part, names, table.where)
    return ConditionSeen(
        number=number,
        part=part,
        condition=seen,
        observer=table.text("by", default=names.technician),
        note=table.text("note", default=""),
        present=table.flag("present", default=True),
        again=table.count("again", most=MOST_AGAIN, of=say("how often the same person had looked before"))
        if "again" in table
        else 0,
    )


def _require_applicable(seen: str, part: str, names: VisitNames, where: str) -> None:
    applies_to = names.catalogue.conditions[seen].applies_to
    kind = kind_of(part, names.catalogue.part_kinds)
    if kind is None or not applies_to:
        return
    group = names.catalogue.part_kinds[kind].group
    if kind in applies_to or group in applies_to:
        return
    possible = [
        condition.id
        for condition in names.catalogue.conditions.values()
        if not condition.applies_to or kind in condition.applies_to or group in condition.applies_to
    ]
    raise InputError(
        refusal(
            '{where}: seen "{seen}" cannot be seen on part "{part}", accepted on it: {accepted}.',
            where=where,
            seen=seen,
            part=part,
            accepted=", ".join(possible),
        )
    )


def _read_not_checked(number: int, table: Table, names: VisitNames) -> NotChecked:
    given = [key for key in ("part", "check") if key in table]
    if len(given) != 1:
        found = "both" if given else "neither"
        raise InputError(
            refusal(
                "{where}: exactly one of part and check must be given, found {found}.", where=table.where, found=found
            )
        )
    if given[0] == "part":
        name = completed_part(table.text("part"), None, names.parts, key="part", where=table.where)
    else:
        name = table.choice("check", names.catalogue.checks)
    return NotChecked(number=number, part=name, because=table.text("because"))
