"""What checks would tell: expected information about which parts are worn, of many setups at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.calls import By, Calls, Watched, calls_of
from looseends.diagnosis.explanation import Explanation, Posterior
from looseends.diagnosis.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup

_SETS = 40
_STATES = 8
_TOGETHER = 12
"""So many leading sets are told apart, each part of a set in so many leading states, several in so many together."""

_BLOCK = 4000

_DRAWS = 400
_COUNTED = 256
"""Where a setup has at most so many outcomes all are counted; of more, some are drawn with fixed numbers."""

_ALIKE = 0.02
"""A watch whose calls differ by less than this chance from set to set tells nothing."""


@dataclass(frozen=True)
class Told:
    """What one setup would tell: about which set is worn [bits], and of each part's doubt the share that it settles."""

    bits: float
    settles: Mapping[str, float]


def told_by(
    posterior: Posterior, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs, by: By = "hand"
) -> dict[Setup, Told]:
    """Expected information of every setup, as an observer takes all its watches.

    Watches are taken as independent given the set. Where there are many outcomes they are drawn, right to about 0.03
    bits.
    Source: mutual information, C. E. Shannon, Bell System Technical Journal 27 (1948) 379-423.
    """
    if not tables:
        return {}
    asked = tuple(tables), beliefs
    known = posterior.told.get(by)
    if known is None or known[0] != asked or any(a is not b for a, b in zip(known[1], tables.values(), strict=True)):
        known = posterior.told[by] = asked, tuple(tables.values()), _told(posterior, tables, beliefs, by)
    return dict(known[2])


def _told(posterior: Posterior, tables: Mapping[Setup, ResponseTable], beliefs: Beliefs, by: By) -> dict[Setup, Told]:
    leading = posterior.leading(_SETS)
    weight = np.array([p for _, p in leading])
    weight /= weight.sum()
    chances = _Outlook(posterior, [e for e, _ in leading], tuple(tables.values()), beliefs, calls_of(by)).chances()
    names = tuple(dict.fromkeys(chain.from_iterable(e.parts for e, _ in leading)))
    worn = np.array([[name in e.parts for name in names] for e, _ in leading], dtype=float)
    draw = _Draw(weight)
    found, first = {}, 0
    for setup, table in tables.items():
        own = chances[:, first : first + len(table.watches)]
        first += len(table.watches)
        bits, settled = _information(own, weight, worn, draw)
        found[setup] = Told(bits, {names[i]: float(settled[i]) for i in np.flatnonzero(settled)})
    return found


def expected_information(posterior: Posterior, table: ResponseTable, beliefs: Beliefs, by: By = "hand") -> float:
    """Expected information [bits] that all watches of one setup give about which set is worn."""
    return told_by(posterior, {table.setup: table}, beliefs, by)[table.setup].bits


def _information(chances: Array, weight: Array, worn: Array, draw: _Draw) -> tuple[float, Array]:
    """Bits about the set, and the share (p,) settled of each part's doubt, from chances (sets, k, calls)."""
    chances = chances[:, np.flatnonzero(np.ptp(chances, axis=0).max(axis=1) > _ALIKE)]
    if not chances.shape[1]:
        return 0.0, np.zeros(worn.shape[1])
    counted = chances.shape[2] ** chances.shape[1] <= _COUNTED
    share, joint = _counted(chances, weight) if counted else draw.outcomes(chances)
    joint -= joint.max(axis=1, keepdims=True)
    after = np.exp(joint) * weight
    mixed = after.sum(axis=1, keepdims=True)
    after /= mixed
    # What an outcome tells is how far it moves the sets' weights: the mean of log(after / before).
    bits = share @ (np.einsum("os,os->o", after, joint) - np.log(mixed[:, 0]))
    settled = 1.0 - share @ entropy(after @ worn) / entropy(weight @ worn)
    return float(max(0.0, bits) / np.log(2.0)), np.clip(settled, 0.0, 1.0)


