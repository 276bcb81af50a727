"""A mechanism made ready for many poses: what does not depend on the pose is laid out once.

`Assembler.system` gives the linear system that `elements.rows` defines element by element; point joints, of which a
vehicle has a hundred, are computed all at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import GROUND, Array, Indices, Pose
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Element, PointJoint, blocks_at, held_axes, rows
from looseends.mechanics.model import Mechanism, Poses
from looseends.mechanics.rows import turn_length


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


class Assembler:
    """Layout of rows, unknowns and columns of a mechanism, and its point joints as arrays."""

    def __init__(self, mechanism: Mechanism) -> None:
        self.mechanism = mechanism
        self.columns = columns_of(mechanism)
        self._bodies = [body.name for body in mechanism.bodies]
        design = mechanism.design_poses()
        counts = [_row_count(element, design) for element in mechanism.elements]
        starts = np.concatenate([[0], np.cumsum(counts)])
        self._size = int(starts[-1])
        joints = [n for n, element in enumerate(mechanism.elements) if isinstance(element, PointJoint)]
        self._joints = _PointJoints.of([mechanism.elements[n] for n in joints], starts[joints], self._bodies)
        self._others = [
            (element, int(starts[n]))
            for n, element in enumerate(mechanism.elements)
            if not isinstance(element, PointJoint)
        ]
        self._lay_unknowns(starts)
        self._gravity = np.zeros(6 * len(self._bodies))
        self._gravity[2::6] = [-body.mass * GRAVITY for body in mechanism.bodies]

    def _lay_unknowns(self, starts: Indices) -> None:
        blocks: list[Block] = []
        unknown_rows: list[int] = []
        self._names: dict[str, slice] = {}
        self._held: dict[str, Array] = {}
        for element, start in zip(self.mechanism.elements, starts, strict=False):
            own = blocks_at(element, len(unknown_rows))
            if not own:
                continue
            self._names[element.name] = slice(len(unknown_rows), own[-1].stop)
            axes = held_axes(element)
            if axes is not None:
                self._held[element.name] = axes
            unknown_rows.extend(int(start) + i for i in range(own[-1].stop - len(unknown_rows)))
            blocks.extend(own)
        self._unknown_rows = np.array(unknown_rows, dtype=np.intp)
        self._blocks = tuple(blocks)

    def system(self, poses: Poses) -> LinearSystem:
        """Linear system about `poses`, with gravity.

        Source: derived in docs/mechanics.md, "The linear system".
        """
        # The ground's columns are there while rows are laid, and fall away.
        J = np.zeros((self._size, 6 * len(self._bodies) + 6))
        offset, stiffness = np.zeros(self._size), np.zeros(self._size)
        self._joints.lay(poses, J, offset, stiffness)
        for element, start in self._others:
            part = rows(element, poses)
            inside = slice(start, start + len(part.stiffness))
            offset[inside], stiffness[inside] = part.offset, part.stiffness
            for body, on_body in part.on.items():
                if body != GROUND:
                    J[inside, self.columns[body]] += on_body
        root = np.sqrt(stiffness)
        return LinearSystem(
            J=root[:, None] * J[:, :-6],
            e0=root * offset,
            unknown_rows=self._unknown_rows,
            root=root[self._unknown_rows],
            blocks=self._blocks,
            joints=self._names,
            held=self._held,
            columns=self.columns,
            F=self._gravity.copy(),
        )


def columns_of(mechanism: Mechanism) -> dict[str, slice]:
    """Six columns of u per body, in the mechanism's order."""
    return {body.name: slice(6 * i, 6 * i + 6) for i, body in enumerate(mechanism.bodies)}


def _row_count(element: Element, design: Poses) -> int:
    if isinstance(element, PointJoint):
        return int(np.sum(element.stiffness > 0.0) + np.sum(element.rotational_stiffness > 0.0))
    return len(rows(element, design).stiffness)


