"""The lash ledger: each worn part's share of the free travel at a place, and what is left without some of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.consequences.bench import Bench
from looseends.diagnosis.consequences.places import Look, WatchedPlace
from looseends.diagnosis.consequences.shapley import shapley_shares, subsets
from looseends.diagnosis.consequences.wear import Case, Cases, clearances, refuse_unfit
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class Ledger:
    """Free travel [mm] at a place, and whose it is.

    `shares_mm` by worn part, exact Shapley shares; with `sound_mm`, what the vehicle has with no part worn, they add up
    to `total_mm`. A share below zero means that the part's play takes up some of another's. `values_mm` (2^n,) is the
    free travel with only some of the `parts` worn, part i where bit i of the index is set. All are means over the
    cases; `covered` is the probability that these have.
    """

    place: WatchedPlace
    parts: tuple[str, ...]
    shares_mm: Mapping[str, float]
    sound_mm: float
    values_mm: Array
    covered: float

    @property
    def total_mm(self) -> float:
        """Free travel with all parts worn."""
        return float(self.values_mm[-1])

    def remains_mm(self, replaced: Iterable[str]) -> float:
        """Free travel [mm] that is left when some of the parts are replaced by sound ones."""
        return float(self.values_mm[mask_of(self.parts, set(self.parts) - set(replaced))])

    def after(self, replaced: Iterable[str]) -> Ledger:
        """The ledger of what is left when some parts are replaced: their neighbours' shares then."""
        gone = set(replaced)
        rest = tuple(part for part in self.parts if part not in gone)
        values = np.array([self.values_mm[mask_of(self.parts, some)] for some in subsets(rest)])
        return ledger_from(self.place, rest, values, self.covered)


def ledger_of(bench: Bench, cases: Cases, place: WatchedPlace) -> Ledger:
    """The lash ledger at one place: every subset of the worn parts solved exactly, in every case.

    Shares of a mean are the mean of the shares, so the cases' values are averaged first.

    Raises
    ------
    InputError
        If a part has no joint, or more than 8 parts are worn.
    MechanicsError
        If the vehicle cannot rest in the place's support.

    Source
    ------
    Derived in docs/consequences.md.
    """
    refuse_unfit(bench.vehicle, cases.parts)
    weights = np.array([case.weight for case in cases.cases])
    free = subset_travel(bench, cases, place.look)[:, :, 1]
    return ledger_from(place, cases.parts, np.asarray(weights @ free), cases.covered)


def ledger_from(place: WatchedPlace, parts: tuple[str, ...], values_mm: Array, covered: float) -> Ledger:
    """A ledger from the free travel (2^n,) [mm] of all subsets."""
    shares = shapley_shares(values_mm)
    by_part = dict(zip(parts, (float(share) for share in shares), strict=True))
    return Ledger(place, parts, by_part, float(values_mm[0]), values_mm, covered)


def subset_travel(bench: Bench, cases: Cases, look: Look) -> Array:
    """Total and free travel (cases, 2^n, 2) [mm] at a look with only a subset of the cases' parts worn, in each case.

    A case knows nothing of parts that are sound in it, so only subsets of its own worn parts are solved.
    """
    own = [[clearances(case.worn, some) for some in subsets(tuple(case.worn))] for case in cases.cases]
    travel = bench.travel(look, (worn for sets in own for worn in sets))
    ends = np.cumsum([len(sets) for sets in own])[:-1]
    found = [
        solved[_projected(cases.parts, case)] for case, solved in zip(cases.cases, np.split(travel, ends), strict=True)
    ]
    return np.stack(found)


def _projected(parts: tuple[str, ...], case: Case) -> NDArray[np.intp]:
    """For every subset (2^n,) of all parts the number of its part that is worn in the case."""
    number = np.arange(1 << len(parts))
    found = np.zeros(len(number), dtype=np.intp)
    for bit, part in enumerate(case.worn):
        found |= (number >> parts.index(part) & 1) << bit
    return found


def mask_of(parts: tuple[str, ...], some: Iterable[str]) -> int:
    """The number of a subset: bit i for part i."""
    return sum(1 << parts.index(part) for part in some)
