"""What every joint, spring, stop and support carries at each step of a stroke, as forces in vehicle axes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from looseends.mechanics.bodies import GROUND, Array
from looseends.mechanics.elements import Element
from looseends.mechanics.model import Poses


def element_forces(
    element: Element, poses: Poses, columns: Mapping[str, slice], u: Array, g: Array | None
) -> tuple[Array, Array]:
    """Force (n, 3) [N] with which an element presses its second body at n steps, and its size (n,) [N].

    `u` (n, 6 bodies) [mm] displacements about the poses; `g` (n, k) [mm] the clearance taken up in its k unknowns.
    The size counts the translations that carry an unknown alone, as `vehicle.shake` does, where there are any.

    Source: derived in docs/mechanics.md, "The linear system": f = k (offset + B u - g).
    """
    part = element.rows(poses)
    stretch = np.tile(part.offset, (len(u), 1))
    for body, on_body in part.on.items():
        if body != GROUND:
            stretch += u[:, columns[body]] @ on_body.T
    if g is not None:
        stretch[:, : g.shape[1]] -= g
    inner = part.stiffness * stretch
    second = element.pairs[0][1]
    on_second = part.on.get(second)
    force = np.zeros((len(u), 3)) if on_second is None else -(inner @ on_second)[:, :3]
    size = np.linalg.norm(inner[:, : g.shape[1]] if g is not None else force, axis=1)
    return force, size
