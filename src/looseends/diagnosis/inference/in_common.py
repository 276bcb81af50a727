"""What all visits of one vehicle have in common: its states, its tables, and the solvers of its setups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.inference.exact import Bench
from looseends.diagnosis.observed.forecast import Forecasts
from looseends.diagnosis.tables.prepare import Progress, prepare_tables, table_for
from looseends.diagnosis.tables.states import PartStates, vehicle_states
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle

_MOST_TABLES = 80
"""So many tables stay in memory, about a megabyte each: those of the usual setups, and some that visits had besides."""


class InCommon:
    """One vehicle by one set of beliefs; nothing in it depends on what was read.

    `lasting`: in a program that goes on running, where the compiled kernel is worth loading. One thread at a time.
    """

    def __init__(
        self, vehicle: Vehicle, store: TableStore, beliefs: Beliefs | None = None, *, lasting: bool = False
    ) -> None:
        self.vehicle, self.store, self.beliefs = vehicle, store, beliefs or load_beliefs()
        self.bench = Bench(vehicle, lasting=lasting)
        self.forecasts = Forecasts()
        self._tables: dict[Setup, ResponseTable] = {}

    @cached_property
    def states(self) -> Sequence[PartStates]:
        """States of every part that can be worn, as weighted where nothing is known of the vehicle."""
        return vehicle_states(self.vehicle, self.beliefs)

    @cached_property
    def usual(self) -> Sequence[Setup]:
        """The setups that every visit of the vehicle may ask for."""
        return usual_setups(self.vehicle)

    def tables_of(self, setups: Sequence[Setup], progress: Progress | None = None) -> Mapping[Setup, ResponseTable]:
        """The tables of some setups; those asked for longest ago leave the memory where they are too many.

        Raises
        ------
        MechanicsError
            If a setup cannot be settled.
        """
        missing = [setup for setup in setups if setup not in self._tables]
        if missing:
            prepare_tables(self.vehicle, store=self.store, progress=progress, setups=missing)
        found = {
            setup: self._tables.get(setup) or table_for(self.vehicle, setup, self.store)
            for setup in dict.fromkeys(setups)
        }
        others = {setup: table for setup, table in self._tables.items() if setup not in found}
        too_many = max(len(others) + len(found) - _MOST_TABLES, 0)
        self._tables = {**dict(list(others.items())[too_many:]), **found}
        return found

    def take_tables(self, other: InCommon) -> None:
        """Hold the tables that another one of the same vehicle holds."""
        self._tables = dict(other._tables)
