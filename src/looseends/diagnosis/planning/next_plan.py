"""Which looks to take next and where: the best per minute, or the most that a visit's minutes can settle."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations

import numpy as np

from looseends.diagnosis.planning.information import Told
from looseends.diagnosis.planning.stands import Look, change_minutes, look_minutes
from looseends.diagnosis.verdicts.policy import Policy
from looseends.mechanics.bodies import Array

_MOVES = 3
"""A plan for a visit's minutes moves the stands so often at most; after each reading it is made anew."""

_SAME = 1e-9


@dataclass(frozen=True)
class Plan:
    """Looks, the first first, and what they tell per minute [weighted bits/min]; `change_minutes` before the first.

    `worth` is what all settle together [weighted bits], `minutes` all they take, moves of stands included.
    """

    looks: tuple[Look, ...]
    change_minutes: float
    rate: float
    worth: float
    minutes: float


def best_plan(
    told: Mapping[Look, Told],
    stakes: Mapping[str, float],
    here: str | None,
    policy: Policy,
    minutes_left: float | None,
) -> Plan | None:
    """The support, and the looks under it, that tell most per minute within the time; None where nothing tells.

    Under each support the looks are taken one after another, each time the one that adds most per minute, as long as
    the rate of all with the move of stands grows.
    """
    table = _Table.of(told, stakes)
    time = np.inf if minutes_left is None else minutes_left
    plans = []
    for support in table.supports:
        move = change_minutes(here, support, policy)
        taken = table.taken([support], time - move, before=move)
        if taken:
            plans.append(table.plan(taken, move, move))
    return max(plans, key=lambda plan: plan.rate, default=None)


def whole_plan(
    told: Mapping[Look, Told], stakes: Mapping[str, float], here: str | None, policy: Policy, minutes_left: float
) -> Plan | None:
    """The looks that settle most of the stakes within the minutes, under up to three supports one after another.

    Of looks under some supports those that add most per minute are taken, or those that add most: what settles more.
    The support whose looks tell most per minute, the move included, comes first.
    """
    table = _Table.of(told, stakes)
    best: Plan | None = None
    for supports in chain.from_iterable(combinations(table.supports, n) for n in range(1, _MOVES + 1)):
        order = sorted(supports, key=lambda support: support != here)  # to come back would cost a move more
        moves = [change_minutes(a, b, policy) for a, b in zip([here, *order], order, strict=False)]
        for by_minute in (True, False):
            taken = table.taken(order, minutes_left - sum(moves), by_minute=by_minute)
            if {table.looks[i].support for i in taken} == set(order):
                plan = table.in_order(taken, dict(zip(order, moves, strict=True)), here)
                if best is None or (plan.worth, -plan.minutes) > (best.worth + _SAME, -best.minutes):
                    best = plan
    return best


def worth_of(told: Sequence[Told], stakes: Mapping[str, float]) -> float:
    """What looks settle together of the stakes [weighted bits]: each settles its share of what the others leave."""
    total = 0.0
    for name, stake in stakes.items():
        left = 1.0
        for entry in told:
            left *= 1.0 - entry.settles.get(name, 0.0)
        total += stake * (1.0 - left)
    return total


@dataclass(frozen=True)
class _Table:
    """Looks (n) that settle anything: their minutes (n,), and what share (n, p) of each stake (p,) they leave."""

    looks: tuple[Look, ...]
    minutes: Array
    leaves: Array
    stakes: Array

    @staticmethod
    def of(told: Mapping[Look, Told], stakes: Mapping[str, float]) -> _Table:
        """From what each look tells."""
        shares = [[entry.settles.get(name, 0.0) for name in stakes] for entry in told.values()]
        leaves = 1.0 - np.array(shares).reshape(len(told), len(stakes))
        worth = np.array(list(stakes.values()))
        settling = np.flatnonzero((1.0 - leaves) @ worth > 0.0)
        every = tuple(told)
        looks = tuple(every[i] for i in settling)
        return _Table(looks, np.array([look_minutes(look) for look in looks]), leaves[settling], worth)

    @property
    def supports(self) -> tuple[str, ...]:
        """Supports of the looks."""
        return tuple(dict.fromkeys(look.support for look in self.looks))

    def taken(
        self, supports: Collection[str], time: float, *, before: float | None = None, by_minute: bool = True
    ) -> list[int]:
        """Looks under some supports, taken one by one while they fit into the time [min].

        Each time the one that adds most, `by_minute` or at once. With the minutes spent `before`, only as long as the
        rate of all grows.
        """
        rest = [i for i, look in enumerate(self.looks) if look.support in supports]
        taken: list[int] = []
        left, spent, worth = self.stakes.copy(), 0.0, 0.0
        while fits := [i for i in rest if spent + self.minutes[i] <= time + _SAME]:
            adds = (1.0 - self.leaves[fits]) @ left
            k = int(np.argmax(adds / self.minutes[fits] if by_minute else adds))
            i, add = fits[k], float(adds[k])
            rate = worth / (before + spent) if before is not None and before + spent > 0.0 else 0.0
            if add <= _SAME or (before is not None and (worth + add) / (before + spent + self.minutes[i]) <= rate):
                break
            taken.append(i)
            rest.remove(i)
            left, spent, worth = left * self.leaves[i], spent + float(self.minutes[i]), worth + add
        return taken

    def worth(self, taken: Sequence[int]) -> float:
        """What looks settle together [weighted bits]."""
        return float(self.stakes @ (1.0 - np.prod(self.leaves[list(taken)], axis=0)))

    def plan(self, taken: Sequence[int], first_move: float, moves: float) -> Plan:
        """These looks in this order."""
        minutes, worth = moves + float(self.minutes[list(taken)].sum()), self.worth(taken)
        return Plan(tuple(self.looks[i] for i in taken), first_move, worth / minutes, worth, minutes)

    def in_order(self, taken: Sequence[int], moves: Mapping[str, float], here: str | None) -> Plan:
        """These looks support by support: where the vehicle stands first, then where most is told per minute."""
        groups = {support: [i for i in taken if self.looks[i].support == support] for support in moves}
        rates = {
            support: self.worth(group) / (moves[support] + float(self.minutes[group].sum()))
            for support, group in groups.items()
        }
        order = sorted(groups, key=lambda support: (support != here, -rates[support]))
        return self.plan(list(chain.from_iterable(groups[s] for s in order)), moves[order[0]], sum(moves.values()))
