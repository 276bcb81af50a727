"""A vehicle held for all that is looked at, and what worn sets show there: solved exactly, and only once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np

from looseends.diagnosis.consequences.places import Look, WatchedPlace, watched_places
from looseends.diagnosis.consequences.wear import Clearances
from looseends.diagnosis.tables.solver import Solver
from looseends.mechanics.bodies import Array
from looseends.vehicle.build import holding_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, hold, nominal_preload, prepare_held
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import Vehicle

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how many are done and how many there are."""

_AT_ONCE = 256
"""Worn sets that are solved in one go, between two reports of progress."""

_Key = frozenset[tuple[tuple[str, str], float]]


def untold(doing: str, done: int, total: int) -> None:
    """Nobody is told."""


@dataclass
class Bench:
    """One vehicle; keeps how it is held and every answer, so that ledgers and repairs share them."""

    vehicle: Vehicle
    progress: Progress = untold
    _held: dict[Setup, Held] = field(default_factory=dict)
    _solvers: dict[Setup, Solver] = field(default_factory=dict)
    _answers: dict[Setup, dict[_Key, Array]] = field(default_factory=dict)

    def places(self) -> tuple[WatchedPlace, ...]:
        """The watched places of this vehicle."""
        return watched_places(self.vehicle)

    def travel(self, look: Look, worn_sets: Iterable[Clearances]) -> Array:
        """Total and free travel (n, 2) [mm] that a look shows for n worn sets.

        Raises
        ------
        MechanicsError
            If the vehicle cannot rest in the support, or a set has no certified answer.
        """
        wanted = list(worn_sets)
        keys = [frozenset(worn.items()) for worn in wanted]
        known = self._answers.setdefault(look.setup, {})
        missing = {key: worn for key, worn in zip(keys, wanted, strict=True) if key not in known}
        solver = self._solver(look.setup)
        # Sets of one part first: the solver starts larger ones from what it found of each.
        ordered = sorted(missing.items(), key=lambda item: len({part for part, _ in item[1]}))
        for start in range(0, len(ordered), _AT_ONCE):
            if len(ordered) > _AT_ONCE:
                self.progress(f"solving worn sets, {look.setup.check}", start, len(ordered))
            chunk = ordered[start : start + _AT_ONCE]
            known.update(zip((key for key, _ in chunk), solver.many([worn for _, worn in chunk]), strict=True))
        at = solver.watches.index(look.watch)
        return np.array([known[key][at] for key in keys]).reshape(-1, 2)

    def _solver(self, setup: Setup) -> Solver:
        if setup not in self._solvers:
            specimen = nominal_specimen(self.vehicle)
            holding = holding_of(self.vehicle, setup)
            if holding not in self._held:
                self._held[holding] = hold(self.vehicle, specimen, setup, nominal_preload(self.vehicle.id))
            prepared = prepare_held(self.vehicle, self._held[holding], setup)
            self._solvers[setup] = Solver(self.vehicle, specimen, prepared)
        return self._solvers[setup]
