"""What every visit to one layout needs: its tables, its routes, and the way that complaints are told."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.diagnosis.beliefs import load_beliefs
from looseends.diagnosis.inference.diagnose import Diagnosed, Diagnosing
from looseends.diagnosis.inference.in_common import InCommon
from looseends.diagnosis.observed.opening import load_opening
from looseends.diagnosis.planning.route import Route, change_minutes, full_route, looks_proving
from looseends.diagnosis.planning.shortest import shortest
from looseends.diagnosis.planning.ways import By, Way, ways_of
from looseends.diagnosis.tables.states import vehicle_states
from looseends.diagnosis.tables.store import TableStore, default_store
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.inspection.types import CheckDone, ConditionSeen, SymptomSeen, Visit
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from studies.truth import StandingVehicle

_DAY = datetime.date(2026, 1, 1)


class RememberingStore(TableStore):
    """A store that reads every table from disk once: a study asks for the same ones thousands of times."""

    def __init__(self, store: TableStore) -> None:
        super().__init__(store.directory)
        self._read: dict[tuple[str, Setup], ResponseTable] = {}

    def has(self, vehicle_id: str, setup: Setup) -> bool:
        """Whether there is a table of a setup."""
        return (vehicle_id, setup) in self._read or super().has(vehicle_id, setup)

    def load(self, vehicle_id: str, setup: Setup) -> ResponseTable | None:
        """The table of a setup, or None if there is none."""
        key = vehicle_id, setup
        if key not in self._read:
            found = super().load(vehicle_id, setup)
            if found is None:
                return None
            self._read[key] = found
        return self._read[key]


@dataclass(frozen=True)
class Bay:
    """One layout with its store, its usual setups, ways to see wear, and shortest full route by gauge and by hand."""

    vehicle: Vehicle
    store: TableStore
    setups: tuple[Setup, ...]
    ways: tuple[Way, ...]
    routes: Mapping[By, Route]

    @cached_property
    def common(self) -> InCommon:
        """What the diagnoses of all its vehicles have in common."""
        return InCommon(self.vehicle, self.store, lasting=True)

    @property
    def shakes(self) -> tuple[Setup, ...]:
        """The wheel shaken to both sides, brake off and on, in the first support that the catalogue names for it."""
        shakes = [s for s in self.setups if s.check == "wheel39" and s.steer == "held"]
        return tuple(s for s in shakes if s.support == shakes[0].support)

    def minutes(self, setups: Sequence[Setup]) -> float:
        """Minutes of these setups in this order: the opening, every change of support, every check."""
        opening, changes = load_opening(), change_minutes()
        total, here = opening.minutes, opening.arrives_on
        for setup in setups:
            total += minutes_to(setup, here, changes)
            here = setup.support
        return total

    def least_minutes(self, parts: Collection[str], by: By) -> float:
        """Minutes of the shortest visit that could prove each of these parts by a step; infinite if none could."""
        looks = looks_proving(self.vehicle, self.ways, by, load_beliefs())
        if not set(parts) <= set().union(*(look.proves for look in looks)):
            return float("inf")
        return load_opening().minutes + shortest(looks, change_minutes(), sorted(parts)).minutes

    def diagnosed(
        self,
        going_on: Diagnosing,
        checks: Sequence[CheckDone],
        seen: Sequence[ConditionSeen],
        complaint: str,
        *,
        learner: bool,
    ) -> Diagnosed:
        """The visit as a judgement takes it, with what the customer told and the tables to plan by.

        `learner`: whether it says that who read and looked is still learning.
        """
        told = SymptomSeen(1, "complaint", complaint, None, "drawn", "")
        visit = Visit(
            self.vehicle.id,
            _DAY,
            "",
            "drawn",
            "",
            None,
            "",
            "",
            "us-federal",
            tuple(checks),
            tuple(seen),
            (),
            (told,),
            learners=("drawn",) if learner else (),
        )
        return going_on.diagnosed(visit)


def minutes_to(setup: Setup, here: str, changes: Mapping[str, float]) -> float:
    """Minutes of one check, with the change to its support from another."""
    check = load_catalogue().checks[setup.check]
    return check.minutes + (0.0 if setup.support == here else changes[setup.support])


@cache
def bay_of(layout: str) -> Bay:
    """The bay of a layout; its tables must be there already."""
    vehicle, store, beliefs = load_vehicles()[layout], RememberingStore(default_store()), load_beliefs()
    setups = usual_setups(vehicle)
    states = vehicle_states(vehicle, beliefs)
    tables = [table for setup in setups if (table := store.load(vehicle.id, setup)) is not None]
    ways = tuple(way for table in tables for way in ways_of(table, states, beliefs))
    observers: tuple[By, ...] = ("gauge", "hand")
    return Bay(vehicle, store, setups, ways, {by: full_route(vehicle, ways, by, beliefs) for by in observers})


def drawn_complaint(true: StandingVehicle, rng: np.random.Generator) -> str:
    """A complaint of the catalogue that one of the worn parts may cause; any, where nothing is worn or none points."""
    complaints = load_catalogue().complaints
    worn = {part for part, _ in true.worn}
    kinds = {name for part in worn for name in _names(true.vehicle, part)}
    pointing = [c.id for c in complaints.values() if kinds & {name for cause in c.causes for name in cause.points_to}]
    return str(rng.choice(pointing or list(complaints)))


def _names(vehicle: Vehicle, part: str) -> tuple[str, str]:
    kind = vehicle.parts[part].kind
    return kind.id, kind.group
