"""From a mechanism and a pose to the linear system J u + e0 - E g.

energy(u, g) = ½ |J u + e0 - E g|² - Fᵀu; J stacks √stiffness × B over all rows, E picks the rows that carry a
clearance unknown. Derived in docs/mechanics.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from looseends.mechanics.assembler import Assembler, LinearSystem
from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.clearance import Clearance, ClearanceArrays, clearance_arrays
from looseends.mechanics.model import Force, Mechanism, Poses, Watch
from looseends.mechanics.rows import displacement_rows


def assemble(mechanism: Mechanism, poses: Poses) -> LinearSystem:
    """Linear system of a mechanism about `poses`, with gravity; for many poses keep an `Assembler`."""
    return Assembler(mechanism).system(poses)


def load_vector(forces: Iterable[Force], columns: Mapping[str, slice], poses: Poses) -> Array:
    """Load (n,) of forces; each acts on its body and, reversed, on the body that it reacts on."""
    F = np.zeros(6 * len(columns))
    for force in forces:
        for body, sign in ((force.body, 1.0), (force.reacts_on, -1.0)):
            if body != GROUND:
                at = poses[force.body].point(force.point) if force.body != GROUND else force.point
                F[columns[body]] += sign * displacement_rows(poses[body], at, np.eye(3)).T @ force.vector
    return F


def watch_rows(watch: Watch, columns: Mapping[str, slice], poses: Poses) -> Array:
    """Rows (k, n) that give the watched movement [mm] from u; the length of the product is the movement."""
    directions = watch.directions
    if watch.carried_by != GROUND:
        directions = directions @ poses[watch.carried_by].rotation.T
    stacked = []
    for design_point in watch.points:
        at = poses[watch.body].point(design_point) if watch.body != GROUND else design_point
        W = np.zeros((len(directions), 6 * len(columns)))
        for body, sign in ((watch.body, 1.0), (watch.against, -1.0)):
            if body != GROUND:
                W[:, columns[body]] += sign * displacement_rows(poses[body], at, directions)
        stacked.append(W)
    return np.asarray(np.vstack(stacked) / np.sqrt(len(watch.points)))


def system_clearances(system: LinearSystem, clearances: Mapping[str, Clearance]) -> ClearanceArrays:
    """Semi-axes, seats and softness of a linear system's unknowns for clearances by joint name."""
    return clearance_arrays(clearances, system.joints, system.held, system.blocks, system.root**2)


def clearance_semi_axes(system: LinearSystem, clearances: Mapping[str, Clearance]) -> Array:
    """Semi-axes (p,) [mm] of all unknowns; joints that are not named have none, half-lines get infinity."""
    return system_clearances(system, clearances).semi
