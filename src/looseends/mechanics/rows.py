"""Rows: an element's part of the linear system, and how bodies' movements enter it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import GROUND, Array, Pose, cross_matrix, rotation_vector
from looseends.mechanics.constants import ROTATION_LENGTH

_GROUND_POSE = Pose(np.zeros(3))


@dataclass(frozen=True)
class Rows:
    """Rows of one element about a pose.

    `on` body name -> (k, 6) on that body's displacements (translation [mm], ROTATION_LENGTH × rotation [mm]);
    stiffness (k,) [N/mm]; offset (k,) [mm] the stretch that is there already; the first `unknowns` rows carry a
    clearance unknown each.
    """

    on: Mapping[str, Array]
    stiffness: Array
    offset: Array
    unknowns: int


def pose_of(poses: Mapping[str, Pose], body: str) -> Pose:
    """Pose of a body; the ground stands where it was drawn."""
    return _GROUND_POSE if body == GROUND else poses[body]


def displacement_rows(pose: Pose, point: Array, directions: Array) -> Array:
    """Rows (k, 6) that give the displacement [mm] of the present `point` (3,) along `directions` (k, 3)."""
    turn = -cross_matrix(point - pose.origin) / ROTATION_LENGTH
    return np.hstack([directions, directions @ turn])


def rotation_rows(directions: Array) -> Array:
    """Rows (k, 6) that give the rotation, as ROTATION_LENGTH × angle [mm], about `directions` (k, 3)."""
    return np.hstack([np.zeros_like(directions), directions])


def turn_length() -> float:
    """Length [mm] that counts one radian of the rows of a rotation."""
    return ROTATION_LENGTH


@dataclass(frozen=True)
class Relative:
    """Movement of body b against body a at a design point, in axes (3, 3, columns) that body a carries.

    `shift` (3,) [mm] and `turn` (3,) [rad] are what it is now; `rows_a`, `rows_b` (6, 6) give its change: three rows of
    translation, three of ROTATION_LENGTH × rotation. Body a counts at the place where the point of body b is now:
    that is the slope of `shift`, and makes the forces on both bodies meet in one line.
    """

    shift: Array
    turn: Array
    rows_a: Array
    rows_b: Array


def relative(pose_a: Pose, pose_b: Pose, point: Array, axes: Array) -> Relative:
    """Movement of b against a from the design poses to the present ones.

    Source: rigid-body kinematics; derived in docs/mechanics.md, "The linear system".
    """
    present = (pose_a.rotation @ axes).T
    at_b = pose_b.point(point)
    about = rotation_rows(present)
    return Relative(
        shift=present @ (at_b - pose_a.point(point)),
        turn=np.asarray(axes.T @ rotation_vector(pose_a.rotation.T @ pose_b.rotation)),
        rows_a=-np.vstack([displacement_rows(pose_a, at_b, present), about]),
        rows_b=np.vstack([displacement_rows(pose_b, at_b, present), about]),
    )