@dataclass(frozen=True)
class _PointJoints:
    """Point joints as arrays (j, ...): numbers of their bodies (the ground last), points, axes, offsets, their rows.

    `kept` (r,) which of the 6·j candidate rows (three of translation, three of rotation each) have stiffness, `at`
    (r,) where they go, `stiffness` (r,).
    """

    bodies: Sequence[str]
    body_a: NDArray[np.intp]
    body_b: NDArray[np.intp]
    points: Array
    axes: Array
    offsets: Array
    kept: NDArray[np.intp]
    at: NDArray[np.intp]
    stiffness: Array

    @staticmethod
    def of(joints: Sequence[Element], starts: Indices, bodies: Sequence[str]) -> _PointJoints:
        numbers = {name: n for n, name in enumerate([*bodies, GROUND])}
        found = [joint for joint in joints if isinstance(joint, PointJoint)]
        every = np.array(
            [np.concatenate([j.stiffness, j.rotational_stiffness / turn_length() ** 2]) for j in found]
        ).reshape(-1, 6)
        within = np.cumsum(every > 0.0, axis=1) - 1
        kept = np.flatnonzero(every > 0.0)
        return _PointJoints(
            bodies=bodies,
            body_a=np.array([numbers[j.body_a] for j in found], dtype=np.intp),
            body_b=np.array([numbers[j.body_b] for j in found], dtype=np.intp),
            points=np.array([j.point for j in found]).reshape(-1, 3),
            axes=np.array([j.axes for j in found]).reshape(-1, 3, 3),
            offsets=np.array([j.offset for j in found]).reshape(-1, 3),
            kept=kept,
            at=(np.asarray(starts)[:, None] + within).reshape(-1)[kept],
            stiffness=every.reshape(-1)[kept],
        )

    def lay(self, poses: Poses, J: Array, offset: Array, stiffness: Array) -> None:
        """Put the joints' rows (without √stiffness), offsets and stiffnesses into place; see `rows.relative`."""
        if not len(self.points):
            return
        every = [*(poses[name] for name in self.bodies), Pose(np.zeros(3))]
        rotation = np.array([pose.rotation for pose in every])
        center = np.array([pose.center for pose in every])
        origin = center + np.array([pose.shift for pose in every])
        turn_a, turn_b = rotation[self.body_a], rotation[self.body_b]
        present = np.swapaxes(turn_a @ self.axes, 1, 2)
        at_a, at_b = (
            np.einsum("jkl,jl->jk", turn, self.points - center[body]) + origin[body]
            for turn, body in ((turn_a, self.body_a), (turn_b, self.body_b))
        )
        shift = np.einsum("jkl,jl->jk", present, at_b - at_a) + self.offsets
        turned = np.einsum("jlk,jl->jk", self.axes, rotation_vectors(np.swapaxes(turn_a, 1, 2) @ turn_b))
        offset[self.at] = np.hstack([shift, turn_length() * turned]).reshape(-1)[self.kept]
        stiffness[self.at] = self.stiffness
        for body, sign in ((self.body_a, -1.0), (self.body_b, 1.0)):
            block = np.zeros((len(self.points), 6, 6))
            block[:, :3, :3] = present
            block[:, :3, 3:] = np.cross((at_b - origin[body])[:, None, :], present) / turn_length()
            block[:, 3:, 3:] = present
            columns = (6 * body[:, None] + np.arange(6))[self.kept // 6]
            J[self.at[:, None], columns] += sign * block.reshape(-1, 6)[self.kept]


def rotation_vectors(rotations: Array) -> Array:
    """Rotation vectors (n, 3) [rad] of rotations (n, 3, 3), as `bodies.rotation_vector` gives one."""
    skew = rotations - np.swapaxes(rotations, 1, 2)
    axial = 0.5 * np.stack([skew[:, 2, 1], skew[:, 0, 2], skew[:, 1, 0]], axis=1)
    sine = np.linalg.norm(axial, axis=1)
    cosine = 0.5 * (np.trace(rotations, axis1=1, axis2=2) - 1.0)
    small = sine < 1e-12
    factor = np.where(small, 1.0, np.arctan2(sine, cosine) / np.where(small, 1.0, sine))
    return np.asarray(axial * factor[:, None])
