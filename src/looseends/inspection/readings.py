"""The readings of one check: watch, gauge or grade, and the amounts that a gauge can believably show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from looseends.catalogue.types import Observer, WatchPlace
from looseends.errors import InputError
from looseends.inspection.completed_names import completed_watch
from looseends.inspection.fields import Table
from looseends.inspection.types import By, Grade, Reading
from looseends.language import refusal
from looseends.vehicle.setup import Side

READING_KEYS = ("watch", "gauge_mm", "free_mm", "hand", "eye", "ear", "feel", "note")
# The keys that say how a watch was looked at; a reading has one of them.
_WAYS: dict[str, By] = {"gauge_mm": "gauge", "hand": "hand", "eye": "eye", "ear": "ear", "feel": "feel"}
# Bounds against slips of the pen, not limits of wear: a tread moves 60 mm only when something is off, a dial
# gauge at a joint runs 25 mm at most. Common practice, no source.
MOST_AT_TREAD_MM = 60.0
MOST_ELSEWHERE_MM = 25.0


def read_readings(
    tables: Sequence[Table],
    watches: Mapping[str, WatchPlace],
    side: Side | None,
    observers: Mapping[str, Observer],
) -> tuple[Reading, ...]:
    """The readings in the order of the file.

    Parameters
    ----------
    tables : sequence of Table
        The entries of `readings`.
    watches : mapping
        Watch id to the watches that this check has on this vehicle and side.
    side : "left", "right" or None
        Completes a watch that is written without its side.
    observers : mapping
        The ways of grading, which say what grades each has.

    Raises
    ------
    InputError
        If a watch is unknown or read twice in the same way, or an amount is not one believable way of reading it.
    """
    readings: list[Reading] = []
    for table in tables:
        watch = completed_watch(table.text("watch"), side, watches, where=table.where)
        reading = _read_one(table, watch, observers)
        if any((other.watch, other.by) == (reading.watch, reading.by) for other in readings):
            raise InputError(
                refusal(
                    '{where}: watch "{id}" is already read by {by} in this check; a second reading of it in the '
                    "same way belongs in another [[check]].",
                    where=table.where,
                    id=watch.id,
                    by=reading.by,
                )
            )
        readings.append(reading)
    return tuple(readings)


def nothing_moved_readings(watches: Mapping[str, WatchPlace], listed: Sequence[Reading]) -> tuple[Reading, ...]:
    """Grade "none" by hand for every watch of a part that is not listed."""
    read = {reading.watch for reading in listed}
    return tuple(
        Reading(watch=watch.id, by="hand", gauge_mm=None, grade="none", note="")
        for watch in watches.values()
        if watch.part is not None and watch.id not in read
    )


def _read_one(table: Table, watch: WatchPlace, observers: Mapping[str, Observer]) -> Reading:
    given = [key for key in _WAYS if key in table]
    if len(given) != 1:
        found = " and ".join(given) if given else "none of them"
        *others, last = _WAYS
        raise InputError(
            refusal(
                '{where}, watch "{id}": exactly one of {accepted} and {last} must be given, found {found}.',
                where=table.where,
                id=watch.id,
                accepted=", ".join(others),
                last=last,
                found=found,
            )
        )
    (key,) = given
    note = table.text("note", default="")
    if key == "gauge_mm":
        gauge_mm = _gauge_mm(table, watch)
        free_mm = table.number("free_mm", least=0.0, most=gauge_mm) if "free_mm" in table else None
        return Reading(watch=watch.id, by="gauge", gauge_mm=gauge_mm, grade=None, note=note, free_mm=free_mm)
    if "free_mm" in table:
        raise InputError(
            refusal(
                '{where}, watch "{id}": free_mm goes with gauge_mm (the dead zone in what the gauge read), '
                "found it with {key}.",
                where=table.where,
                id=watch.id,
                key=key,
            )
        )
    # The catalogue's grades of an observer are among `Grade`; a test compares.
    grade = cast(Grade, table.choice(key, observers[key].grades))
    return Reading(watch=watch.id, by=_WAYS[key], gauge_mm=None, grade=grade, note=note)


def _gauge_mm(table: Table, watch: WatchPlace) -> float:
    most = MOST_AT_TREAD_MM if watch.at is not None and "tread" in watch.at else MOST_ELSEWHERE_MM
    value = table.value("gauge_mm")
    if isinstance(value, (int, float)) and not isinstance(value, bool) and most < value < 100 * most:
        hundredth = value / 100
        # a slipped decimal point loses two places more often than one; below 0.5 mm the tenth is the likelier
        meant = hundredth if hundredth >= 0.5 else value / 10
        raise InputError(
            refusal(
                '{where}: gauge_mm at "{id}" must be from 0 to {most} mm, found {found}; did you mean {meant}?',
                where=table.where,
                id=watch.id,
                most=f"{most:g}",
                found=value,
                meant=f"{meant:.2f}",
            )
        )
    return table.number("gauge_mm", least=0.0, most=most)
