"""Sets of worn parts in a row, and how they lie within one another: what does not depend on what was read."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.inference.rows import Numbers


@dataclass(frozen=True)
class Within:
    """Every set that lies within a set, itself first, set after set.

    `number` (n,) of the set within, `fewer` (n,) by how many parts; `first` (e + 1,) where each set's begin.
    """

    number: Numbers
    fewer: Numbers
    first: Numbers

    def of(self, number: int) -> slice:
        """Those of one set."""
        return slice(int(self.first[number]), int(self.first[number + 1]))


@dataclass(frozen=True)
class WornSets:
    """Sets (e) of worn parts among some parts (p).

    `parts` of each set; `before`: the first of them as sets of their own, whose answers are taken over.
    """

    names: tuple[str, ...]
    parts: tuple[tuple[str, ...], ...]
    before: WornSets | None = None

    @staticmethod
    def of(parts: Sequence[tuple[str, ...]]) -> WornSets:
        """Of any sets."""
        return WornSets(tuple(dict.fromkeys(name for each in parts for name in each)), tuple(parts))

    def joined(self, more: Sequence[tuple[str, ...]]) -> WornSets:
        """These, and behind them larger sets of the same parts."""
        return WornSets(self.names, (*self.parts, *more), self)

    @cached_property
    def number(self) -> Mapping[frozenset[str], int]:
        """Number of each set by its parts."""
        start = 0 if self.before is None else len(self.before.parts)
        new = {frozenset(parts): n for n, parts in enumerate(self.parts[start:], start)}
        return new if self.before is None else {**self.before.number, **new}

    @cached_property
    def sizes(self) -> Numbers:
        """Count (e,) of each set's parts."""
        start = 0 if self.before is None else len(self.before.parts)
        new = np.array([len(parts) for parts in self.parts[start:]], dtype=np.intp)
        return new if self.before is None else np.concatenate([self.before.sizes, new])

    @cached_property
    def worn(self) -> NDArray[np.bool_]:
        """Whether each part is in each set (e, p)."""
        number = {name: n for n, name in enumerate(self.names)}
        start = 0 if self.before is None else len(self.before.parts)
        new = np.zeros((len(self.parts) - start, len(self.names)), dtype=bool)
        sets = np.repeat(np.arange(len(new)), self.sizes[start:])
        new[sets, [number[name] for parts in self.parts[start:] for name in parts]] = True
        return new if self.before is None else np.concatenate([self.before.worn, new])

    def having(self, parts: Collection[str]) -> NDArray[np.bool_]:
        """Which sets (e,) have all of some parts."""
        columns = [self.names.index(part) for part in parts if part in self.names]
        if len(columns) < len(parts):
            return np.zeros(len(self.parts), dtype=bool)
        return np.asarray(self.worn[:, columns].all(axis=1))

    def having_each(self, several: Sequence[Collection[str]]) -> NDArray[np.bool_]:
        """Which sets have all of the parts of each of several of these sets (s, e)."""
        wanted = self.worn[[self.number[frozenset(parts)] for parts in several]].astype(float)
        return np.asarray(wanted @ self.worn.T == wanted.sum(axis=1)[:, None])

    @cached_property
    def within(self) -> Within:
        """The sets within each; a smaller one that is not among these is left out."""
        start = 0 if self.before is None else len(self.before.parts)
        sets, number, fewer = (np.concatenate(each) for each in zip(*self._some_within(start), strict=True))
        order = np.argsort(sets, kind="stable")
        first = np.searchsorted(sets[order], np.arange(start, len(self.parts) + 1))
        new = Within(number[order], fewer[order], first)
        if self.before is None:
            return new
        old = self.before.within
        return Within(
            np.concatenate([old.number, new.number]),
            np.concatenate([old.fewer, new.fewer]),
            np.concatenate([old.first, old.first[-1] + new.first[1:]]),
        )

    def _some_within(self, start: int) -> Iterator[tuple[Numbers, Numbers, Numbers]]:
        """Sets (n,) from a number on, the same choice of each one's parts (n,), and by how many parts that is fewer."""
        codes = np.zeros(len(self.parts), dtype=np.int64)
        by_size = {}
        for size in np.unique(self.sizes).tolist():
            own = np.flatnonzero(self.sizes == size)
            by_size[size] = own, np.nonzero(self.worn[own])[1].reshape(len(own), size)
            codes[own] = _codes(by_size[size][1], len(self.names))
        order = np.argsort(codes, kind="stable")
        yield (np.zeros(0, dtype=np.intp),) * 3
        for size, (own, members) in by_size.items():
            own, members = own[own >= start], members[own >= start]
            for count in range(size, -1, -1):
                for some in combinations(range(size), count):
                    wanted = _codes(members[:, some], len(self.names))
                    at = order[np.searchsorted(codes, wanted, side="right", sorter=order) - 1]
                    found = codes[at] == wanted
                    yield own[found], at[found], np.full(np.count_nonzero(found), size - count)


def _codes(members: Numbers, count: int) -> NDArray[np.int64]:
    """One number (n,) for each choice (n, m) of rising numbers below `count`."""
    codes = np.zeros(len(members), dtype=np.int64)
    for member in members.T:
        codes = codes * (count + 1) + member + 1
    return codes


@lru_cache(maxsize=16)
def up_to_two(names: tuple[str, ...]) -> WornSets:
    """No worn part, each of some parts, and every two of them, in their order."""
    return WornSets(names, ((), *((name,) for name in names), *combinations(names, 2)))
