"""Worn parts with their clearances, and the cases of them that a posterior thinks of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.catalogue.types import Axis
from looseends.diagnosis.consequences.shapley import MOST_PARTS
from looseends.diagnosis.posterior import Explanation, Posterior
from looseends.errors import InputError
from looseends.vehicle.vehicle import Vehicle

Clearances = Mapping[tuple[str, Axis], float]
"""Worn clearance, total travel [mm], by part id and axis."""

LEADING_SETS = 10
"""Explanations that are averaged over, the most probable first. Assumed: what is behind them hardly counts."""

STATES_PER_SET = 16
"""States that are taken of one explanation at most, the most probable first. Assumed."""

ENOUGH_OF_SET = 0.95
"""Share of an explanation's weight at which fewer states are enough. Assumed."""


@dataclass(frozen=True)
class PartWear:
    """Worn clearance of a part, total travel [mm] per axis; None: that axis is sound."""

    radial_mm: float | None = None
    axial_mm: float | None = None

    @property
    def by_axis(self) -> dict[Axis, float]:
        """The worn axes with their clearance [mm]."""
        both: tuple[tuple[Axis, float | None], ...] = (("radial", self.radial_mm), ("axial", self.axial_mm))
        return {axis: mm for axis, mm in both if mm is not None}


Worn = Mapping[str, PartWear]
"""Worn parts by id."""


@dataclass(frozen=True)
class Case:
    """One way the vehicle may be worn, and its weight; weights of all cases add up to 1."""

    worn: Worn
    weight: float


@dataclass(frozen=True)
class Cases:
    """Ways the vehicle may be worn, and the probability that they cover of all there are."""

    cases: tuple[Case, ...]
    covered: float

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of all parts that are worn in any case, the most probable first."""
        weight: dict[str, float] = {}
        for case in self.cases:
            for part in case.worn:
                weight[part] = weight.get(part, 0.0) + case.weight
        return tuple(sorted(weight, key=lambda part: (-weight[part], part)))

    def chance(self, part: str) -> float:
        """Weight of the cases in which a part is worn."""
        return sum(case.weight for case in self.cases if part in case.worn)

    def of_set(self, parts: frozenset[str]) -> Cases:
        """Only the cases in which exactly these parts are worn, as if that were known."""
        taken = [case for case in self.cases if set(case.worn) == parts]
        total = sum(case.weight for case in taken)
        return Cases(tuple(Case(case.worn, case.weight / total) for case in taken), self.covered * total)

    def only(self, parts: frozenset[str]) -> Cases:
        """The same cases with no other parts worn than these; those that become alike are one."""
        weight: dict[frozenset[tuple[str, PartWear]], float] = {}
        for case in self.cases:
            worn = frozenset((part, wear) for part, wear in case.worn.items() if part in parts)
            weight[worn] = weight.get(worn, 0.0) + case.weight
        return Cases(tuple(Case(dict(worn), share) for worn, share in weight.items()), self.covered)

    @property
    def leading_set(self) -> frozenset[str]:
        """The set of worn parts with the most weight."""
        weight: dict[frozenset[str], float] = {}
        for case in self.cases:
            worn = frozenset(case.worn)
            weight[worn] = weight.get(worn, 0.0) + case.weight
        return max(weight, key=lambda worn: weight[worn])


def known(worn: Worn) -> Cases:
    """The one case of wear that is known."""
    return Cases((Case(worn, 1.0),), 1.0)


def clearances(worn: Worn, only: frozenset[str] | None = None) -> dict[tuple[str, Axis], float]:
    """Clearances [mm] of worn parts by part and axis; of `only` some of them if given."""
    taken = worn if only is None else {part: worn[part] for part in worn if part in only}
    return {(part, axis): mm for part, wear in taken.items() for axis, mm in wear.by_axis.items()}


def part_wears(worn: Clearances) -> dict[str, PartWear]:
    """Worn parts from clearances [mm] by part and axis."""
    parts = dict.fromkeys(part for part, _ in worn)
    return {part: PartWear(worn.get((part, "radial")), worn.get((part, "axial"))) for part in parts}


def refuse_unfit(vehicle: Vehicle, parts: Sequence[str]) -> None:
    """Refuse parts that the vehicle has no joint for, and more of them than are shared among at once.

    Raises
    ------
    InputError
        As said.
    """
    if len(parts) > MOST_PARTS:
        raise InputError(f"{vehicle.id}: at most {MOST_PARTS} worn parts are shared among at once, found {len(parts)}.")
    fit = {part.id for part in vehicle.wearable}
    for part in parts:
        if part not in fit:
            raise InputError(f'{vehicle.id}: a worn part must be one whose joints can have clearance, found "{part}".')


def cases_of(posterior: Posterior) -> Cases:
    """The leading explanations of a posterior, each in its leading states; as many as have 8 parts between them.

    Weights are made to add up to 1; `covered` is what they added up to before.
    """
    found: list[Case] = []
    parts: set[str] = set()
    for explanation, probability in posterior.leading(LEADING_SETS):
        if len(parts | set(explanation.parts)) > MOST_PARTS:
            break
        parts |= set(explanation.parts)
        found += [Case(worn, probability * share) for worn, share in _states(explanation, posterior)]
    covered = sum(case.weight for case in found)
    return Cases(tuple(Case(case.worn, case.weight / covered) for case in found), covered)


def _states(explanation: Explanation, posterior: Posterior) -> list[tuple[dict[str, PartWear], float]]:
    weights = explanation.states
    if not explanation.parts:
        return [({}, 1.0)]
    taken, total = [], 0.0
    for flat in np.argsort(-weights, axis=None)[:STATES_PER_SET]:
        place = tuple(int(i) for i in np.unravel_index(flat, weights.shape))
        worn: dict[tuple[str, Axis], float] = {}
        for part, state in zip(explanation.parts, place, strict=True):
            worn.update(posterior.states[part].worn(state))
        taken.append((part_wears(worn), float(weights[place])))
        total += float(weights[place])
        if total >= ENOUGH_OF_SET:
            break
    return taken
