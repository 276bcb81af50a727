"""The smallest repair after which a vehicle passes, found by trying every subset of its worn parts."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.consequences.bench import Bench
from looseends.diagnosis.consequences.ledger import Ledger, ledger_of, mask_of
from looseends.diagnosis.consequences.passing import Passes, joints_pass, limits_pass
from looseends.diagnosis.consequences.places import LimitLook, limit_looks
from looseends.diagnosis.consequences.shapley import subsets
from looseends.diagnosis.consequences.wear import Cases
from looseends.mechanics.bodies import Array

SURE = 0.9
"""Chance of passing that a repair must have, over the cases of wear; assumed, as the chance at which a part is called
worn."""


@dataclass(frozen=True)
class KeptLimit:
    """A limit of the whole linkage with the chance that it is kept before and after the repair."""

    limit: LimitLook
    before: float
    after: float


@dataclass(frozen=True)
class Repair:
    """The smallest set of worn parts to replace, with the chance that the vehicle then passes everything.

    `reached`: whether that chance is high enough; if not, `parts` is all that could be replaced and something that is
    not worn keeps the vehicle from passing. `forced` are parts that are replaced for their own sake: beyond their own
    limit, or asked for by what was seen on them. `remains_mm` is the free travel left by place. `tried` counts the
    subsets, all there are: none smaller passes, and none of the same size leaves less play.
    """

    parts: tuple[str, ...]
    chance: float
    reached: bool
    forced: tuple[str, ...]
    remains_mm: Mapping[str, float]
    limits: tuple[KeptLimit, ...]
    tried: int
    covered: float


def smallest_repair(
    bench: Bench,
    cases: Cases,
    jurisdiction: str,
    *,
    anyway: Collection[str] = (),
    ledgers: Sequence[Ledger] | None = None,
) -> Repair:
    """Fewest worn parts to replace so that every joint and the whole linkage pass; then least play left at the tires.

    `anyway` are parts to replace whatever moves, for what was seen on them. `ledgers` of all places, if there are any
    already, save time.

    Raises
    ------
    InputError
        If a part has no joint, or more than 8 parts are worn.
    MechanicsError
        If the vehicle cannot rest in a support that is asked for.

    Source
    ------
    Enumeration; see docs/consequences.md.
    """
    ledgers = ledgers if ledgers is not None else [ledger_of(bench, cases, place) for place in bench.places()]
    weights = np.array([case.weight for case in cases.cases])
    joints = joints_pass(bench.vehicle, cases)
    limits = limits_pass(bench, cases, limit_looks(bench.vehicle, jurisdiction))
    chance = np.asarray(weights @ np.all([joints, *limits.values()], axis=0))
    play = np.sum([ledger.values_mm for ledger in ledgers if ledger.place.direction != "rim"], axis=0)
    asked = [part for part in cases.parts if part in anyway]
    left = least_left(chance, np.broadcast_to(play, chance.shape), mask_of(cases.parts, asked), SURE)
    replaced = _parts_in(cases.parts, ~left)
    everything = len(chance) - 1
    return Repair(
        parts=(*replaced, *sorted(set(anyway) - set(cases.parts))),
        chance=float(chance[left]),
        reached=bool(chance[left] >= SURE),
        forced=tuple(sorted({*anyway, *_beyond_surely(cases, joints, weights)})),
        remains_mm={ledger.place.id: float(ledger.values_mm[left]) for ledger in ledgers},
        limits=tuple(
            KeptLimit(limit, float(weights @ kept[:, everything]), float(weights @ kept[:, left]))
            for limit, kept in limits.items()
        ),
        tried=len(chance),
        covered=cases.covered,
    )


def least_left(chance: Array, play_mm: Array, gone: int, sure: float) -> int:
    """The subset that may stay worn: the largest that passes with chance `sure`, then the one with least play.

    Parameters
    ----------
    chance, play_mm : (2^n,) arrays
        Chance of passing and play [mm] left, by the subset that stays, bit i for part i.
    gone : int
        Parts that may not stay, as bits.
    sure : float
        Chance that is enough; where no subset has it nothing stays.
    """
    best = 0
    for number in range(len(chance)):
        if number & gone or chance[number] < sure:
            continue
        larger, same = number.bit_count() > best.bit_count(), number.bit_count() == best.bit_count()
        if larger or (same and play_mm[number] < play_mm[best]):
            best = number
    return best


def _parts_in(parts: tuple[str, ...], mask: int) -> tuple[str, ...]:
    return tuple(part for bit, part in enumerate(parts) if mask >> bit & 1)


def _beyond_surely(cases: Cases, joints: Passes, weights: Array) -> list[str]:
    """Parts that alone, for their own limit's sake, keep the chance of passing below what is enough."""
    alone = [mask_of(cases.parts, [part]) for part in cases.parts]
    return [part for part, mask in zip(cases.parts, alone, strict=True) if weights @ joints[:, mask] < SURE]


def every_repair(ledger: Ledger) -> list[tuple[tuple[str, ...], float]]:
    """Every subset to replace with the free travel [mm] that it leaves at the ledger's place, fewest parts first."""
    every = [(tuple(part for part in ledger.parts if part in some), some) for some in subsets(ledger.parts)]
    found = [(replaced, ledger.remains_mm(some)) for replaced, some in every]
    return sorted(found, key=lambda entry: (len(entry[0]), entry[1]))
