"""Springs between two bodies: any stiffness of six by six, with a preload, and the usual ones ready-made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import Array, Pose, axes_along
from looseends.mechanics.rows import Relative, Rows, pose_of, relative, turn_length

_NEGLIGIBLE = 1e-11
"""Eigenvalues below this share of the largest are no stiffness."""


@dataclass(frozen=True)
class Spring:
    """A linear spring between two bodies at a point: leaf, twist beam, bushing, coil or air spring.

    Parameters
    ----------
    axes : (3, 3) columns x, y, z at the design pose; carried by `body_a`.
    stiffness : (6, 6) from the movement of b against a (translations [mm], rotations [rad]) to force [N] and couple
        [N·mm]; symmetric, not negative, of any rank: an axis without stiffness is free.
    preload : (6,) force [N] and couple [N·mm] with which it pushes `body_b` at the design pose.
    loose : (3,) which translation axes may have lash, a seat or be softened, each for itself.
    bows : [mm] length of a beam along z that draws its end toward its clamp as it bends; 0: the end keeps its distance,
        good for small movements.

    Raises
    ------
    MechanicsError
        If the axes are left-handed, the stiffness is not symmetric or is negative, the preload acts where there is no
        stiffness, or a loose axis has no stiffness or is coupled with another loose one.
    """

    name: str
    body_a: str
    body_b: str
    point: Array
    axes: Array
    stiffness: Array
    preload: Array = field(default_factory=lambda: np.zeros(6))
    loose: Array = field(default_factory=lambda: np.zeros(3, dtype=bool))
    bows: float = 0.0

    def __post_init__(self) -> None:
        if np.linalg.det(self.axes) < 0.0:
            # A mirrored part needs its own axes: in left-handed ones a couple would change its sign.
            raise MechanicsError(
                refusal('spring "{spring}": the axes are left-handed; accepted are right-handed ones', spring=self.name)
            )
        K = _even(self.stiffness)
        size = float(np.max(np.abs(K)))
        if not np.allclose(K, K.T, rtol=0.0, atol=1e-9 * size):
            raise MechanicsError(
                refusal(
                    'spring "{spring}": the stiffness is not symmetric; accepted is a symmetric one', spring=self.name
                )
            )
        if float(np.linalg.eigvalsh(K)[0]) < -1e-9 * size:
            raise MechanicsError(
                refusal(
                    'spring "{spring}": the stiffness is negative in some direction; accepted is none', spring=self.name
                )
            )
        push = self.preload / _unit()
        if float(np.linalg.norm(K @ (_inverse(K) @ push) - push)) > 1e-6 * float(np.linalg.norm(push)):
            raise MechanicsError(
                refusal(
                    'spring "{spring}": the preload acts along an axis without stiffness; accepted is one that '
                    "the spring can carry",
                    spring=self.name,
                )
            )
        picked = K[np.ix_(self._loose_axes, self._loose_axes)]
        apart = np.count_nonzero(np.abs(picked) > 1e-9 * size) == len(picked)
        if not apart or np.any(np.diag(picked) <= 1e-9 * size):
            raise MechanicsError(
                refusal(
                    'spring "{spring}": loose axes are coupled or without stiffness; accepted are axes that have '
                    "their own stiffness, apart from each other",
                    spring=self.name,
                )
            )

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """The bodies that it joins."""
        return ((self.body_a, self.body_b),)

    @property
    def _loose_axes(self) -> list[int]:
        return [int(axis) for axis in np.flatnonzero(self.loose)]

    def rows(self, poses: Mapping[str, Pose]) -> Rows:
        """A root of the stiffness, so that its rows' energies add up to the spring's.

        The loose axes come first, one row each that only its own axis enters of them (a step of Cholesky's
        factorization each); what is left of the stiffness follows by its eigenvectors. Derived in docs/mechanics.md,
        "Springs".
        """
        K, loose = _even(self.stiffness), self._loose_axes
        own = K[loose, loose]
        ahead = K[loose] / own[:, None]
        values, vectors = np.linalg.eigh(K - ahead.T @ (own[:, None] * ahead))
        kept = values > _NEGLIGIBLE * float(np.max(np.diag(K), initial=0.0))
        mix = np.vstack([ahead, vectors[:, kept].T])
        moved = relative(pose_of(poses, self.body_a), pose_of(poses, self.body_b), self.point, self.axes)
        moved = _bowed(moved, self.bows) if self.bows else moved
        already = np.concatenate([moved.shift, moved.turn]) * _unit() - _inverse(K) @ (self.preload / _unit())
        return Rows(
            on={self.body_a: mix @ moved.rows_a, self.body_b: mix @ moved.rows_b},
            stiffness=np.concatenate([own, values[kept]]),
            offset=mix @ already,
            unknowns=len(loose),
        )


def _bowed(moved: Relative, length: float) -> Relative:
    """The movement of a beam's end, its shift along the beam counted from where bending has drawn it.

    Half the integral of the slope squared over the cubic that shift and turn of the end give.
    Source: geometric stiffness of the Euler-Bernoulli beam, any handbook of the finite element method; from memory.
    """
    shift, rows_a, rows_b = moved.shift.copy(), moved.rows_a.copy(), moved.rows_b.copy()
    # turning about +y carries the end along +x, turning about +x along -y
    for across, about, sign in ((0, 1, 1.0), (1, 0, -1.0)):
        w, slope = moved.shift[across], sign * moved.turn[about]
        shift[2] += 0.6 * w**2 / length - 0.1 * w * slope + length * slope**2 / 15.0
        by_shift = 1.2 * w / length - 0.1 * slope
        by_turn = sign * (2.0 * length * slope / 15.0 - 0.1 * w) / turn_length()
        for target, source in ((rows_a, moved.rows_a), (rows_b, moved.rows_b)):
            target[2] += by_shift * source[across] + by_turn * source[3 + about]
    return Relative(shift, moved.turn, rows_a, rows_b)


def _unit() -> Array:
    """What counts a movement (translations [mm], rotations [rad]) in mm (6,)."""
    return np.array([1.0, 1.0, 1.0, *[turn_length()] * 3])


def _even(stiffness: Array) -> Array:
    return np.asarray(stiffness / np.outer(_unit(), _unit()))


def _inverse(K: Array) -> Array:
    """Inverse on what the stiffness holds, zero on the rest."""
    return np.asarray(np.linalg.pinv(K, rcond=_NEGLIGIBLE, hermitian=True))


def axial_spring(
    name: str, body_a: str, body_b: str, point: Array, axis: Array, rate: float, preload: float = 0.0
) -> Spring:
    """A coil or air spring: rate [N/mm] along `axis` (carried by `body_a`) and free otherwise.

    `preload` [N] pushes `body_b` along +axis at the design pose.
    """
    push = np.array([0.0, 0.0, preload, 0.0, 0.0, 0.0])
    stiffness = np.diag([0.0, 0.0, rate, 0.0, 0.0, 0.0])
    return Spring(name, body_a, body_b, point, axes_along(axis), stiffness, push)


def beam_stiffness(length: float, tension: float, bending_x: float, bending_y: float, torsion: float) -> Array:
    """Stiffness (6, 6) of a straight beam along z, clamped at body a, for the movement of its end at body b.

    Parameters
    ----------
    length : [mm]; the `Spring` stands at the end's point, body a carries the other end.
    tension : E·A [N].
    bending_x, bending_y : E·I for bending about x and about y [N·mm²].
    torsion : G·J [N·mm²].

    Source: Euler and Bernoulli's beam; the end-loaded cantilever (P L³/3EI, P L²/2EI, M L²/2EI, M L/EI) of any handbook
    of structures, inverted; from memory.
    """
    L = length
    K = np.diag([
        12.0 * bending_y / L**3, 12.0 * bending_x / L**3, tension / L,
        4.0 * bending_x / L, 4.0 * bending_y / L, torsion / L,
    ])  # fmt: skip
    # Turning about +y carries the end along +x, turning about +x along -y.
    K[0, 4] = K[4, 0] = -6.0 * bending_y / L**2
    K[1, 3] = K[3, 1] = 6.0 * bending_x / L**2
    return K
