"""What checks would tell: expected information about which parts are worn, of many setups at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Explanation, Posterior
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.forecast import Forecast, Forecasts, Names, Places
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup

_SETS = 40
_STATES = 8
_TOGETHER = 12
"""So many leading sets are told apart, each part of a set in so many leading states, several in so many together."""

_DRAWS = 400
_COUNTED = 256
"""Where a setup has at most so many outcomes all are counted; of more, some are drawn with fixed numbers."""

_BITS = 62
"""Outcomes that fit into a whole number of so many bits can be told apart by it."""

_ALIKE = 0.02
"""A watch whose calls differ by less than this chance from set to set tells nothing."""


@dataclass(frozen=True)
class Told:
    """What one setup would tell: about which set is worn [bits], and of each part's doubt the share that it settles."""

    bits: float
    settles: Mapping[str, float]


def told_by(
    posterior: Posterior,
    tables: Mapping[Setup, ResponseTable],
    beliefs: Beliefs,
    by: By = "hand",
    *,
    left: Collection[Setup] | None = None,
    forecasts: Forecasts | None = None,
) -> dict[Setup, Told]:
    """Expected information of every setup that is `left`, of all if not said, as an observer takes all its watches.

    Watches are taken as independent given the set. Where there are many outcomes they are drawn, right to about 0.03
    bits. `forecasts` are what is known of these tables already.
    Source: mutual information, C. E. Shannon, Bell System Technical Journal 27 (1948) 379-423.
    """
    wanted = tuple(tables if left is None else left)
    if not wanted:
        return {}
    asked = wanted, beliefs
    known = posterior.told.get(by)
    if known is None or known[0] != asked or any(a is not tables[s] for a, s in zip(known[1], wanted, strict=True)):
        forecast = (forecasts or Forecasts()).of(tables.values(), beliefs, by)
        told = _told(posterior, tables, wanted, forecast)
        known = posterior.told[by] = asked, tuple(tables[setup] for setup in wanted), told
    return dict(known[2])


def _told(
    posterior: Posterior, tables: Mapping[Setup, ResponseTable], wanted: Collection[Setup], forecast: Forecast
) -> dict[Setup, Told]:
    leading = posterior.leading(_SETS)
    weight = np.array([p for _, p in leading])
    weight /= weight.sum()
    chances = _chances(posterior, [e for e, _ in leading], forecast)
    names = tuple(dict.fromkeys(chain.from_iterable(e.parts for e, _ in leading)))
    worn = np.array([[name in e.parts for name in names] for e, _ in leading], dtype=float)
    firsts = dict(
        zip(tables, np.cumsum([0, *(len(table.watches) for table in tables.values())]).tolist(), strict=False)
    )
    tells = np.ptp(chances, axis=0).max(axis=1) > _ALIKE
    draw, found, outcomes = _Draw(weight), {}, {}
    for setup in wanted:
        telling = firsts[setup] + np.flatnonzero(tells[firsts[setup] : firsts[setup] + len(tables[setup].watches)])
        found[setup] = Told(0.0, {})
        if len(telling):
            outcomes[setup] = _outcomes(chances.take(telling, axis=1), weight, draw)
    if outcomes:
        every_bits, settled = _information(list(outcomes.values()), weight, worn)
        for setup, bits, shares in zip(outcomes, every_bits.tolist(), settled.tolist(), strict=True):
            found[setup] = Told(bits, {name: share for name, share in zip(names, shares, strict=True) if share})
    return found


def expected_information(posterior: Posterior, table: ResponseTable, beliefs: Beliefs, by: By = "hand") -> float:
    """Expected information [bits] that all watches of one setup give about which set is worn."""
    return told_by(posterior, {table.setup: table}, beliefs, by)[table.setup].bits


@dataclass(frozen=True)
class _Outcomes:
    """Outcomes (o) of one setup: the share of each, and its chance (o, sets) in each set with the logarithm of that.

    The chance only up to a factor of each outcome's own.
    """

    share: Array
    chance: Array
    log_chance: Array


def _outcomes(chances: Array, weight: Array, draw: _Draw) -> _Outcomes:
    """All outcomes of one setup, or those drawn, from chances (sets, k, calls)."""
    if chances.shape[2] ** chances.shape[1] <= _COUNTED:
        counted = _counted(chances)
        return _Outcomes(counted @ weight, counted, np.log(counted))
    share, logs = draw.outcomes(chances)
    logs -= logs.max(axis=1, keepdims=True)
    return _Outcomes(share, np.exp(logs), logs)


