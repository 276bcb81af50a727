"""Vehicles of the same kind that nobody has measured: how a setup reads on each of them."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.tables.solver import Solver
from looseends.diagnosis.tables.states import PartStates
from looseends.errors import MechanicsError
from looseends.mechanics.bodies import Array, Pose
from looseends.mechanics.model import Poses
from looseends.vehicle.bodies import body_centers
from looseends.vehicle.build import holding_of
from looseends.vehicle.carrying import Preload
from looseends.vehicle.scatter import drawn_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import Held, PreparedCheck, hold, prepare_held
from looseends.vehicle.specimen import Specimen, drawn_specimen
from looseends.vehicle.vehicle import Vehicle

_COUNTS = 0.05
"""A share of a change [mm] below this is not told."""

_TRIES = 6
"""So often a member is drawn over a file's spread until it can rest; about one in a hundred at 20 mm cannot."""


class Ensemble:
    """Vehicles drawn over stiffness, sound clearance, geometry and hand force.

    A member's joints and geometry are the same in every setup of a vehicle, so that tables tell which readings go
    together; the hand pushes anew in each. Members stay as they are held from one setup to the next that holds them so.
    """

    def __init__(self, vehicle: Vehicle, beliefs: Beliefs, preload: Preload) -> None:
        self.vehicle, self.beliefs, self.preload = vehicle, beliefs, preload
        self._drawn = [self._draw(number) for number in range(beliefs.ensemble_members)]
        self._holding: Setup | None = None
        self._held: list[tuple[Vehicle, Specimen, Held]] = []

    def _draw(self, number: int) -> tuple[Vehicle, Specimen]:
        rng = np.random.default_rng([_number(self.vehicle.id), number])
        drawn = drawn_vehicle(self.vehicle, rng, self.beliefs.geometry_common_mm, self.beliefs.geometry_own_mm)
        return drawn, drawn_specimen(drawn, rng)

    def members(self, nominal: PreparedCheck) -> list[Solver]:
        """Every member set up like the nominal vehicle, with a hand of its own."""
        setup, holding = nominal.setup, holding_of(self.vehicle, nominal.setup)
        if holding != self._holding:
            self._held = [self._settled(number, nominal) for number in range(len(self._drawn))]
            self._holding = holding
        hand = np.random.default_rng(_number(repr(setup)))
        spread = self.beliefs.hand_force_share
        solvers = []
        for drawn, specimen, held in self._held:
            force = float(hand.uniform(1.0 - spread, 1.0 + spread))
            solvers.append(Solver(drawn, specimen, prepare_held(drawn, held, setup, force_share=force)))
        return solvers

    def _settled(self, number: int, nominal: PreparedCheck) -> tuple[Vehicle, Specimen, Held]:
        """A member held as the nominal vehicle is; where its file's spread gave one that cannot rest so, another."""
        drawn, specimen = self._drawn[number]
        for again in range(1, _TRIES):
            try:
                return drawn, specimen, self._rested(drawn, specimen, nominal)
            except MechanicsError:
                if self.vehicle.spread is None:
                    raise
                drawn, specimen = self._draw(number + again * len(self._drawn))
        return drawn, specimen, self._rested(drawn, specimen, nominal)

    def _rested(self, drawn: Vehicle, specimen: Specimen, nominal: PreparedCheck) -> Held:
        return hold(drawn, specimen, nominal.setup, self.preload, poses_about(drawn, nominal.poses))


def shares_shown(
    members: Sequence[Solver], states: Sequence[PartStates], singles: Mapping[str, Array]
) -> dict[str, Array]:
    """Share (m, k, 2) of each part's nominal change, every axis at its middle knot, that m members show, from 0 to 2.

    Of movement in all and of free travel each. Where load or geometry keeps a worn joint shut on some vehicles, as in a
    sway link when the two sides hang unequally, the shares tell; and where a load only presses it to one end, so that a
    push moves it and nothing is free.
    """
    worn = [s.worn(s.middle) for s in states]
    shown = [np.abs(member.changes(worn)) for member in members]
    shares = {}
    for number, s in enumerate(states):
        size = np.abs(singles[s.part.id][s.middle])
        counts = size > _COUNTS
        ratio = np.array([change[number] for change in shown]) / np.where(counts, size, 1.0)
        shares[s.part.id] = np.where(counts, np.clip(ratio, 0.0, 2.0), 1.0)
    return shares


def _number(words: str) -> int:
    """A number to start drawing from, the same in every run."""
    return zlib.crc32(words.encode())


def poses_about(drawn: Vehicle, nominal: Poses) -> dict[str, Pose]:
    """The nominal vehicle's settled poses as a start, about the drawn vehicle's own body centers."""
    return {
        name: Pose(center, nominal[name].rotation, nominal[name].shift) for name, center in body_centers(drawn).items()
    }
