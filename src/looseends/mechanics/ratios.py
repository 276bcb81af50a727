"""Ratios: movements of several bodies geared to each other, with lash and stiffness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import Array, Pose, axes_along
from looseends.mechanics.rows import Rows, pose_of, relative, turn_length


@dataclass(frozen=True)
class Turn:
    """Rotation of `body_b` against `body_a` about `axis` (3,), carried by `body_a`, times a lever [mm/rad].

    Counted from the design pose, less than half a turn either way.
    """

    body_a: str
    body_b: str
    axis: Array
    lever: float


@dataclass(frozen=True)
class Shift:
    """Movement [mm] of `body_b` against `body_a` at a design point (3,) along `axis` (3,), carried by `body_a`,
    times a factor."""

    body_a: str
    body_b: str
    point: Array
    axis: Array
    factor: float = 1.0


@dataclass(frozen=True)
class Ratio:
    """Σ lever × angle + Σ factor × movement = 0, kept by a stiffness, with lash: gear, rack and pinion, cable.

    The sum is a length [mm]. A steering box with ratio i between input and sector shaft, its teeth at the lever L:
    `(Turn(box, sector, axis, L), Turn(box, input, its_axis, -L / i))`. A rack that a pinion drives by `lead` mm per
    radian: `(Shift(housing, rack, point, axis), Turn(housing, pinion, its_axis, -lead))`.

    Parameters
    ----------
    stiffness : [N/mm] of the sum.
    lash : whether it has a clearance of shape "slot"; its `radial` is the total travel [mm] of the sum, so at the lever
        that was chosen.
    offset : [mm] the sum at the design pose; preload = stiffness × it.
    """

    name: str
    terms: tuple[Turn | Shift, ...]
    stiffness: float
    lash: bool = False
    offset: float = 0.0

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The bodies of each term."""
        return tuple((term.body_a, term.body_b) for term in self.terms)

    def rows(self, poses: Mapping[str, Pose]) -> Rows:
        """One row over all bodies of all terms. Derived in docs/mechanics.md, "Ratios"."""
        on: dict[str, Array] = {}
        total = self.offset
        for term in self.terms:
            value, on_a, on_b = _term(term, pose_of(poses, term.body_a), pose_of(poses, term.body_b))
            total += value
            for body, part in ((term.body_a, on_a), (term.body_b, on_b)):
                on[body] = on.get(body, np.zeros((1, 6))) + part
        return Rows(on, np.array([self.stiffness]), np.array([total]), int(self.lash))


def _term(term: Turn | Shift, pose_a: Pose, pose_b: Pose) -> tuple[float, Array, Array]:
    """Value [mm] of a term and its rows (1, 6) on both bodies; its axis is z of the axes along it."""
    if isinstance(term, Turn):
        moved = relative(pose_a, pose_b, pose_b.center, axes_along(term.axis))
        share = term.lever / turn_length()
        return term.lever * float(moved.turn[2]), share * moved.rows_a[5:6], share * moved.rows_b[5:6]
    moved = relative(pose_a, pose_b, term.point, axes_along(term.axis))
    return term.factor * float(moved.shift[2]), term.factor * moved.rows_a[2:3], term.factor * moved.rows_b[2:3]


def lash_at(angle: float, table: Array) -> float:
    """Lash, total travel [mm], of a gear at a steering angle [rad], straight between the entries of a table.

    `table` (n, 2) has angle [rad] and lash [mm] in its rows, angles rising; beyond its ends the end's lash stays.
    Most gears are tightest straight ahead, so that adjusting takes up wear there without jamming at full lock.

    Raises
    ------
    ValueError
        If the angles do not rise or a lash is negative.
    """
    angles, lash = table[:, 0], table[:, 1]
    if np.any(np.diff(angles) <= 0.0):
        raise ValueError(f"lash table has angles {angles.tolist()}; accepted are rising ones")
    if np.any(lash < 0.0):
        raise ValueError(f"lash table has a lash of {float(lash.min())} mm; accepted is 0 or more")
    return float(np.interp(angle, angles, lash))
