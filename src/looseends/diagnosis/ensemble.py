"""Vehicles of the same kind that nobody has measured: how a setup reads on each of them."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence

import numpy as np

from looseends.diagnosis.beliefs import Beliefs
from looseends.diagnosis.solver import Solver
from looseends.diagnosis.states import PartStates
from looseends.mechanics.bodies import Array, Pose
from looseends.vehicle.bodies import body_centers
from looseends.vehicle.carrying import Preload
from looseends.vehicle.scatter import scattered
from looseends.vehicle.shake import PreparedCheck, prepare_check
from looseends.vehicle.specimen import drawn_specimen
from looseends.vehicle.vehicle import Vehicle

_COUNTS = 0.05
"""A share of a change [mm] below this is not told."""


class Ensemble:
    """Specimens drawn over stiffness, sound clearance, geometry and hand force, each set up like the nominal one.

    A member's joints and geometry are the same in every setup of a vehicle, so that tables tell which readings go
    together; the hand pushes anew in each.
    """

    def __init__(self, vehicle: Vehicle, nominal: PreparedCheck, beliefs: Beliefs, preload: Preload) -> None:
        hand = np.random.default_rng(_number(repr(nominal.setup)))
        self.beliefs = beliefs
        self.members = []
        for number in range(beliefs.ensemble_members):
            rng = np.random.default_rng([_number(vehicle.id), number])
            drawn = scattered(vehicle, rng, beliefs.geometry_common_mm, beliefs.geometry_own_mm)
            specimen = drawn_specimen(drawn, rng)
            force = float(hand.uniform(1.0 - beliefs.hand_force_share, 1.0 + beliefs.hand_force_share))
            prepared = prepare_check(
                drawn, specimen, nominal.setup, preload, force_share=force, start=_poses_of(drawn, nominal)
            )
            self.members.append(Solver(drawn, specimen, prepared))

    def shares(self, states: Sequence[PartStates], singles: Mapping[str, Array]) -> dict[str, Array]:
        """Share (m, k) of each part's nominal change, every axis at its middle knot, that the first m members show.

        From 0 to 2. Where load or geometry keeps a worn joint shut on some vehicles, as in a sway link when the two
        sides hang unequally, the shares tell.
        """
        worn = [s.worn(s.middle) for s in states]
        shown = [np.abs(member.changes(worn)).max(axis=2) for member in self.members[: self.beliefs.share_members]]
        shares = {}
        for number, s in enumerate(states):
            size = np.abs(singles[s.part.id][s.middle]).max(axis=1)
            counts = size > _COUNTS
            ratio = np.array([change[number] for change in shown]) / np.where(counts, size, 1.0)
            shares[s.part.id] = np.where(counts, np.clip(ratio, 0.0, 2.0), 1.0)
        return shares


def _number(words: str) -> int:
    """A number to start drawing from, the same in every run."""
    return zlib.crc32(words.encode())


def _poses_of(drawn: Vehicle, nominal: PreparedCheck) -> dict[str, Pose]:
    """The nominal vehicle's settled poses as a start, about the drawn vehicle's own body centers."""
    return {
        name: Pose(center, nominal.poses[name].rotation, nominal.poses[name].shift)
        for name, center in body_centers(drawn).items()
    }
