"""Pose under load: where springs, stops, supports and gravity balance.

Repeats: linear system about the present pose, least-energy displacements with every clearance locked and every
contact one-sided, finite motion of the bodies. Joints are elastic, so no separate constraint solver is needed; the
iteration neglects only the change of the joint forces' direction, which converges away.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.assembler import Assembler, LinearSystem
from looseends.mechanics.assembly import assemble, clearance_semi_axes, load_vector
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import ROTATION_LENGTH
from looseends.mechanics.lash import solve_lash
from looseends.mechanics.model import Force, Mechanism, Poses
from looseends.mechanics.reduction import displacement, factor, reduce_stroke

_LARGEST_TURN = 0.15
"""Largest rotation [rad] of one iteration; beyond it the linear step says little."""

_FIRM = 1e-6
"""Least share of the largest pivot: below it a movement is all but free and needs the factors that tell."""


@dataclass(frozen=True)
class Settled:
    """Poses in balance, how many iterations they took, and the linear system about them."""

    poses: Poses
    iterations: int
    system: LinearSystem


def settle(
    mechanism: Mechanism,
    start: Poses | None = None,
    forces: tuple[Force, ...] = (),
    *,
    tolerance: float = 1e-6,
    most: int = 600,
) -> Settled:
    """Poses in which the mechanism rests, from `start` (the design poses if None), to `tolerance` [mm].

    Raises
    ------
    MechanicsError
        If a body is held by nothing against its load, or no balance is found in `most` iterations.
    """
    poses = dict(start if start is not None else mechanism.design_poses())
    moved = np.inf
    assembler = Assembler(mechanism)
    for iteration in range(1, most + 1):
        system = assembler.system(poses)
        F = load_vector(forces, system.columns, poses)
        try:
            u = _firm_step(system, F)
            if u is None:
                u = _step(system, F)
        except MechanicsError as problem:
            raise MechanicsError(
                refusal("the vehicle does not settle in this support: {problem}", problem=problem.sentence)
            ) from problem
        moved = float(np.max(np.abs(u)))
        step = min(1.0, _LARGEST_TURN * ROTATION_LENGTH / max(_largest_turn(u), 1e-30))
        for name, columns in system.columns.items():
            poses[name] = poses[name].moved(step * u[columns][:3], step * u[columns][3:] / ROTATION_LENGTH)
        if moved < tolerance:
            return Settled(poses, iteration, assembler.system(poses))
    raise MechanicsError(
        refusal("the vehicle does not settle in this support: still moving {moved} mm a step", moved=f"{moved:.3g}")
    )


def _step(system: LinearSystem, F: Array) -> Array:
    """Least-energy displacements (n,) with every clearance locked; what moves for nothing stays."""
    factors = factor(system)
    stroke = reduce_stroke(factors, F, ())
    g = solve_lash(stroke.S, stroke.f_base + stroke.f_hand, stroke.blocks, clearance_semi_axes(system, {})).g
    return displacement(factors, system.F + F, g)


def _firm_step(system: LinearSystem, F: Array) -> Array | None:
    """The same by Cholesky factors, several times faster; None where something moves for nothing or nearly so.

    K loses digits that a pose need not have: steps end at the balance of the forces, whatever the matrix.
    """
    # numba and scipy: only where something is settled.
    from scipy.linalg import LinAlgError, cho_factor, cho_solve

    from looseends.mechanics.kernel import solve_many

    J, contacts = system.J, [b.start for b in system.blocks if b.kind == "half-line"]
    try:
        factors = cho_factor(J.T @ J, lower=True, check_finite=False)
    except LinAlgError:
        return None
    diagonal = np.diag(factors[0])
    if float(np.min(diagonal)) < _FIRM * float(np.max(diagonal)):
        return None
    pull = system.F + F - J.T @ system.e0
    rows, root = system.unknown_rows[contacts], system.root[contacts]
    with_contacts = cho_solve(factors, np.column_stack([pull, J[rows].T * root]), check_finite=False)
    S = np.diag(root**2) - root[:, None] * (J[rows] @ with_contacts[:, 1:])
    f0 = root * (J[rows] @ with_contacts[:, 0] + system.e0[rows])
    blocks = tuple(Block("half-line", i, i + 1) for i in range(len(contacts)))
    g = solve_many(0.5 * (S + S.T), f0[None], blocks, np.full((1, len(contacts)), np.inf)).g[0]
    return np.asarray(with_contacts[:, 0] + with_contacts[:, 1:] @ g)


def _largest_turn(u: np.ndarray) -> float:
    return float(np.max(np.linalg.norm(u.reshape(-1, 6)[:, 3:], axis=1)))


def contact_gaps(mechanism: Mechanism, poses: Poses) -> dict[str, float]:
    """Gap [mm] of every one-sided contact in the given poses; negative: pressed in."""
    return gaps_in(assemble(mechanism, poses))


def gaps_in(system: LinearSystem) -> dict[str, float]:
    """Gap [mm] of every one-sided contact about the poses of a linear system; negative: pressed in."""
    first = {block.start for block in system.blocks if block.kind == "half-line"}
    return {
        name: float(system.e0[system.unknown_rows[part.start]] / system.root[part.start])
        for name, part in system.joints.items()
        if part.start in first
    }
