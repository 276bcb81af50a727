"""What joins bodies: point joints with clearance, torsion springs, one-sided contacts.

Each element is plain data; `rows` gives its part of the linear system about a pose:
B (k, 6·2) on the two bodies' displacements, stiffness (k,), offset d0 (k,) [mm], and how many of the first rows
carry a clearance unknown. Displacements of a body are (translation [mm], ROTATION_LENGTH × rotation [mm]).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from looseends.mechanics.bodies import Array, Pose, cross_matrix, rotation_vector
from looseends.mechanics.clearance import Shape
from looseends.mechanics.constants import ROTATION_LENGTH


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


Element = PointJoint | TorsionSpring | Contact


@dataclass(frozen=True)
class Rows:
    """Rows of one element: on_a, on_b (k, 6), stiffness (k,), offset (k,) and the count of clearance rows."""

    on_a: Array
    on_b: Array
    stiffness: Array
    offset: Array
    unknowns: int


def displacement_rows(pose: Pose, point: Array, directions: Array) -> Array:
    """Rows (k, 6) that give the displacement [mm] of the present `point` (3,) along `directions` (k, 3)."""
    turn = -cross_matrix(point - pose.origin) / ROTATION_LENGTH
    return np.hstack([directions, directions @ turn])


def rotation_rows(directions: Array) -> Array:
    """Rows (k, 6) that give the rotation, as ROTATION_LENGTH × angle [mm], about `directions` (k, 3)."""
    return np.hstack([np.zeros_like(directions), directions])


def rows(element: Element, pose_a: Pose, pose_b: Pose) -> Rows:
    """The element's rows about the given poses of its two bodies."""
    if isinstance(element, PointJoint):
        return _point_joint_rows(element, pose_a, pose_b)
    if isinstance(element, TorsionSpring):
        return _torsion_rows(element, pose_a, pose_b)
    return _contact_rows(element, pose_a, pose_b)


def _point_joint_rows(joint: PointJoint, pose_a: Pose, pose_b: Pose) -> Rows:
    held, turning = joint.held, joint.rotational_stiffness > 0.0
    present = (pose_a.rotation @ joint.axes).T
    at_a, at_b = pose_a.point(joint.point), pose_b.point(joint.point)
    shift = present @ (at_b - at_a) + joint.offset
    relative = pose_a.rotation.T @ pose_b.rotation
    turn = ROTATION_LENGTH * (joint.axes.T @ rotation_vector(relative))
    across, about = present[held], present[turning]
    return Rows(
        on_a=-np.vstack([displacement_rows(pose_a, at_a, across), rotation_rows(about)]),
        on_b=np.vstack([displacement_rows(pose_b, at_b, across), rotation_rows(about)]),
        stiffness=np.concatenate([joint.stiffness[held], joint.rotational_stiffness[turning] / ROTATION_LENGTH**2]),
        offset=np.concatenate([shift[held], turn[turning]]),
        unknowns=int(held.sum()) if joint.shape is not None else 0,
    )


def _torsion_rows(spring: TorsionSpring, pose_a: Pose, pose_b: Pose) -> Rows:
    relative = pose_a.rotation.T @ pose_b.rotation
    angle = float(spring.axis @ rotation_vector(relative)) - spring.torque / spring.rate
    about = (pose_a.rotation @ spring.axis)[None, :]
    return Rows(
        on_a=-rotation_rows(about),
        on_b=rotation_rows(about),
        stiffness=np.array([spring.rate / ROTATION_LENGTH**2]),
        offset=np.array([ROTATION_LENGTH * angle]),
        unknowns=0,
    )


def _contact_rows(contact: Contact, pose_a: Pose, pose_b: Pose) -> Rows:
    at_a, at_b = pose_a.point(contact.point), pose_b.point(contact.point)
    normal = (pose_a.rotation @ contact.normal)[None, :]
    return Rows(
        on_a=-displacement_rows(pose_a, at_a, normal),
        on_b=displacement_rows(pose_b, at_b, normal),
        stiffness=np.array([contact.stiffness]),
        offset=np.array([float(normal[0] @ (at_b - at_a)) + contact.gap]),
        unknowns=1,
    )
