"""Ways to see each part's wear: which watch of which setup shows it, how much, and with what chance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import ndtr

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import watches_of
from looseends.catalogue.types import Axis
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.observed.detect import NOTICED, above_false, at_reject, told_apart
from looseends.diagnosis.observed.evidence import ALIKE
from looseends.diagnosis.observed.grade import grade_chances
from looseends.diagnosis.observed.likelihood import FREE, TOTAL, GaugeReading
from looseends.diagnosis.tables.prepare import Progress, prepare_tables, table_for
from looseends.diagnosis.tables.states import PartStates, vehicle_states
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import SIDES, Vehicle

By = Literal["gauge", "hand", "eye"]
OBSERVERS: tuple[By, ...] = ("gauge", "hand", "eye")

_AS_GOOD = 0.02
"""A part's own joint is watched rather than another place that shows its wear with so little more chance."""


@dataclass(frozen=True)
class Sight:
    """The best watch of a setup for one axis of a part and one observer.

    `chance` to see the wear there at its reject clearance, masking included, as a judgement counts it; `free_mm` and
    `all_mm` are the free travel and the movement in all that this wear adds there. `dead_zone`: a gauge sees more in
    the dead zone than in all it shows.
    """

    watch: str
    chance: float
    free_mm: float
    all_mm: float
    dead_zone: bool = False


@dataclass(frozen=True)
class Way:
    """What one setup shows of one axis of a part worn to its reject clearance [mm total travel]."""

    part: str
    axis: Axis
    reject_mm: float
    setup: Setup
    sights: Mapping[By, Sight]


def setups_for(vehicle: Vehicle, check: str | None = None, support: str | None = None) -> tuple[Setup, ...]:
    """The usual setups of a check and a support (None: of any); the seldom ones where both are named and not usual."""
    every = usual_setups(vehicle)
    usual = [s for s in every if check in (None, s.check) and support in (None, s.support)]
    if usual or check is None or support is None:
        return tuple(usual)
    found = load_catalogue().checks[check]
    possible = support in found.supports and support in vehicle.layout.supports
    if not possible or check not in {s.check for s in every}:
        return ()
    steer, brake = found.steer_states[0], found.brake_states[0]
    return tuple(Setup(check, support, side, steer, brake, 0.0) for side in (SIDES if found.sided else (None,)))


def vehicle_ways(
    vehicle: Vehicle,
    setups: Sequence[Setup],
    *,
    store: TableStore,
    progress: Progress | None = None,
    beliefs: Beliefs | None = None,
) -> tuple[Way, ...]:
    """All ways of some setups of a vehicle, by a shop's beliefs or those that ship.

    Tables that the store lacks are computed first, with progress.

    Raises
    ------
    MechanicsError
        If a setup cannot be settled.
    """
    beliefs = beliefs or load_beliefs()
    states = vehicle_states(vehicle, beliefs)
    prepare_tables(vehicle, store=store, progress=progress, setups=setups)
    return tuple(way for setup in setups for way in ways_of(table_for(vehicle, setup, store), states, beliefs))


def ways_of(table: ResponseTable, states: Sequence[PartStates], beliefs: Beliefs) -> Iterator[Way]:
    """Every axis of every part that changes anything in this setup, with the best watch for each observer."""
    for part in states:
        if part.part.id in table.singles:
            for axis, reject in zip(part.axes, part.reject, strict=True):
                yield Way(part.part.id, axis, reject, table.setup, _sights(table, part, axis, beliefs))


