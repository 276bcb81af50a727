"""What checks would tell: expected information about which parts are worn, of many setups at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import chain
from math import log2

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.observed.calls import By
from looseends.diagnosis.observed.forecast import Forecast, Forecasts
from looseends.diagnosis.planning.averaged import averaged_chances
from looseends.diagnosis.planning.outcomes import Outcomes, outcomes_of
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup

_SETS = 40
"""So many leading sets are told apart."""

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
    chances = averaged_chances(posterior, [e for e, _ in leading], forecast)
    names = tuple(dict.fromkeys(chain.from_iterable(e.parts for e, _ in leading)))
    worn = np.array([[name in e.parts for name in names] for e, _ in leading], dtype=float)
    firsts = dict(
        zip(tables, np.cumsum([0, *(len(table.watches) for table in tables.values())]).tolist(), strict=False)
    )
    tells = np.ptp(chances, axis=0).max(axis=1) > _ALIKE
    found, telling = {setup: Told(0.0, {}) for setup in wanted}, {}
    for setup in wanted:
        own = firsts[setup] + np.flatnonzero(tells[firsts[setup] : firsts[setup] + len(tables[setup].watches)])
        if len(own):
            telling[setup] = own
    setups = list(telling)
    for outcomes in outcomes_of(chances, weight, list(telling.values())):
        bits = np.maximum(outcomes.nats, 0.0) / np.log(2.0)
        settled = _settled(outcomes, weight, worn)
        for number, own_bits, shares in zip(outcomes.setups, bits.tolist(), settled.tolist(), strict=True):
            settles = {name: share for name, share in zip(names, shares, strict=True) if share}
            found[setups[number]] = Told(own_bits, settles)
    return found


def expected_information(posterior: Posterior, table: ResponseTable, beliefs: Beliefs, by: By = "hand") -> float:
    """Expected information [bits] that all watches of one setup give about which set is worn."""
    return told_by(posterior, {table.setup: table}, beliefs, by)[table.setup].bits


def _settled(outcomes: Outcomes, weight: Array, worn: Array) -> Array:
    """The share (n, p) that each setup settles of each part's doubt; `worn` (sets, p) says which sets have it worn."""
    after = (worn.T * weight) @ outcomes.chance
    after /= weight @ outcomes.chance
    left = np.add.reduceat(entropy(after) * outcomes.share, outcomes.first, axis=1).T
    return np.clip(1.0 - left / entropy(weight @ worn), 0.0, 1.0)


def entropy_of(chance: float) -> float:
    """Entropy [bits] of yes or no, of one chance."""
    p = min(max(chance, 1e-12), 1.0 - 1e-12)
    return -(p * log2(p) + (1.0 - p) * log2(1.0 - p))


def entropy(chance: Array) -> Array:
    """The same of each of some chances."""
    p = np.clip(chance, 1e-12, 1.0 - 1e-12)
    q = 1.0 - p
    return np.asarray(-(p * np.log2(p) + q * np.log2(q)))