def _counted(chances: Array, weight: Array) -> tuple[Array, Array]:
    """Probability (o,) of every outcome and its log chance (o, sets)."""
    outcomes = chances[:, 0]
    for k in range(1, chances.shape[1]):
        outcomes = (outcomes[:, :, None] * chances[:, k, None, :]).reshape(len(weight), -1)
    return np.asarray(weight @ outcomes), np.log(outcomes.T)


def entropy(chance: Array) -> Array:
    """Entropy [bits] of yes or no."""
    p = np.clip(chance, 1e-12, 1.0 - 1e-12)
    return np.asarray(-(p * np.log2(p) + (1.0 - p) * np.log2(1.0 - p)))


class _Draw:
    """Outcomes drawn with fixed numbers: the same sets and the same numbers for every setup."""

    def __init__(self, weight: Array) -> None:
        self._rng = np.random.default_rng(0)
        # Each set as often as its weight says: only the outcomes are left to chance.
        self._sets = np.searchsorted(np.cumsum(weight), (np.arange(_DRAWS) + 0.5) / _DRAWS).clip(max=len(weight) - 1)
        self._numbers = np.zeros((_DRAWS, 0))

    def outcomes(self, chances: Array) -> tuple[Array, Array]:
        """Share (o,) of each drawn outcome and its log chance (o, sets)."""
        sets, k, calls = chances.shape
        steps = np.cumsum(chances[..., :-1], axis=-1)[self._sets]
        call = (self._uniform(k)[..., None] > steps).sum(axis=-1)
        drawn = np.zeros((_DRAWS, k * calls))
        drawn[np.arange(_DRAWS)[:, None], np.arange(k) * calls + call] = 1.0
        return np.full(_DRAWS, 1.0 / _DRAWS), drawn @ np.log(chances).reshape(sets, k * calls).T

    def _uniform(self, k: int) -> Array:
        if self._numbers.shape[1] < k:
            more = self._rng.random((_DRAWS, k - self._numbers.shape[1]))
            self._numbers = np.concatenate([self._numbers, more], axis=1)
        return self._numbers[:, :k]


