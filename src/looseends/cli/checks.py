"""`looseends checks`: the ways of looking at a vehicle."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Check, WatchPlace
from looseends.cli.known_vehicle import known_vehicle
from looseends.cli.options import AsJson, VehicleId
from looseends.cli.output import console, print_json

if TYPE_CHECKING:
    from rich.console import Console

    from looseends.vehicle.vehicle import Vehicle


def checks(vehicle: VehicleId, as_json: AsJson = False) -> None:
    """List the checks of a vehicle.

    For each: under which supports it is done, what to do and with what force, what is watched, what a sound vehicle
    shows, what it must not be mistaken for, what decides, and how many minutes it takes. Checks of condition and of
    measures, and the road test, are listed with what to look for.
    """
    known = known_vehicle(vehicle, "checks")
    found = [(check, _watches(check, known)) for check in load_catalogue().checks.values() if _listed(check, known)]
    if as_json:
        print_json([_record(check, watched) for check, watched in found])
        return
    out = console()
    for check, watched in found:
        _print(check, watched, out)


def _listed(check: Check, vehicle: Vehicle) -> bool:
    from looseends.vehicle.strokes import offers  # --help need not wait for it

    return check.kind != "movement" or offers(vehicle, _as_done(check))


def _watches(check: Check, vehicle: Vehicle) -> list[WatchPlace]:
    """What the check watches on this vehicle; sided names keep their "{side}"."""
    from looseends.vehicle.strokes import applies, offered  # --help need not wait for it

    return [
        named
        for stroke, done in zip(check.strokes, _as_done(check).strokes, strict=True)
        if offered(vehicle, done)
        for named, place in zip(stroke.watches, done.watches, strict=True)
        if applies(vehicle, place)
    ]


def _as_done(check: Check) -> Check:
    return resolve_check(check, "left" if check.sided else None)


def _shown(text: str) -> str:
    """The placeholders of a sided check in words: the side worked on and the other one."""
    return text.replace("{side}", "SIDE").replace("{other}", "OTHER")


def _record(check: Check, watches: list[WatchPlace]) -> dict[str, Any]:
    return {
        "id": check.id,
        "name": check.name,
        "kind": check.kind,
        "supports": check.supports,
        "sided": check.sided,
        "steer": check.steer_states,
        "brake": check.brake_states,
        "force_N": [stroke.force for stroke in check.strokes],
        "do": check.do,
        "watches": [
            {"id": _shown(w.id), "words": _shown(w.words), "gauge_resolution_mm": w.gauge_resolution_mm}
            for w in watches
        ],
        "look_for": check.watch_words,
        "at_lock": check.at_lock,
        "meter": check.meter,
        "accept": check.accept,
        "sound_shows": check.sound_shows,
        "false_calls": check.false_calls,
        "caution": check.caution,
        "minutes": check.minutes,
        "source": check.source,
    }


def _print(check: Check, watches: list[WatchPlace], out: Console) -> None:
    from rich.padding import Padding  # --json and --help need not wait for it

    side = "one side at a time" if check.sided else "whole vehicle"
    out.print(f"{check.id}: {check.name} ({check.minutes:g} min, {side})", style="bold")
    lines = [
        f"supports: {', '.join(check.supports)}; steering {' or '.join(check.steer_states)}; "
        f"brake {' or '.join(check.brake_states)}",
        *(["also with the steering turned to each lock"] if check.at_lock else []),
        f"do: {check.do}",
        f"caution: {check.caution}",
        f"sound shows: {check.sound_shows}",
        *(f"false call: {false_call}" for false_call in check.false_calls),
        f"with: {', '.join(check.meter)}; decided by {', then '.join(check.accept)}",
        *(f"look for: {words}" for words in check.watch_words),
        *(f"watch {_shown(watch.id)}: {_shown(watch.words)}" for watch in watches),
    ]
    for line in lines:
        out.print(Padding(line, (0, 0, 0, 4), expand=False))
    out.print()
