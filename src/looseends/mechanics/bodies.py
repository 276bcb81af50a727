"""Rigid bodies and their poses."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

GROUND = "ground"
"""Name of the body that never moves."""


@dataclass(frozen=True)
class Body:
    """A rigid body: name, mass [kg] and center of mass [mm] at the design pose."""

    name: str
    mass: float
    center: Array


@dataclass(frozen=True)
class Pose:
    """Where a body is: rotation (3, 3) and shift (3,) [mm] that carry design points to present ones.

    A design point x is now at `center + rotation @ (x - center) + shift`.
    """

    center: Array
    rotation: Array = field(default_factory=lambda: np.eye(3))
    shift: Array = field(default_factory=lambda: np.zeros(3))

    def point(self, design_point: Array) -> Array:
        """Present position (3,) [mm] of a design point (3,) [mm]."""
        return self.center + self.rotation @ (design_point - self.center) + self.shift

    @property
    def origin(self) -> Array:
        """Present position (3,) [mm] of the center, about which rotations are counted."""
        return self.center + self.shift

    def moved(self, translation: Array, rotation_vector: Array) -> Pose:
        """The pose after a further translation (3,) [mm] and rotation (3,) [rad] about the center."""
        return Pose(self.center, rotation_matrix(rotation_vector) @ self.rotation, self.shift + translation)


def cross_matrix(v: Array) -> Array:
    """Matrix (3, 3) with cross_matrix(v) @ w = v × w."""
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def rotation_matrix(rotation_vector: Array) -> Array:
    """Rotation (3, 3) about `rotation_vector` by its length [rad] (Rodrigues' formula)."""
    angle = float(np.linalg.norm(rotation_vector))
    if angle < 1e-12:
        return np.eye(3) + cross_matrix(rotation_vector)
    k = cross_matrix(rotation_vector / angle)
    return np.asarray(np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * (k @ k))


def rotation_vector(rotation: Array) -> Array:
    """Rotation vector (3,) [rad] of a rotation matrix (3, 3); for angles well below pi.

    Inverse of `rotation_matrix`: the axial part of R is sin(angle) times the axis.
    """
    axial = 0.5 * np.array(
        [rotation[2, 1] - rotation[1, 2], rotation[0, 2] - rotation[2, 0], rotation[1, 0] - rotation[0, 1]]
    )
    sine = float(np.linalg.norm(axial))
    cosine = 0.5 * (float(np.trace(rotation)) - 1.0)
    if sine < 1e-12:
        return axial
    return np.asarray(axial * (np.arctan2(sine, cosine) / sine))


def axes_along(axis: Array) -> Array:
    """Right-handed axes (3, 3), columns x, y, z, with z along `axis`.

    Raises
    ------
    ValueError
        If the axis has no length.
    """
    length = float(np.linalg.norm(axis))
    if length < 1e-9:
        raise ValueError("axis must have a length, found zero")
    z = axis / length
    # e × z for the x axis of the vehicle, or its y axis where z lies along x.
    x = np.array([0.0, -z[2], z[1]]) if abs(z[0]) < 0.9 else np.array([z[2], 0.0, -z[0]])
    x /= float(np.linalg.norm(x))
    y = np.array([z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0]])
    return np.column_stack([x, y, z])
