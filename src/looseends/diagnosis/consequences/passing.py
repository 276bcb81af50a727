"""Which repairs leave a vehicle that passes: every joint within its own limit, the whole linkage within its."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from looseends.catalogue.types import Axis
from looseends.diagnosis.consequences.bench import Bench
from looseends.diagnosis.consequences.ledger import mask_of, subset_travel
from looseends.diagnosis.consequences.places import LimitLook
from looseends.diagnosis.consequences.shapley import subsets
from looseends.diagnosis.consequences.wear import Case, Cases, PartWear
from looseends.vehicle.vehicle import Part, Vehicle

Passes = NDArray[np.bool_]


def beyond_own_limit(part: Part, wear: PartWear) -> bool:
    """Whether a joint must be replaced for its own sake.

    Past its reject clearance on some axis (the maker's where the vehicle has it, else common practice), or with more
    play than a sound one in a joint that may have none.
    """
    return any(_beyond(part, axis, mm) for axis, mm in wear.by_axis.items())


def _beyond(part: Part, axis: Axis, mm: float) -> bool:
    assert part.figure is not None
    figures = part.figure.radial if axis == "radial" else part.figure.axial
    if part.kind.play == "none":
        return mm > figures.sound_clearance.hi
    return figures.reject is not None and mm > figures.reject


def joints_pass(vehicle: Vehicle, cases: Cases) -> Passes:
    """Whether no joint is beyond its own limit (cases, 2^n), with only a subset of the cases' parts worn."""
    sets = list(subsets(cases.parts))
    found = np.ones((len(cases.cases), len(sets)), dtype=np.bool_)
    for row, case in zip(found, cases.cases, strict=True):
        bad = mask_of(cases.parts, _bad_parts(vehicle, case))
        row[:] = (np.arange(len(sets)) & bad) == 0
    return found


def _bad_parts(vehicle: Vehicle, case: Case) -> list[str]:
    return [part for part, wear in case.worn.items() if beyond_own_limit(vehicle.parts[part], wear)]


def limits_pass(bench: Bench, cases: Cases, limits: Sequence[LimitLook]) -> Mapping[LimitLook, Passes]:
    """For each limit of the whole linkage whether it is kept (cases, 2^n), with only a subset of the parts worn.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in a limit's support.
    """
    found: dict[LimitLook, Passes] = {}
    for limit in limits:
        travel = subset_travel(bench, cases, limit.look)
        kept = [limit.passes(float(total), float(free)) for total, free in travel.reshape(-1, 2)]
        found[limit] = np.array(kept, dtype=np.bool_).reshape(travel.shape[:2])
    return found
