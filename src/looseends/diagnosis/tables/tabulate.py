"""Computing a response table: the sound vehicle, its ensemble, single parts, and the pairs that interact."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.diagnosis.beliefs import Beliefs, load_beliefs
from looseends.diagnosis.tables.ensemble import Ensemble, shares_shown
from looseends.diagnosis.tables.pairs import shown_beside, tabulate_pairs
from looseends.diagnosis.tables.singles import tabulate_singles
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import vehicle_states
from looseends.diagnosis.tables.table import ResponseTable
from looseends.vehicle.build import holding_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.strokes import offers, wheels_clear
from looseends.vehicle.vehicle import SIDES, Vehicle


def usual_setups(vehicle: Vehicle) -> tuple[Setup, ...]:
    """Setups that a visit ordinarily uses, of checks that the vehicle offers.

    A wheel that is shaken is clear of the floor in them. Other setups are tabulated when they are met.
    """
    setups: list[Setup] = []
    beliefs = load_beliefs()
    for check in load_catalogue().checks.values():
        as_done = resolve_check(check, SIDES[0] if check.sided else None)
        if not offers(vehicle, as_done):
            continue
        held = [(check.steer_states[0], brake) for brake in check.brake_states]
        free = [(steer, check.brake_states[0]) for steer in check.steer_states[1:]]
        for support in check.supports:
            if support not in vehicle.layout.supports or support in beliefs.seldom.get(check.id, ()):
                continue
            if not wheels_clear(vehicle, as_done, support):
                continue
            for side in SIDES if check.sided else (None,):
                setups += [Setup(check.id, support, side, steer, brake, 0.0) for steer, brake in held + free]
    return tuple(setups)


def tabulate_all(vehicle: Vehicle, setups: Sequence[Setup], beliefs: Beliefs) -> Iterator[ResponseTable]:
    """Response tables of several setups, those that hold the vehicle alike one after the other."""
    ensemble = Ensemble(vehicle, beliefs, nominal_preload(vehicle.id))
    for setup in sorted(setups, key=lambda setup: repr(holding_of(vehicle, setup))):
        yield tabulate(vehicle, setup, beliefs, ensemble)


def tabulate(vehicle: Vehicle, setup: Setup, beliefs: Beliefs, ensemble: Ensemble | None = None) -> ResponseTable:
    """The response table of one setup of one vehicle; an ensemble that is handed in is used again."""
    specimen, preload = nominal_specimen(vehicle), nominal_preload(vehicle.id)
    prepared = prepare_check(vehicle, specimen, setup, preload)
    solver = Solver(vehicle, specimen, prepared)
    states = vehicle_states(vehicle, beliefs)
    singles = tabulate_singles(solver, states)
    members = (ensemble or Ensemble(vehicle, beliefs, preload)).members(prepared)
    sound = np.array([member.sound for member in members])
    shown = [s for s in states if s.part.id in singles]
    pairs, spread = tabulate_pairs(solver, states, singles), np.std(sound, axis=0, ddof=1)
    return ResponseTable(
        setup=setup,
        prepared=prepared,
        watches=solver.watches,
        sound=solver.sound,
        spread=spread,
        singles=singles,
        pairs=pairs,
        shares=shares_shown(members[: beliefs.share_members], shown, singles),
        beside=shown_beside(pairs, singles, spread),
        members=sound,
    )
