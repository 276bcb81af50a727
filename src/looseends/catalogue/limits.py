"""Published and customary limits, read from TOML: one file per jurisdiction."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from looseends.catalogue.checks import Places
from looseends.catalogue.entry import Entry, by_id, toml_entries
from looseends.catalogue.names import unknown_name_sentence
from looseends.catalogue.records import status_of
from looseends.catalogue.sources import Source, citation
from looseends.catalogue.types import Check, Limit, LimitStatus, Rejects, SteeringAssist, VehicleKind
from looseends.errors import InputError

COMPARES: tuple[Literal["free travel", "reading"], ...] = ("free travel", "reading")
GIVES = ("value_mm", "value", "condition")
"""What a limit may give: exactly one of these."""

RANGES = (("rim", "mm"), ("wheel_rim", "mm"), ("gvwr", "kg"))
"""Quantities of a vehicle that a limit may be for a range of, over and up to."""


@dataclass(frozen=True)
class LimitNames:
    """All names that a limit may refer to: checks with their watches, and bodies."""

    checks: Mapping[str, Check]
    places: Places


def read_limits(text: str, names: LimitNames, sources: Mapping[str, Source], file: str) -> dict[str, Limit]:
    """Limits by id from the text of a limits file; value [mm], rim diameter [mm], weight rating [kg].

    Raises
    ------
    InputError
        If a field is not as `Limit` describes it, it names a check, watch, support or body that is not there, or it
        does not give exactly one of a value in mm, another value and a condition.

    Source
    ------
    Own format; see docs/adding-trade-knowledge.md.
    """
    return by_id((_limit(e, names, sources) for e in toml_entries(text, file, "limit", "limit")), file, "limit")


def _limit(entry: Entry, names: LimitNames, sources: Mapping[str, Source]) -> Limit:
    check = names.checks[entry.known("check", names.checks)]
    watched = entry.has("watch")
    limit = Limit(
        id=entry.identifier(),
        jurisdiction=entry.identifier("jurisdiction"),
        citation=entry.text("citation"),
        applies_to=entry.text("applies_to"),
        quantity=entry.text("quantity"),
        check=check.id,
        watch=_watch(entry, check) if watched else None,
        supports=entry.choices("supports", check.supports),
        compares=entry.choice("compares", COMPARES) if watched else None,
        value_mm=_optional_number(entry, "value_mm"),
        printed=entry.text("printed"),
        status=_status(entry, sources),
        precondition=entry.text("precondition"),
        source=citation(entry, sources),
        rim_over_mm=_optional_number(entry, "rim_over_mm"),
        rim_up_to_mm=_optional_number(entry, "rim_up_to_mm"),
        assist=entry.choice("assist", get_args(SteeringAssist)) if entry.has("assist") else None,
        value=entry.number("value", minimum=0) if entry.has("value") else None,
        unit=entry.text("unit") if entry.has("value") else None,
        condition=entry.optional_text("condition"),
        rejects=entry.choice("rejects", get_args(Rejects)) if entry.has("rejects") else "above",
        per_rim_mm=_optional_number(entry, "per_rim_mm"),
        body=_body(entry, names.places.bodies) if entry.has("body") else None,
        wheel_rim_over_mm=_optional_number(entry, "wheel_rim_over_mm"),
        wheel_rim_up_to_mm=_optional_number(entry, "wheel_rim_up_to_mm"),
        gvwr_over_kg=_optional_number(entry, "gvwr_over_kg"),
        gvwr_up_to_kg=_optional_number(entry, "gvwr_up_to_kg"),
        vehicle_kinds=entry.choices("vehicle_kinds", get_args(VehicleKind)) if entry.has("vehicle_kinds") else (),
        arithmetic=entry.text("arithmetic") if entry.values.get("status") == "derived" else None,
    )
    _refuse_misfits(limit, entry)
    entry.finish()
    return limit


def _watch(entry: Entry, check: Check) -> str:
    return entry.known("watch", [watch.id for stroke in check.strokes for watch in stroke.watches])


def _optional_number(entry: Entry, key: str) -> float | None:
    return entry.positive(key) if entry.has(key) else None


def _body(entry: Entry, bodies: Collection[str]) -> str:
    name = entry.text("body")
    if name not in bodies:
        raise InputError(unknown_name_sentence("body", name, bodies, where=entry.where))
    return name


def _refuse_misfits(limit: Limit, entry: Entry) -> None:
    """Fields that are each right and do not go together."""
    given = [key for key in GIVES if entry.has(key)]
    if len(given) != 1:
        found = " and ".join(given) or "none of them"
        raise InputError(f"{entry.where}: exactly one of {', '.join(GIVES)} must be given, found {found}.")
    if limit.watch is not None and limit.value_mm is None:
        raise entry.refuse("watch", "left out where no value_mm is given to lay a reading against")
    if limit.condition is not None and entry.has("rejects"):
        raise entry.refuse("rejects", "left out of a condition, which is rejected when seen")
    if not limit.supports:
        raise entry.refuse("supports", "at least one support state of the check")
    for stem, unit in RANGES:
        over, up_to = f"{stem}_over_{unit}", f"{stem}_up_to_{unit}"
        least, most = getattr(limit, over), getattr(limit, up_to)
        if least is not None and (most or math.inf) <= least:
            raise entry.refuse(up_to, f"greater than {over} = {least:g}")


def _status(entry: Entry, sources: Mapping[str, Source]) -> LimitStatus | Literal["derived"]:
    return (
        entry.choice("status", ("derived",)) if entry.values.get("status") == "derived" else status_of(entry, sources)
    )
