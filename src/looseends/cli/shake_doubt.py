"""What `looseends shake` says of a tape vehicle besides: how far an answer hangs on what nobody measured."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any

from looseends.cli.output import console
from looseends.cli.shake_request import ShakeRequest
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.verdicts.unmeasured import (
    COUNTS,
    Doubt,
    cause_words,
    doubt_words,
    doubts,
    measure_words,
    sharpens_most,
)
from looseends.errors import MechanicsError
from looseends.vehicle.carrying import Preload
from looseends.vehicle.vehicle import Vehicle

_SMALL_MM = 0.05
"""A doubt that no gauge would show is not told."""


def doubt_of(request: ShakeRequest, preload: Preload) -> tuple[Doubt, ...]:
    """The doubt in every reading; none where a vehicle as far off as the file allows could not rest in this support."""
    try:
        return doubts(request.vehicle, request.setup, preload, request.worn, load_beliefs(), force=request.force)
    except MechanicsError as error:
        sys.stderr.write(f"How far this hangs on what was not measured cannot be told: {error}.\n")
        return ()


def doubt_record(found: Sequence[Doubt]) -> dict[str, Any]:
    """The doubt for another program; nothing where the vehicle's geometry is known."""
    if not found:
        return {}
    return {
        "doubt": [
            {"watch": d.watch, "spread_mm": d.spread_mm, "unmeasured_share": d.unmeasured, "shares": d.shares}
            for d in found
        ],
        "measure_next": sharpens_most(found),
    }


def print_doubt(found: Sequence[Doubt], vehicle: Vehicle) -> None:
    """A sentence for each reading that hangs on what was not measured, and the one measurement that sharpens most."""
    if not found:
        return
    out = console()
    told = [doubt for doubt in found if doubt.spread_mm >= _SMALL_MM and doubt.unmeasured >= COUNTS]
    out.print("By tape (1 sigma):", style="bold")
    for doubt in told:
        out.print(f"  {doubt_words(doubt, vehicle)}", soft_wrap=True)
    if len(told) < len(found):
        out.print("  The other readings hardly hang on what was not measured.")
    if (cause := sharpens_most(found)) is not None:
        out.print(
            f"What would sharpen this check most is {cause_words(cause, vehicle)}: {measure_words(cause, vehicle)}.",
            soft_wrap=True,
        )
