"""What joins bodies: point joints with clearance, springs, ratios, one-sided contacts.

Each element is plain data; `rows` gives its part of the linear system about a pose, `blocks_at` and `held_axes` its
clearance unknowns.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from looseends.mechanics.bodies import Array, Pose, rotation_vector
from looseends.mechanics.clearance import Block, Shape, blocks_of
from looseends.mechanics.ratios import Ratio
from looseends.mechanics.rows import Rows, displacement_rows, pose_of, relative, rotation_rows, turn_length
from looseends.mechanics.springs import Spring

__all__ = [
    "Contact", "Element", "PointJoint", "Ratio", "Rows", "Spring", "TorsionSpring", "blocks_at", "displacement_rows",
    "held_axes", "rotation_rows", "rows",
]  # fmt: skip


@dataclass(frozen=True)
class PointJoint:
    """Two bodies joined at a point.

    Parameters
    ----------
    axes : (3, 3) columns x, y across and z along, at the design pose; carried by `body_a`.
    stiffness : (3,) [N/mm]; zero: the axis is free.
    rotational_stiffness : (3,) [N·mm/rad].
    shape : how its clearance is bounded, None where the joint never has clearance.
    offset : (3,) [mm] relative displacement counted as already there at the design pose (preload = stiffness × it).
    """

    name: str
    body_a: str
    body_b: str
    point: Array
    axes: Array
    stiffness: Array
    rotational_stiffness: Array
    shape: Shape | None = None
    offset: Array = field(default_factory=lambda: np.zeros(3))

    @property
    def held(self) -> Array:
        """Which of the three axes the joint holds (3,) bool."""
        return np.asarray(self.stiffness > 0.0)

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The bodies that it joins."""
        return ((self.body_a, self.body_b),)

    def rows(self, poses: Mapping[str, Pose]) -> Rows:
        """Held axes first, then the axes that resist turning."""
        moved = relative(pose_of(poses, self.body_a), pose_of(poses, self.body_b), self.point, self.axes)
        kept = np.concatenate([self.held, self.rotational_stiffness > 0.0])
        stretch = np.concatenate([moved.shift + self.offset, turn_length() * moved.turn])
        return Rows(
            on={self.body_a: moved.rows_a[kept], self.body_b: moved.rows_b[kept]},
            stiffness=np.concatenate([self.stiffness, self.rotational_stiffness / turn_length() ** 2])[kept],
            offset=stretch[kept],
            unknowns=int(self.held.sum()) if self.shape is not None else 0,
        )


@dataclass(frozen=True)
class TorsionSpring:
    """A couple between two bodies about `axis` (3,), carried by `body_a`: rate [N·mm/rad] and the torque [N·mm]
    with which it turns `body_b` about +axis at the design pose."""

    name: str
    body_a: str
    body_b: str
    axis: Array
    rate: float
    torque: float

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The bodies that it joins."""
        return ((self.body_a, self.body_b),)

    def rows(self, poses: Mapping[str, Pose]) -> Rows:
        """One row: the angle about the axis, less torque/rate."""
        pose_a, pose_b = pose_of(poses, self.body_a), pose_of(poses, self.body_b)
        turn = rotation_vector(pose_a.rotation.T @ pose_b.rotation)
        about = rotation_rows((pose_a.rotation @ self.axis)[None, :])
        return Rows(
            on={self.body_a: -about, self.body_b: about},
            stiffness=np.array([self.rate / turn_length() ** 2]),
            offset=np.array([turn_length() * (float(self.axis @ turn) - self.torque / self.rate)]),
            unknowns=0,
        )


@dataclass(frozen=True)
class Contact:
    """A one-sided contact: `body_b` may leave `body_a` along `normal`, and presses when `gap` [mm] is used up.

    `point` (3,) [mm] is a point of both bodies at the design pose; stiffness [N/mm].
    """

    name: str
    body_a: str
    body_b: str
    point: Array
    normal: Array
    gap: float
    stiffness: float

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The bodies that it joins."""
        return ((self.body_a, self.body_b),)

    def rows(self, poses: Mapping[str, Pose]) -> Rows:
        """One row: the gap that is left along the normal."""
        pose_a, pose_b = pose_of(poses, self.body_a), pose_of(poses, self.body_b)
        at_b = pose_b.point(self.point)
        normal = (pose_a.rotation @ self.normal)[None, :]
        return Rows(
            on={
                self.body_a: -displacement_rows(pose_a, at_b, normal),
                self.body_b: displacement_rows(pose_b, at_b, normal),
            },
            stiffness=np.array([self.stiffness]),
            offset=np.array([float(normal[0] @ (at_b - pose_a.point(self.point))) + self.gap]),
            unknowns=1,
        )


Element = PointJoint | TorsionSpring | Contact | Spring | Ratio


def rows(element: Element, poses: Mapping[str, Pose]) -> Rows:
    """The element's rows about the given poses of its bodies (the ground is implied)."""
    return element.rows(poses)


def held_axes(element: Element) -> Array | None:
    """Which of x, y across and z along (3,) bool its clearance unknowns stand for; None where it has no clearance."""
    if isinstance(element, PointJoint):
        return element.held if element.shape is not None else None
    if isinstance(element, Spring):
        return element.loose if np.any(element.loose) else None
    if isinstance(element, Ratio):
        return np.array([True, False, False]) if element.lash else None
    return None


def blocks_at(element: Element, start: int) -> tuple[Block, ...]:
    """Blocks of the element's clearance unknowns, which begin at `start`."""
    if isinstance(element, Contact):
        return (Block("half-line", start, start + 1),)
    held = held_axes(element)
    if held is None:
        return ()
    if isinstance(element, PointJoint) and element.shape is not None:
        return blocks_of(element.shape, held, start)
    return tuple(Block("ball", start + i, start + i + 1) for i in range(int(np.sum(held))))
