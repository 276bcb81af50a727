"""Which looks to take: the fewest minutes that prove all, or the most that can be proven within some minutes.

Both are solved as integer programs to a proven optimum. Variables are 0 or 1: x of each look, y of each support
that the vehicle is brought to, z of each thing proven.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import coo_array

from looseends.errors import LooseEndsError
from looseends.language import refusal
from looseends.mechanics.bodies import Array

_SAME = 1e-6
"""Minutes, or shares of what is sought, that differ by less are the same: rounding of the solver."""

_LITTLE = 1e-3
"""Trouble of a look that is plainly done."""


@dataclass(frozen=True)
class Look:
    """Something that can be done: the support it needs, its minutes, what it proves, and how much trouble it is.

    Trouble decides between choices that are equal in all else.
    """

    support: str
    minutes: float
    proves: frozenset[str]
    trouble: float = 0.0


@dataclass(frozen=True)
class Choice:
    """The looks taken (places in the list), what they cost [min] and prove, and the solver's bound on the goal.

    `goal` is in minutes for the shortest, in summed weight for the most; `bound` is what no choice can better.
    """

    taken: tuple[int, ...]
    minutes: float
    goal: float
    bound: float


def shortest(looks: Sequence[Look], change_minutes: Mapping[str, float], wanted: Collection[str]) -> Choice:
    """The looks of fewest minutes, changes of support included, that prove everything wanted; then of least trouble.

    `change_minutes` by support: to bring the vehicle there, once, whatever is done there.

    Raises
    ------
    LooseEndsError
        If something wanted is proven by no look, or the solver cannot prove its answer.

    Source
    ------
    Weighted set covering with a fixed charge for each support, solved by HiGHS (Q. Huangfu, J. A. J. Hall,
    Mathematical Programming Computation 10 (2018) 119-142; from memory).
    """
    never = sorted(set(wanted) - set().union(*(look.proves for look in looks)))
    if never:
        raise LooseEndsError(
            refusal(
                "No look proves {parts}: a route can only be asked for what some look proves.", parts=", ".join(never)
            )
        )
    if not wanted:
        return Choice((), 0.0, 0.0, 0.0)
    model = _Model(looks, change_minutes, tuple(sorted(wanted)), must=True)
    best = model.solved(model.minutes, np.inf)
    plain = model.solved(model.trouble, best.minutes)
    return Choice(plain.taken, plain.minutes, best.goal, best.bound)


def most_proven(
    looks: Sequence[Look], change_minutes: Mapping[str, float], weights: Mapping[str, float], minutes: float
) -> Choice:
    """The looks that prove the greatest sum of weights within some minutes; then in the fewest.

    Raises
    ------
    LooseEndsError
        If the solver cannot prove its answer.

    Source
    ------
    Budgeted maximum coverage, solved as `shortest` is.
    """
    model = _Model(looks, change_minutes, tuple(sorted(weights)), must=False)
    gain = model.of_things([weights[name] for name in model.wanted])
    best = model.solved(-gain, minutes)
    enough = (gain, -best.goal - _SAME)
    quick = model.solved(model.minutes, minutes, floor=enough)
    plain = model.solved(model.trouble, quick.minutes, floor=enough)
    return Choice(plain.taken, plain.minutes, -best.goal, -best.bound)


@dataclass(frozen=True)
class _Model:
    """The integer program; `must` asks that everything wanted is proven."""

    looks: Sequence[Look]
    change_minutes: Mapping[str, float]
    wanted: tuple[str, ...]
    must: bool

    @property
    def supports(self) -> tuple[str, ...]:
        """Supports that some look needs."""
        return tuple(sorted({look.support for look in self.looks}))

    @property
    def size(self) -> int:
        """Number of variables: x, then y, then z."""
        return len(self.looks) + len(self.supports) + len(self.wanted)

    @property
    def minutes(self) -> Array:
        """Minutes of each variable."""
        changes = [self.change_minutes[support] for support in self.supports]
        return np.array([*(look.minutes for look in self.looks), *changes, *[0.0] * len(self.wanted)])

    @property
    def trouble(self) -> Array:
        """Trouble of each variable; a look that is not needed is some trouble too."""
        looks = [look.trouble + _LITTLE for look in self.looks]
        return np.array([*looks, *[0.0] * (self.size - len(looks))])

    def of_things(self, weights: Sequence[float]) -> Array:
        """Weights of the things proven, as weights of all variables."""
        return np.array([0.0] * (self.size - len(self.wanted)) + list(weights))

    def solved(self, cost: Array, most_minutes: float, *, floor: tuple[Array, float] | None = None) -> Choice:
        """The choice of least cost; `floor` is a weight of all variables and the least that it must come to."""
        rows = [LinearConstraint(*self._rows())]
        if np.isfinite(most_minutes):
            rows.append(LinearConstraint(self.minutes[None, :], -np.inf, most_minutes + _SAME))
        if floor is not None:
            rows.append(LinearConstraint(floor[0][None, :], floor[1], np.inf))
        least = np.zeros(self.size)
        if self.must:
            least[self.size - len(self.wanted) :] = 1.0
        found = milp(
            cost,
            integrality=np.ones(self.size),
            bounds=Bounds(least, np.ones(self.size)),
            constraints=rows,
            options={"mip_rel_gap": 0.0},
        )
        return self._choice(found, cost)

    def _rows(self) -> tuple[coo_array, Array, Array]:
        """x needs its support's y; z needs a look that proves it: both as rows that are at least 0."""
        first_y, first_z = len(self.looks), len(self.looks) + len(self.supports)
        entries: list[tuple[int, int, float]] = []
        for i, look in enumerate(self.looks):
            entries += [(i, first_y + self.supports.index(look.support), 1.0), (i, i, -1.0)]
        for j, thing in enumerate(self.wanted):
            row = len(self.looks) + j
            entries.append((row, first_z + j, -1.0))
            entries += [(row, i, 1.0) for i, look in enumerate(self.looks) if thing in look.proves]
        count = len(self.looks) + len(self.wanted)
        rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
        matrix = coo_array((np.array(values, float), (rows, columns)), shape=(count, self.size))
        return matrix.tocsr(), np.zeros(count), np.full(count, np.inf)

    def _choice(self, found: OptimizeResult, cost: Array) -> Choice:
        """The solver's answer, its cost counted anew and held against its bound."""
        if found.x is None:
            raise LooseEndsError(refusal("The route's solver gave no answer: {message}", message=found.message))
        taken = np.round(found.x)
        goal, bound = float(cost @ taken), float(found.mip_dual_bound)
        if abs(goal - bound) > _SAME * max(1.0, abs(goal)):
            raise LooseEndsError(
                refusal(
                    "The route's solver proved {bound} and found {goal}: it cannot be called shortest.",
                    bound=f"{bound:g}",
                    goal=f"{goal:g}",
                )
            )
        places = tuple(int(i) for i in np.flatnonzero(taken[: len(self.looks)]))
        return Choice(places, float(self.minutes @ taken), goal, bound)