@dataclass(frozen=True)
class _Outlook:
    """Leading sets laid against the watches of all setups, one after another."""

    posterior: Posterior
    sets: Sequence[Explanation]
    tables: Sequence[ResponseTable]
    beliefs: Beliefs
    calls: Calls

    def chances(self) -> Array:
        """Chance (sets, watches, calls) of each call, averaged over each set's states."""
        watched = self.calls.at(self.tables, self.beliefs)
        sound = watched.chances(np.arange(watched.count), np.zeros((watched.count, 2)))
        found = np.repeat(sound[None], len(self.sets), axis=0)
        changes = self._changes()
        jobs = [job for number, e in enumerate(self.sets) for job in self._jobs(number, e, changes)]
        alone = [job for job in jobs if isinstance(job, _Alone)]
        for one, chance in zip(alone, self._chances_alone(alone, changes, watched), strict=True):
            found[one.number, one.watches] = chance
        together = [job for job in jobs if isinstance(job, _Together)]
        if not together:
            return found
        where = np.concatenate([np.tile(job.watches, len(job.weights)) for job in together])
        each = _in_blocks(watched, where, np.concatenate([job.change.reshape(-1, 2) for job in together]))
        first = 0
        for job in together:
            size = job.change.shape[0] * job.change.shape[1]
            own = each[first : first + size].reshape(*job.change.shape[:2], -1)
            found[job.number, job.watches] = np.tensordot(job.weights, own, axes=1)
            first += size
        return found

    def _chances_alone(
        self, jobs: Sequence[_Alone], changes: Mapping[str, _Change], watched: Watched
    ) -> Iterator[Array]:
        """Chance (w, calls) of each call where one part of a set moves some watches: every state asked once."""
        asked: dict[str, set[int]] = {}
        for job in jobs:
            asked.setdefault(job.part, set()).update(job.states.tolist())
        states = {part: np.array(sorted(of_part)) for part, of_part in asked.items()}
        known = {}
        for part, of_part in states.items():
            own = changes[part]
            each = watched.chances(np.tile(own.watches, len(of_part)), own.change[of_part].reshape(-1, 2))
            known[part] = each.reshape(len(of_part), len(own.watches), -1)
        for job in jobs:
            rows = np.searchsorted(states[job.part], job.states)
            columns = np.searchsorted(changes[job.part].watches, job.watches)
            yield np.tensordot(job.weights, known[job.part][np.ix_(rows, columns)], axes=1)

    def _changes(self) -> dict[str, _Change]:
        """What each part of the sets changes, at the watches that it moves."""
        firsts = np.cumsum([0, *(len(table.watches) for table in self.tables)])
        found = {}
        for name in dict.fromkeys(chain.from_iterable(e.parts for e in self.sets)):
            where = [(i, t.singles[name]) for i, t in enumerate(self.tables) if name in t.singles]
            if where:
                watches = np.concatenate([np.arange(firsts[i], firsts[i + 1]) for i, _ in where])
                found[name] = _Change(watches, np.concatenate([change for _, change in where], axis=1))
        return found

    def _jobs(
        self, number: int, explanation: Explanation, changes: Mapping[str, _Change]
    ) -> Iterator[_Alone | _Together]:
        """One set's states at the watches that its parts move, those that the same parts move together."""
        movers = [name for name in explanation.parts if name in changes]
        moved = np.zeros(sum(len(table.watches) for table in self.tables), dtype=np.intp)
        for place, name in enumerate(movers):
            moved[changes[name].watches] |= 1 << place
        leading = {name: self._leading_states(explanation, name) for name in movers}
        for together in sorted(set(moved.tolist()) - {0}):  # numpy's own way loads its masked arrays first
            watches = np.flatnonzero(moved == together)
            names = [name for place, name in enumerate(movers) if together >> place & 1]
            if len(names) == 1:
                states, own = leading[names[0]]
                yield _Alone(number, watches, names[0], states, own / own.sum())
                continue
            change, weights = np.zeros((1, len(watches), 2)), np.ones(1)
            for name in names:
                states, own = leading[name]
                change, weights = _joined(change, weights, changes[name].at(watches, states), own)
            yield _Together(number, watches, change, weights / weights.sum())

    def _leading_states(self, explanation: Explanation, name: str) -> tuple[NDArray[np.intp], Array]:
        """The leading states (n,) of one part of a set, and their weights (n,)."""
        weights = explanation.state_weights(name, len(self.posterior.states[name].weight))
        keep = np.argsort(-weights)[:_STATES]
        return keep, weights[keep]


def _in_blocks(watched: Watched, where: NDArray[np.intp], change: Array) -> Array:
    """Chances (n, calls) as `Watched.chances`, a few thousand at a time: what is in the cache takes half as long."""
    blocks = range(0, len(where), _BLOCK)
    return np.concatenate([watched.chances(where[i : i + _BLOCK], change[i : i + _BLOCK]) for i in blocks])


def _joined(change: Array, weights: Array, more: Array, own: Array) -> tuple[Array, Array]:
    """Changes (s, w, 2) [mm] and weights (s,) of the leading joint states with one more part's."""
    joint = np.multiply.outer(weights, own)
    first, second = np.unravel_index(np.argsort(-joint, axis=None)[:_TOGETHER], joint.shape)
    return change[first] + more[second], joint[first, second]


@dataclass(frozen=True)
class _Change:
    """Watches (w,) that a part moves, and its change (s, w, 2) [mm] there."""

    watches: NDArray[np.intp]
    change: Array

    def at(self, watches: NDArray[np.intp], states: NDArray[np.intp]) -> Array:
        """Change (n, k, 2) [mm] at some of these watches (k,) in some states (n,)."""
        return self.change[states][:, np.searchsorted(self.watches, watches)]


@dataclass(frozen=True)
class _Alone:
    """A set's number, watches (w,) that one of its parts moves alone, that part's states (s,) and weights (s,)."""

    number: int
    watches: NDArray[np.intp]
    part: str
    states: NDArray[np.intp]
    weights: Array


@dataclass(frozen=True)
class _Together:
    """A set's number, watches (w,), changes (s, w, 2) [mm] there in some states and these states' weights (s,)."""

    number: int
    watches: NDArray[np.intp]
    change: Array
    weights: Array
