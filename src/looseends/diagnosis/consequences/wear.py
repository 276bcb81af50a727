"""Worn parts with their clearances, and the cases of them that a posterior thinks of."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from looseends.catalogue.types import Axis
from looseends.diagnosis.consequences.shapley import MOST_PARTS
from looseends.diagnosis.inference.explanation import Posterior
from looseends.errors import InputError
from looseends.language import refusal
from looseends.vehicle.vehicle import Vehicle

Clearances = Mapping[tuple[str, Axis], float]
"""Worn clearance, total travel [mm], by part id and axis."""

LEAST_PART = 0.05
"""Chance of being worn below which a part is taken as sound, so that play is not shared with what nobody suspects.
Assumed: as a part with less may be called sound."""

STATES_PER_SET = 24
"""States that are taken of one set of worn parts at most, the most probable first. Assumed."""

ENOUGH_OF_SET = 0.95
"""Share of a set's weight at which fewer states are enough. Assumed."""

LEAST_SET = 0.002
"""Probability of a set of worn parts below which it is left out of the averages. Assumed: it hardly counts."""


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
    """Ways the vehicle may be worn, and the probability that they cover of all there are.

    `sets` are the probabilities of the sets of worn parts that the cases stand for, `marginals` the chances that a part
    is worn and `none` the chance that no part is, all as the whole posterior has them.
    """

    cases: tuple[Case, ...]
    covered: float
    sets: Mapping[frozenset[str], float]
    marginals: Mapping[str, float]
    none: float

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of all parts that are worn in any case, the most probable first."""
        found = {part for case in self.cases for part in case.worn}
        return tuple(sorted(found, key=lambda part: (-self.marginals[part], part)))

    def of_set(self, parts: frozenset[str]) -> Cases:
        """Only the cases in which exactly these parts are worn, as if that were known."""
        taken = [case for case in self.cases if set(case.worn) == parts]
        total = sum(case.weight for case in taken)
        return replace(self, cases=tuple(Case(case.worn, case.weight / total) for case in taken))

    def only(self, parts: frozenset[str]) -> Cases:
        """The same cases with no other parts worn than these; those that become alike are one."""
        weight: dict[frozenset[tuple[str, PartWear]], float] = {}
        for case in self.cases:
            worn = frozenset((part, wear) for part, wear in case.worn.items() if part in parts)
            weight[worn] = weight.get(worn, 0.0) + case.weight
        return replace(self, cases=tuple(Case(dict(worn), share) for worn, share in weight.items()))

    @property
    def leading_set(self) -> frozenset[str]:
        """The most probable set of worn parts."""
        return max(self.sets, key=lambda worn: self.sets[worn])


def known(worn: Worn) -> Cases:
    """The one case of wear that is known."""
    return Cases((Case(worn, 1.0),), 1.0, {frozenset(worn): 1.0}, dict.fromkeys(worn, 1.0), float(not worn))


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
        raise InputError(
            refusal(
                "{vehicle}: at most {most} worn parts are shared among at once, found {count}.",
                vehicle=vehicle.id,
                most=MOST_PARTS,
                count=len(parts),
            )
        )
    fit = {part.id for part in vehicle.wearable}
    for part in parts:
        if part not in fit:
            raise InputError(
                refusal(
                    '{vehicle}: a worn part must be one whose joints can have clearance, found "{part}".',
                    vehicle=vehicle.id,
                    part=part,
                )
            )


def cases_of(posterior: Posterior) -> Cases:
    """The ways in which the suspected parts may be worn: their sets, each in its leading states.

    Suspected are at most 8 parts, the most probable, each with a chance of `LEAST_PART`; the others are taken as sound.
    Weights are made to add up to 1; `covered` is what they added up to before.
    """
    marginals = {part: posterior.marginal(part) for part in posterior.states}
    order = sorted(marginals, key=lambda part: -marginals[part])[:MOST_PARTS]
    kept = {part: marginals[part] for part in order if marginals[part] >= LEAST_PART}
    sets = _weights_by_set(posterior, kept)
    chances = {frozenset(parts): sum(weights.values()) for parts, weights in sets.items()}
    least = min(LEAST_SET, max(chances.values()))
    found = [
        Case(worn, weight)
        for parts, weights in sets.items()
        if chances[frozenset(parts)] >= least
        for worn, weight in _leading_states(parts, weights, posterior)
    ]
    covered = sum(case.weight for case in found)
    cases = tuple(Case(case.worn, case.weight / covered) for case in found)
    none = sum(p for e, p in posterior.leading() if not e.parts)
    return Cases(cases, covered, chances, kept, none)


def _weights_by_set(posterior: Posterior, kept: Collection[str]) -> dict[tuple[str, ...], dict[tuple[int, ...], float]]:
    """Weights of the joint states of each set of kept parts, whatever else is worn beside them."""
    found: dict[tuple[str, ...], dict[tuple[int, ...], float]] = {}
    for explanation, probability in posterior.leading():
        own = sorted(part for part in explanation.parts if part in kept)
        columns = [explanation.parts.index(part) for part in own]
        weights = found.setdefault(tuple(own), {})
        for place, weight in zip(explanation.places[:, columns].tolist(), explanation.weights, strict=True):
            weights[tuple(place)] = weights.get(tuple(place), 0.0) + probability * float(weight)
    return found


def _leading_states(
    parts: tuple[str, ...], weights: Mapping[tuple[int, ...], float], posterior: Posterior
) -> list[tuple[dict[str, PartWear], float]]:
    """The most probable states of a set as worn parts, with their weights."""
    taken, total, in_all = [], 0.0, sum(weights.values())
    for place in sorted(weights, key=lambda place: -weights[place])[:STATES_PER_SET]:
        worn: dict[tuple[str, Axis], float] = {}
        for part, state in zip(parts, place, strict=True):
            worn.update(posterior.states[part].worn(state))
        taken.append((part_wears(worn), weights[place]))
        total += weights[place]
        if total >= ENOUGH_OF_SET * in_all:
            break
    return taken
