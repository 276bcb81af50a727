"""Eliminating the displacements: S, f0 and the watch rows in the clearance unknowns alone.

With J = U Σ Vᵀ and P the projector on what J cannot reach, the energy after minimizing over u is
½ gᵀ S g - f0ᵀ g with S = Eᵀ P E and f0 = Eᵀ (P e0 + U Σ⁻¹ Vᵀ F). S is built as (Q₂ᵀE)ᵀ(Q₂ᵀE) from an orthogonal
basis Q₂ of the complement: the textbook formula A - A B K⁻¹ Bᵀ A loses ten digits and comes out indefinite.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.assembler import LinearSystem
from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Block
from looseends.mechanics.constants import NULL_FORCE_TOLERANCE, RANK_TOLERANCE


@dataclass(frozen=True)
class ReducedStroke:
    """A mechanism at one pose under base load plus `share` times one hand load, in the unknowns g alone.

    S (p, p) [N/mm]; f_base, f_hand (p,) [N]; per watch: rows on g (k, p), base and hand parts (k,) [mm];
    root (p,) √stiffness of each unknown's own joint, as in the LinearSystem.
    Joint forces are f = f_base + share·f_hand - S g; movement = base + share·hand + on_g @ g.
    """

    S: Array
    f_base: Array
    f_hand: Array
    blocks: tuple[Block, ...]
    joints: Mapping[str, slice]
    held: Mapping[str, Array]
    watch_names: tuple[str, ...]
    watch_on_g: tuple[Array, ...]
    watch_base: tuple[Array, ...]
    watch_hand: tuple[Array, ...]
    root: Array


@dataclass(frozen=True)
class Factors:
    """Singular value factors of J, kept so that many loads share them."""

    system: LinearSystem
    U: Array
    sigma: Array
    V: Array
    complement: Array
    null: Array


def factor(system: LinearSystem) -> Factors:
    """Factor J once per pose."""
    U, sigma, Vt = np.linalg.svd(system.J, full_matrices=True)
    rank = int(np.sum(sigma > RANK_TOLERANCE * sigma[0]))
    return Factors(system, U[:, :rank], sigma[:rank], Vt[:rank].T, U[:, rank:], Vt[rank:].T)


def displacement(factors: Factors, F: Array, g: Array) -> Array:
    """Displacements u (n,) for load F (n,) [N] and clearances taken up g (p,) [mm].

    Raises
    ------
    MechanicsError
        If F drives a mechanism that nothing holds.
    """
    _refuse_unheld(factors, F)
    b = -factors.system.e0.copy()
    b[factors.system.unknown_rows] += factors.system.root * g
    inner = factors.U.T @ b + (factors.V.T @ F) / factors.sigma
    return np.asarray(factors.V @ (inner / factors.sigma))


def reduce_stroke(factors: Factors, F_hand: Array, watches: Sequence[tuple[str, Array]]) -> ReducedStroke:
    """Eliminate u for the base load (gravity, preloads) and one hand load; watches are (name, rows (k, n)).

    Raises
    ------
    MechanicsError
        If a load drives a mechanism that nothing holds.
    """
    system = factors.system
    _refuse_unheld(factors, system.F)
    _refuse_unheld(factors, F_hand)
    p = len(system.root)
    E_complement = factors.complement[system.unknown_rows].T * system.root
    E_range = factors.U[system.unknown_rows].T * system.root
    e0_complement = factors.complement.T @ system.e0

    def pulled(F: Array) -> Array:
        return np.asarray((factors.V.T @ F) / factors.sigma)

    def u_of(inner: Array) -> Array:
        return np.asarray(factors.V @ (inner.T / factors.sigma).T)

    u_g, u_base = u_of(E_range), u_of(pulled(system.F) - factors.U.T @ system.e0)
    u_hand = u_of(pulled(F_hand))
    return ReducedStroke(
        S=E_complement.T @ E_complement if p else np.zeros((0, 0)),
        f_base=E_complement.T @ e0_complement + E_range.T @ pulled(system.F),
        f_hand=E_range.T @ pulled(F_hand),
        blocks=system.blocks,
        joints=system.joints,
        held=system.held,
        watch_names=tuple(name for name, _ in watches),
        watch_on_g=tuple(W @ u_g for _, W in watches),
        watch_base=tuple(W @ u_base for _, W in watches),
        watch_hand=tuple(W @ u_hand for _, W in watches),
        root=system.root,
    )


def _refuse_unheld(factors: Factors, F: Array) -> None:
    if factors.null.shape[1] == 0:
        return
    along = factors.null.T @ F
    worst = int(np.argmax(np.abs(along)))
    if abs(along[worst]) > NULL_FORCE_TOLERANCE * max(1.0, float(np.linalg.norm(F))):
        motion = factors.null @ along
        bodies = factors.system.columns
        body = max(bodies, key=lambda name: float(np.linalg.norm(motion[bodies[name]])))
        raise MechanicsError(
            refusal(
                'nothing holds "{body}" against its load: there the mechanism falls apart or moves freely', body=body
            )
        )
