"""What would be called at every watch with some parts in some states: the same whatever was read, so it is kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import combinations
from operator import and_, or_

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.observed.calls import By, Watched, calls_of
from looseends.diagnosis.observed.kept_calls import KeptCalls
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array

Names = tuple[str, ...]
Places = tuple[int, ...]
"""The state that each of some parts is in."""

_MOST_BYTES = 24_000_000
"""So much of one way of taking a watch stays in memory."""

_MOST_MEETINGS = 2000
"""Of so many sets of parts stays in memory which of them move a watch together."""

_BLOCK = 4000

_MANY = 2
"""Where so many times more states are known than are averaged over, those that are not are passed over."""


class Forecast:
    """Chances of all calls at the watches of some setups, one after another, by one way of taking them.

    `sound` (w, calls) on a sound vehicle. Parts that move a watch together add up there. `bytes_kept` of memory hold
    what was asked for last.
    """

    def __init__(self, tables: Sequence[ResponseTable], beliefs: Beliefs, by: By) -> None:
        self._tables, self._beliefs = tuple(tables), beliefs
        self._watched = calls_of(by).at(tables, beliefs)
        count = self._watched.count
        self.sound = self._watched.chances(np.arange(count), np.zeros((count, 2)))
        self._moved = _moved(tables)
        # The same watches as the bits of one number.
        self._bits = {name: sum(1 << watch for watch in moved.tolist()) for name, moved in self._moved.items()}
        self._known: OrderedDict[Names, _Known] = OrderedDict()
        self._meetings: OrderedDict[Names, list[Names]] = OrderedDict()
        self.bytes_kept = 0

    def is_of(self, tables: Collection[ResponseTable], beliefs: Beliefs) -> bool:
        """Whether it is of just these tables and beliefs."""
        same = len(tables) == len(self._tables) and all(a is b for a, b in zip(tables, self._tables, strict=True))
        return same and beliefs == self._beliefs

    def meetings(self, parts: Names) -> Sequence[Names]:
        """Those choices of some parts that move a watch together, just these of them."""
        if parts not in self._meetings:
            while len(self._meetings) >= _MOST_MEETINGS:
                self._meetings.popitem(last=False)
            self._meetings[parts] = self._meeting(parts)
        return self._meetings[parts]

    def _meeting(self, parts: Names) -> list[Names]:
        movers = [name for name in parts if name in self._moved]
        found = []
        for count in range(1, len(movers) + 1):
            for chosen in combinations(movers, count):
                others = (self._bits[name] for name in movers if name not in chosen)
                if reduce(and_, (self._bits[name] for name in chosen)) & ~reduce(or_, others, 0):
                    found.append(chosen)
        return found

    def averaged(
        self, asked: Mapping[Names, tuple[Sequence[Places], Array]]
    ) -> dict[Names, tuple[NDArray[np.intp], Array]]:
        """Watches (w,) that some parts all move, and the averages (m, w, calls) of the chances there of each call.

        Of some parts together, each of several such choices: over `m` times `n` states, with weights (m, n).
        """
        missing = {}
        for names, (places, _) in asked.items():
            known = self._known_of(names)
            if new := list(dict.fromkeys(place for place in places if place not in known.row)):
                missing[names] = new
        if missing:
            self._work_out(missing)
        found = {names: (self._known[names].watches, self._known[names].averaged(*own)) for names, own in asked.items()}
        while self.bytes_kept > _MOST_BYTES:
            _, known = self._known.popitem(last=False)
            self.bytes_kept -= known.chances.nbytes
        return found

    def _known_of(self, names: Names) -> _Known:
        """What is known of some parts, as what was asked for last."""
        if names in self._known:
            self._known.move_to_end(names)
        else:
            first, *others = (self._moved[name] for name in names)
            for other in others:
                first = first[np.isin(first, other, assume_unique=True)]
            self._known[names] = _Known(first, np.zeros((0, len(first), self.sound.shape[1])))
        return self._known[names]

    def _work_out(self, missing: Mapping[Names, Sequence[Places]]) -> None:
        """Ask for what is not known yet, all at once."""
        changes = {name: self._change(name) for name in dict.fromkeys(name for names in missing for name in names)}
        where, change = [], []
        for names, places in missing.items():
            watches = self._known[names].watches
            added = np.zeros((len(places), len(watches), 2))
            for name, states in zip(names, np.array(places).T, strict=True):
                moved = np.searchsorted(self._moved[name], watches)
                added += changes[name].take(states, axis=0).take(moved, axis=1)
            where.append(np.tile(watches, len(places)))
            change.append(added.reshape(-1, 2))
        each = _in_blocks(self._watched, np.concatenate(where), np.concatenate(change))
        first = 0
        for (names, places), own in zip(missing.items(), where, strict=True):
            chances = each[first : first + len(own)].reshape(len(places), -1, each.shape[1])
            first += len(own)
            self._known[names].add(places, chances)
            self.bytes_kept += chances.nbytes

    def _change(self, name: str) -> Array:
        """Change (s, w, 2) [mm] of the watches that a part moves in all its states."""
        return np.concatenate([table.singles[name] for table in self._tables if name in table.singles], axis=1)


@dataclass
class _Known:
    """Watches (w,) that some parts all move, and the chances (n, w, calls) there in those of their states asked for.

    `row` of each state among these.
    """

    watches: NDArray[np.intp]
    chances: Array
    row: dict[Places, int] = field(default_factory=dict)

    def add(self, places: Sequence[Places], chances: Array) -> None:
        """Chances (n, w, calls) in more states."""
        self.row.update(zip(places, range(len(self.row), len(self.row) + len(places)), strict=True))
        self.chances = np.concatenate([self.chances, chances])

    def averaged(self, places: Sequence[Places], weights: Array) -> Array:
        """The averages (m, w, calls) of the chances over some states, m times n of them, with weights (m, n)."""
        rows, chances = np.array([self.row[place] for place in places]).reshape(weights.shape), self.chances
        if len(chances) > _MANY * rows.size:
            chances, rows = chances.take(rows.ravel(), axis=0), np.arange(rows.size).reshape(rows.shape)
        spread = np.zeros((len(weights), len(chances)))
        spread[np.arange(len(weights))[:, None], rows] = weights
        return np.asarray(spread @ chances.reshape(len(chances), -1)).reshape(-1, *chances.shape[1:])


class Forecasts:
    """The forecasts of one vehicle, one for each way of taking a watch; nothing in them depends on what was read.

    `again` is what was worked out of readings taken again.
    """

    def __init__(self) -> None:
        self.again = KeptCalls()
        self._by: dict[By, Forecast] = {}

    def of(self, tables: Collection[ResponseTable], beliefs: Beliefs, by: By) -> Forecast:
        """The forecast of some setups; begun anew where tables or beliefs are others than when last asked for."""
        known = self._by.get(by)
        if known is None or not known.is_of(tables, beliefs):
            known = self._by[by] = Forecast(tuple(tables), beliefs, by)
        return known


def _moved(tables: Iterable[ResponseTable]) -> dict[str, NDArray[np.intp]]:
    """Watches (w,) that each part moves, of some setups one after another."""
    found: dict[str, list[NDArray[np.intp]]] = {}
    first = 0
    for table in tables:
        for name in table.singles:
            found.setdefault(name, []).append(np.arange(first, first + len(table.watches)))
        first += len(table.watches)
    return {name: np.concatenate(watches) for name, watches in found.items()}


def _in_blocks(watched: Watched, where: NDArray[np.intp], change: Array) -> Array:
    """Chances (n, calls) as `Watched.chances`, a few thousand at a time: what is in the cache takes half as long."""
    blocks = range(0, len(where), _BLOCK)
    return np.concatenate([watched.chances(where[i : i + _BLOCK], change[i : i + _BLOCK]) for i in blocks])