def _information(outcomes: Sequence[_Outcomes], weight: Array, worn: Array) -> tuple[Array, Array]:
    """Of each of some setups the bits (n,) about the set, and the share (n, p) settled of each part's doubt."""
    share = np.concatenate([one.share for one in outcomes])
    after = np.concatenate([one.chance for one in outcomes]) * weight
    logs = np.concatenate([one.log_chance for one in outcomes])
    mixed = after.sum(axis=1)
    after /= mixed[:, None]
    first = np.cumsum([0, *(len(one.share) for one in outcomes[:-1])])
    # What an outcome tells is how far it moves the sets' weights: the mean of log(after / before).
    bits = np.add.reduceat(share * (np.einsum("os,os->o", after, logs) - np.log(mixed)), first)
    left = np.add.reduceat(share[:, None] * entropy(after @ worn), first)
    return np.maximum(bits, 0.0) / np.log(2.0), np.clip(1.0 - left / entropy(weight @ worn), 0.0, 1.0)


def _counted(chances: Array) -> Array:
    """Chance (o, sets) of every outcome."""
    outcomes = chances[:, 0]
    for k in range(1, chances.shape[1]):
        outcomes = (outcomes[:, :, None] * chances[:, k, None, :]).reshape(len(chances), -1)
    return outcomes.T


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
        """Share (o,) of each outcome that was drawn and its log chance (o, sets)."""
        sets, k, calls = chances.shape
        numbers, call = self._uniform(k), np.zeros((_DRAWS, k), dtype=np.intp)
        for step in np.cumsum(chances[..., :-1], axis=-1).transpose(2, 0, 1):
            call += numbers > step[self._sets]
        call, share = _counted_once(call, calls)
        drawn = np.zeros((len(call), k * calls))
        drawn[np.arange(len(call))[:, None], np.arange(k) * calls + call] = 1.0
        return share, drawn @ np.log(chances).reshape(sets, k * calls).T

    def _uniform(self, k: int) -> Array:
        if self._numbers.shape[1] < k:
            more = self._rng.random((_DRAWS, k - self._numbers.shape[1]))
            self._numbers = np.concatenate([self._numbers, more], axis=1)
        return self._numbers[:, :k]


def _counted_once(call: NDArray[np.intp], calls: int) -> tuple[NDArray[np.intp], Array]:
    """Those of some outcomes (n, k) that differ, and the share of each: most draws come out as others did."""
    count, k = call.shape
    if k * np.log2(calls) > _BITS:
        return call, np.full(count, 1.0 / count)
    _, first, times = np.unique(call @ calls ** np.arange(k), return_index=True, return_counts=True)
    return call[first], times / count


def _chances(posterior: Posterior, sets: Sequence[Explanation], forecast: Forecast) -> Array:
    """Chance (sets, watches, calls) of each call, averaged over each set's states."""
    found = np.repeat(forecast.sound[None], len(sets), axis=0)
    mixes: dict[Names, list[_Mix]] = {}
    for number, explanation in enumerate(sets):
        leading: dict[str, tuple[NDArray[np.intp], Array]] = {}
        for names in forecast.meetings(explanation.parts):
            for name in names:
                if name not in leading:
                    leading[name] = _leading_states(posterior, explanation, name)
            mixes.setdefault(names, []).append(_mix(number, [leading[name] for name in names]))
    asked = {names: list(dict.fromkeys(chain.from_iterable(m.places for m in own))) for names, own in mixes.items()}
    each = forecast.chances(asked)
    # What more parts move together is written over what fewer of them move.
    for names in sorted(mixes, key=len):
        own, row = mixes[names], {places: n for n, places in enumerate(asked[names])}
        weights = np.zeros((len(own), len(row)))
        for weight, mix in zip(weights, own, strict=True):
            weight[[row[places] for places in mix.places]] = mix.weights
        numbers = np.array([mix.number for mix in own])
        watches, chances = each[names]
        mixed = weights @ chances.reshape(len(row), -1)
        found[numbers[:, None], watches] = mixed.reshape(len(own), *chances.shape[1:])
    return found


@dataclass(frozen=True)
class _Mix:
    """A set's number, leading joint states (n) of some of its parts, and their weights (n,), sum 1."""

    number: int
    places: Sequence[Places]
    weights: Array


def _mix(number: int, leading: Sequence[tuple[NDArray[np.intp], Array]]) -> _Mix:
    """The leading joint states of some parts, each in its leading states with their weights."""
    (first, weights), *others = leading
    places = first[:, None]
    for states, own in others:
        joint = np.multiply.outer(weights, own)
        before, added = np.unravel_index(np.argsort(-joint, axis=None)[:_TOGETHER], joint.shape)
        places, weights = np.column_stack([places[before], states[added]]), joint[before, added]
    return _Mix(number, list(map(tuple, places.tolist())), weights / weights.sum())


def _leading_states(posterior: Posterior, explanation: Explanation, name: str) -> tuple[NDArray[np.intp], Array]:
    """The leading states (n,) of one part of a set, and their weights (n,)."""
    weights = explanation.state_weights(name, len(posterior.states[name].weight))
    keep = np.argsort(-weights)[:_STATES]
    return keep, weights[keep]
