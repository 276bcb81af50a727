"""What two visits of a vehicle, or the two sides of one, have in common and where they differ."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from looseends.catalogue.spanish import kind_name
from looseends.catalogue.types import VerdictWord
from looseends.errors import InputError
from looseends.inspection.types import Judgement, Replaced
from looseends.language import refusal
from looseends.report.side_by_side import HOW_JUDGED, Pair, both_sides, same_checks
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.report.vocabulary import Vocabulary
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle


@dataclass(frozen=True)
class VerdictPair:
    """A part, or a part of both sides, with its verdict in the first and in the second place."""

    part: str
    name: str
    first: VerdictWord
    second: VerdictWord


@dataclass(frozen=True)
class Comparison:
    """Pairs of readings, verdicts that differ, and what was replaced; `between` says what is laid side by side."""

    between: Literal["visits", "sides"]
    first: Judgement
    second: Judgement
    vocabulary: Vocabulary
    pairs: tuple[Pair, ...]
    verdicts: tuple[VerdictPair, ...]
    replaced: tuple[Replaced, ...]
    names: dict[str, str]


def compared_visits(first: Judgement, second: Judgement, files: tuple[Path | str, Path | str]) -> Comparison:
    """Two visits of one vehicle, the earlier one first; `files` are what a refusal calls them.

    Raises
    ------
    InputError
        If they are of two vehicles, or the second is the earlier one.
    """
    _refuse_strangers(first, second, files)
    vehicle, vocabulary = _vehicle(first)
    pairs = same_checks(first.visit.checks, second.visit.checks, vocabulary.resolution_mm)
    then, now = _verdicts(first, vehicle), _verdicts(second, vehicle)
    changed = tuple(
        VerdictPair(part.id, part.name, then[part.id], now[part.id])
        for part in vehicle.parts.values()
        if then[part.id] != now[part.id]
    )
    replaced = first.visit.replaced + second.visit.replaced
    return Comparison("visits", first, second, vocabulary, pairs, changed, replaced, _names(vehicle))


def compared_sides(judgement: Judgement) -> Comparison:
    """The left of a visit beside its right."""
    vehicle, vocabulary = _vehicle(judgement)
    verdicts = _verdicts(judgement, vehicle)
    changed = []
    for part in vehicle.parts.values():
        other = f"{part.id.removesuffix('-left')}-right"
        if part.id.endswith("-left") and other in verdicts and verdicts[part.id] != verdicts[other]:
            changed.append(
                VerdictPair(part.id.removesuffix("-left"), kind_name(part.kind), verdicts[part.id], verdicts[other])
            )
    pairs = both_sides(judgement.visit.checks, vocabulary.resolution_mm)
    replaced = judgement.visit.replaced
    return Comparison("sides", judgement, judgement, vocabulary, pairs, tuple(changed), replaced, _names(vehicle))


def comparison_record(comparison: Comparison) -> dict[str, Any]:
    """What is the same and what differs, for programs: lengths in mm, the same for any language."""
    return {
        "vehicle": comparison.first.visit.vehicle,
        "between": comparison.between,
        "dates": [comparison.first.visit.date, comparison.second.visit.date],
        "readings": [_reading_record(pair) for pair in comparison.pairs],
        "how_judged": str(HOW_JUDGED),
        "verdicts": comparison.verdicts,
        "replaced": comparison.replaced,
    }


def _reading_record(pair: Pair) -> dict[str, Any]:
    return {
        "setup": pair.after.done.setup,
        "watch": pair.after.reading.watch,
        "first": {"check": pair.before.done.number, **vars(pair.before.reading)},
        "second": {"check": pair.after.done.number, **vars(pair.after.reading)},
        "change": pair.change,
        "margin_mm": pair.margin_mm,
    }


def _refuse_strangers(first: Judgement, second: Judgement, files: tuple[Path | str, Path | str]) -> None:
    one, other = first.visit, second.visit
    if one.vehicle != other.vehicle:
        raise InputError(
            refusal(
                '{file}: vehicle is "{found}"; accepted is a visit of "{accepted}", as {other} is.',
                file=files[1],
                found=other.vehicle,
                accepted=one.vehicle,
                other=files[0],
            )
        )
    if one.plate and other.plate and one.plate != other.plate:
        raise InputError(
            refusal(
                '{file}: plate is "{found}"; accepted is a visit of the vehicle "{accepted}", as {other} is.',
                file=files[1],
                found=other.plate,
                accepted=one.plate,
                other=files[0],
            )
        )
    if other.date < one.date:
        raise InputError(
            refusal(
                "{file}: date is {found}, before {date} of {other}; accepted is the earlier visit first.",
                file=files[1],
                found=other.date,
                date=one.date,
                other=files[0],
            )
        )


def _vehicle(judgement: Judgement) -> tuple[Vehicle, Vocabulary]:
    vehicle = load_vehicles()[judgement.visit.vehicle]
    return vehicle, vehicle_vocabulary(vehicle)


def _names(vehicle: Vehicle) -> dict[str, str]:
    return {part.id: part.name for part in vehicle.parts.values()}


def _verdicts(judgement: Judgement, vehicle: Vehicle) -> dict[str, VerdictWord]:
    found: dict[str, VerdictWord] = dict.fromkeys(vehicle.parts, "unproven")
    return found | {finding.part: finding.verdict for finding in judgement.findings}
