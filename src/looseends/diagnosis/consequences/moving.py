"""Where the play moves to once a repair is done: the part that then has most of it, and the one that goes next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.consequences.bench import Bench
from looseends.diagnosis.consequences.ledger import Ledger
from looseends.diagnosis.consequences.wear import Cases, Clearances
from looseends.vehicle.vehicle import Part

_WORTH_MM = 0.1
"""Free travel below which a share is not worth a warning; assumed: what a dial gauge at the tread tells."""


@dataclass(frozen=True)
class PlayMoves:
    """The part that has most of the free travel [mm] at a place after a repair; `worn` or still sound."""

    place: str
    part: str
    share_mm: float
    left_mm: float
    worn: bool


@dataclass(frozen=True)
class NextToGo:
    """The part that stays and is nearest its reject clearance: the share of it that is used up."""

    part: str
    used: float


def play_moves(bench: Bench, ledgers: Sequence[Ledger], replaced: Collection[str]) -> tuple[PlayMoves, ...]:
    """For every place the part that has most of what is left there.

    Of worn parts that stay it is the share among them; of sound ones what the place would lose if that part had no
    clearance at all, all others sound.

    Raises
    ------
    MechanicsError
        If a set has no certified answer.
    """
    found = []
    for ledger in ledgers:
        rest = ledger.after(replaced)
        shares = [(mm, part, True) for part, mm in rest.shares_mm.items()]
        shares += [(mm, part, False) for part, mm in _sound_shares(bench, ledger, rest.parts).items()]
        share, part, worn = max(shares, default=(0.0, "", False))
        if share >= _WORTH_MM:
            found.append(PlayMoves(ledger.place.id, part, share, rest.total_mm, worn))
    return tuple(found)


def _sound_shares(bench: Bench, ledger: Ledger, worn: Collection[str]) -> dict[str, float]:
    """What each sound part's own clearance adds to the free travel [mm] of a sound vehicle."""
    parts = [part for part in bench.vehicle.wearable if part.id not in worn]
    tight: list[Clearances] = [_without_clearance(part) for part in parts]
    free = bench.travel(ledger.place.look, tight)[:, 1]
    return {part.id: ledger.sound_mm - float(mm) for part, mm in zip(parts, free, strict=True)}


def _without_clearance(part: Part) -> dict[tuple[str, Axis], float]:
    return {(part.id, "radial"): 0.0, (part.id, "axial"): 0.0}


def next_to_go(bench: Bench, cases: Cases, replaced: Collection[str]) -> NextToGo | None:
    """Of the worn parts that stay the one nearest its reject clearance, as a mean over the cases that have it worn.

    None where no worn part stays: sound ones are all within their bands.
    """
    used = {part: _used(bench, cases, part) for part in cases.parts if part not in replaced}
    if not used:
        return None
    part = max(used, key=lambda name: used[name])
    return NextToGo(part, used[part])


def _used(bench: Bench, cases: Cases, part_id: str) -> float:
    part = bench.vehicle.parts[part_id]
    assert part.figure is not None
    reject = {"radial": part.figure.radial.reject, "axial": part.figure.axial.reject}
    amounts, weights = [], []
    for case in cases.cases:
        if part_id in case.worn:
            shares = [mm / most for axis, mm in case.worn[part_id].by_axis.items() if (most := reject[axis])]
            amounts.append(max(shares, default=0.0))
            weights.append(case.weight)
    return float(np.average(amounts, weights=weights))
