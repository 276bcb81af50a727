"""Pose under load: where springs, stops, supports and gravity balance.

Repeats: linear system about the present pose, least-energy displacements with every clearance locked and every
contact one-sided, finite motion of the bodies. Joints are elastic, so no separate constraint solver is needed; the
iteration neglects only the change of the joint forces' direction, which converges away.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.errors import MechanicsError
from looseends.mechanics.assembly import assemble, clearance_semi_axes, load_vector
from looseends.mechanics.constants import ROTATION_LENGTH
from looseends.mechanics.elements import Contact
from looseends.mechanics.lash import solve_lash
from looseends.mechanics.model import Force, Mechanism, Poses
from looseends.mechanics.reduction import displacement, factor, reduce_stroke

_LARGEST_TURN = 0.15
"""Largest rotation [rad] of one iteration; beyond it the linear step says little."""


@dataclass(frozen=True)
class Settled:
    """Poses in balance and how many iterations they took."""

    poses: Poses
    iterations: int


def settle(
    mechanism: Mechanism,
    start: Poses | None = None,
    forces: tuple[Force, ...] = (),
    *,
    tolerance: float = 1e-6,
    most: int = 200,
) -> Settled:
    """Poses in which the mechanism rests, from `start` (the design poses if None), to `tolerance` [mm].

    Raises
    ------
    MechanicsError
        If a body is held by nothing against its load, or no balance is found in `most` iterations.
    """
    poses = dict(start if start is not None else mechanism.design_poses())
    moved = np.inf
    for iteration in range(1, most + 1):
        system = assemble(mechanism, poses)
        factors = factor(system)
        F = load_vector(forces, system.columns, poses)
        stroke = reduce_stroke(factors, F, ())
        g = solve_lash(stroke.S, stroke.f_base + stroke.f_hand, stroke.blocks, clearance_semi_axes(system, {})).g
        u = displacement(factors, system.F + F, g)
        moved = float(np.max(np.abs(u)))
        step = min(1.0, _LARGEST_TURN * ROTATION_LENGTH / max(_largest_turn(u), 1e-30))
        for name, columns in system.columns.items():
            poses[name] = poses[name].moved(step * u[columns][:3], step * u[columns][3:] / ROTATION_LENGTH)
        if moved < tolerance:
            return Settled(poses, iteration)
    raise MechanicsError(f"the vehicle does not settle in this support: still moving {moved:.3g} mm a step")


def _largest_turn(u: np.ndarray) -> float:
    return float(np.max(np.linalg.norm(u.reshape(-1, 6)[:, 3:], axis=1)))


def contact_gaps(mechanism: Mechanism, poses: Poses) -> dict[str, float]:
    """Gap [mm] of every one-sided contact in the given poses; negative: pressed in."""
    system = assemble(mechanism, poses)
    gaps = {}
    for element in mechanism.elements:
        if isinstance(element, Contact):
            unknown = system.joints[element.name].start
            gaps[element.name] = float(system.e0[system.unknown_rows[unknown]] / system.root[unknown])
    return gaps
