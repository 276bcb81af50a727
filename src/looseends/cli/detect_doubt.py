"""What `looseends detect` says of a tape vehicle besides: how far its answers hang on what nobody measured."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from looseends.cli.detect_text import grouped
from looseends.cli.output import console
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.planning.ways import Way
from looseends.diagnosis.verdicts.unmeasured import (
    Doubt,
    cause_words,
    doubt_words,
    doubts,
    measure_words,
    sharpens_most,
)
from looseends.errors import MechanicsError
from looseends.vehicle.shake import preload_of
from looseends.vehicle.vehicle import Vehicle

_MOST = 3
"""So many answers at most are looked at: each takes some seconds."""


@dataclass(frozen=True)
class WayDoubt:
    """The best way to see a part, and the doubt in its reading with the part at its reject clearance."""

    way: Way
    doubt: Doubt


def doubts_of(ways: Sequence[Way], parts: Sequence[str], vehicle: Vehicle) -> tuple[WayDoubt, ...]:
    """The doubt in the best way of the parts whose best chance by gauge is least, of those that are shown at all.

    The others hang less on it: what is shown with a high chance is shown on vehicles as unlike as the tape allows. None
    where the geometry is known, or where a vehicle as far off as its file allows could not rest in a support.
    """
    if vehicle.spread is None:
        return ()
    best = [_best(of_axis) for of_axis in grouped(ways, parts).values()]
    shown = [way for way in best if _chance(way) > load_beliefs().cannot_show_at_most]
    try:
        return tuple(_doubt_of(way, vehicle) for way in sorted(shown, key=_chance)[:_MOST])
    except MechanicsError as error:
        sys.stderr.write(f"How far these chances hang on what was not measured cannot be told: {error}.\n")
        return ()


def doubt_record(found: Sequence[WayDoubt]) -> dict[str, Any]:
    """The doubt for another program; nothing where the vehicle's geometry is known."""
    if not found:
        return {}
    return {
        "by_tape": [
            {
                "part": f.way.part,
                "axis": f.way.axis,
                "setup": f.way.setup,
                "watch": f.doubt.watch,
                "spread_mm": f.doubt.spread_mm,
                "unmeasured_share": f.doubt.unmeasured,
                "shares": f.doubt.shares,
            }
            for f in found
        ],
        "measure_next": sharpens_most([f.doubt for f in found]),
    }


def print_doubt(found: Sequence[WayDoubt], vehicle: Vehicle) -> None:
    """A sentence for each answer looked at, and the one measurement that sharpens them most."""
    if not found:
        return
    out = console()
    out.print(
        "By tape (1 sigma): every chance above counts how far the joint centers may be off. Where a gauge is least "
        "sure of what it can show, at the reject clearance:",
        style="bold",
        soft_wrap=True,
    )
    for f in found:
        name, check = vehicle.parts[f.way.part].name, f"{f.way.setup.check} on {f.way.setup.support}"
        out.print(f"  {name}, {f.way.axis}, by {check}: {doubt_words(f.doubt, vehicle)}", soft_wrap=True)
    if (cause := sharpens_most([f.doubt for f in found])) is not None:
        out.print(
            f"What would sharpen these most is {cause_words(cause, vehicle)}: {measure_words(cause, vehicle)}.",
            soft_wrap=True,
        )


def _best(ways: Sequence[Way]) -> Way:
    return max(ways, key=_chance)


def _chance(way: Way) -> float:
    return way.sights["gauge"].chance


def _doubt_of(way: Way, vehicle: Vehicle) -> WayDoubt:
    worn = {(way.part, way.axis): way.reject_mm}
    of_setup = doubts(vehicle, way.setup, preload_of(vehicle), worn, load_beliefs())
    return WayDoubt(way, next(doubt for doubt in of_setup if doubt.watch == way.sights["gauge"].watch))
