"""From a mechanism and a pose to the linear system J u + e0 - E g.

energy(u, g) = ½ |J u + e0 - E g|² - Fᵀu; J stacks √stiffness × B over all rows, E picks the rows that carry a
clearance unknown. Derived in docs/mechanics.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import GROUND, Array, Indices
from looseends.mechanics.clearance import Block, Clearance, ClearanceArrays, clearance_arrays
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import blocks_at, displacement_rows, held_axes, rows
from looseends.mechanics.model import Force, Mechanism, Poses, Watch


@dataclass(frozen=True)
class LinearSystem:
    """The system about one pose.

    J (m, n), e0 (m,) [√(N·mm)]; `unknown_rows` (p,) index of the row of each clearance unknown and `root` (p,) its
    √stiffness; `joints` name -> slice of unknowns; F (n,) gravity.
    """

    J: Array
    e0: Array
    unknown_rows: Indices
    root: Array
    blocks: tuple[Block, ...]
    joints: Mapping[str, slice]
    held: Mapping[str, Array]
    columns: Mapping[str, slice]
    F: Array


def columns_of(mechanism: Mechanism) -> dict[str, slice]:
    """Six columns of u per body, in the mechanism's order."""
    return {body.name: slice(6 * i, 6 * i + 6) for i, body in enumerate(mechanism.bodies)}


def assemble(mechanism: Mechanism, poses: Poses) -> LinearSystem:
    """Linear system of a mechanism about `poses`, with gravity.

    Source: derived in docs/mechanics.md, "The linear system".
    """
    columns = columns_of(mechanism)
    width = 6 * len(mechanism.bodies)
    stacked: list[Array] = []
    offsets: list[Array] = []
    unknown_rows: list[int] = []
    roots: list[float] = []
    blocks: list[Block] = []
    joints: dict[str, slice] = {}
    held: dict[str, Array] = {}
    row = unknown = 0
    for element in mechanism.elements:
        part = rows(element, poses)
        root = np.sqrt(part.stiffness)
        block = np.zeros((len(root), width))
        for body, on_body in part.on.items():
            if body != GROUND:
                block[:, columns[body]] += root[:, None] * on_body
        stacked.append(block)
        offsets.append(root * part.offset)
        if part.unknowns:
            joints[element.name] = slice(unknown, unknown + part.unknowns)
            blocks.extend(blocks_at(element, unknown))
            axes = held_axes(element)
            if axes is not None:
                held[element.name] = axes
            unknown_rows.extend(range(row, row + part.unknowns))
            roots.extend(root[: part.unknowns])
            unknown += part.unknowns
        row += len(root)
    return LinearSystem(
        J=np.vstack(stacked),
        e0=np.concatenate(offsets),
        unknown_rows=np.array(unknown_rows, dtype=np.intp),
        root=np.array(roots),
        blocks=tuple(blocks),
        joints=joints,
        held=held,
        columns=columns,
        F=_gravity(mechanism, poses, columns, width),
    )


def _gravity(mechanism: Mechanism, poses: Poses, columns: Mapping[str, slice], width: int) -> Array:
    F = np.zeros(width)
    for body in mechanism.bodies:
        F[columns[body.name]][2] -= body.mass * GRAVITY
    return F


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