def _sights(table: ResponseTable, states: PartStates, axis: Axis, beliefs: Beliefs) -> dict[By, Sight]:
    worn = at_reject(states, axis, table.singles[states.part.id])
    view = _View(table, worn, _shares(table, states.part.id), beliefs)
    in_all, dead_zone = view.by_gauge(TOTAL), view.by_gauge(FREE)
    chances: dict[By, Array] = {"gauge": np.maximum(in_all, dead_zone), "hand": view.graded("hand")}
    chances["eye"] = view.graded("eye")
    sights: dict[By, Sight] = {}
    for by, chance in chances.items():
        k = _best(chance, worn[:, FREE], table.watches, states.part.id)
        zone = by == "gauge" and bool(dead_zone[k] > in_all[k] + _AS_GOOD)
        sights[by] = Sight(table.watches[k], float(chance[k]), float(worn[k, FREE]), float(worn[k, TOTAL]), zone)
    return sights


def _best(chance: Array, free: Array, watches: Sequence[str], part_id: str) -> int:
    """The watch with the best chance; of those as good the part's own joint, then where most is added."""
    good = [int(k) for k in np.flatnonzero(chance >= chance.max() - _AS_GOOD)]
    own = [k for k in good if watches[k].removesuffix(".axial") == part_id]
    return max(own or good, key=lambda k: (round(float(chance[k]), 2), free[k]))


def _shares(table: ResponseTable, part_id: str) -> Array:
    """Shares (m, k, 2) as a clue takes them: those that lie close together as their mean."""
    found = table.shares.get(part_id)
    if found is None:
        return np.ones((1, len(table.watches), 2))
    return np.where(np.ptp(found, axis=0) < ALIKE, found.mean(axis=0), found)


@dataclass(frozen=True)
class _View:
    """One worn axis in one setup at all watches: its change (k, 2) [mm] and the shares (m, k, 2) of it that show.

    The chances are those of `detect.chance_seen`, of all watches at once.
    """

    table: ResponseTable
    worn: Array
    shares: Array
    beliefs: Beliefs

    @property
    def shown(self) -> Array:
        """Change (m, k, 2) [mm] on each of the vehicles tried."""
        return np.asarray(self.shares * self.worn)

    @property
    def sound_spread(self) -> Array:
        """Spread (k, 2) [mm] of a sound vehicle's movement."""
        softness = np.array([self.beliefs.shared_softness, 1.0])
        return np.asarray(np.hypot(self.table.spread * softness, self.beliefs.floor_mm))

    @property
    def worn_spread(self) -> Array:
        """The same (m, k, 2) [mm] with the part worn."""
        return np.asarray(np.hypot(self.sound_spread, self.beliefs.share_of_change * self.shown))

    def by_gauge(self, quantity: int) -> Array:
        """Chance (k,) that a gauge tells the worn part from a sound one, in all or by its dead zone."""
        reading = GaugeReading(0.0, 0.0, self.beliefs, quantity)
        sound = self.table.expected
        before, sound_doubt = reading.expected(sound, self.sound_spread)
        after, worn_doubt = reading.expected(np.maximum(sound + self.shown, 0.0), self.worn_spread)
        rounding = _resolutions(self.table) / np.sqrt(12.0)
        margin = after - before - NOTICED * np.hypot(sound_doubt, rounding)
        called = ndtr(margin / np.hypot(worn_doubt, rounding))
        return self._seen(above_false(called, ndtr(-NOTICED)))

    def graded(self, by: By) -> Array:
        """Chance (k,) that a hand or an eye does."""
        observer, sound = load_catalogue().observers[by], self.table.expected
        worn = grade_chances(observer, np.maximum(sound + self.shown, 0.0), self.worn_spread)
        return self._seen(told_apart(worn, grade_chances(observer, sound, self.sound_spread)))

    def _seen(self, told: Array) -> Array:
        return np.asarray((1.0 - self.beliefs.masked_chance) * np.mean(told, axis=0))


def _resolutions(table: ResponseTable) -> Array:
    """Smallest step (k,) [mm] of the gauge that the check foresees at each watch."""
    places = {p.id: p for p in watches_of(load_catalogue().checks[table.setup.check], table.setup.side)}
    return np.array([places[watch].gauge_resolution_mm for watch in table.watches])
