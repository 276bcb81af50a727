"""Ready-made groups of elements for one real part."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.bodies import Array, axes_along
from looseends.mechanics.elements import PointJoint
from looseends.mechanics.springs import Spring, axial_spring


def strut(
    name: str, tube: str, rod: str, lower: Array, upper: Array, *, guide_stiffness: float, rate: float, preload: float
) -> tuple[PointJoint, PointJoint, Spring]:
    """A strut: the rod slides in the tube on two guides, with a coil along it.

    The guides, `name`-piston at the design point `lower` (3,) [mm] and `name`-gland at `upper`, are pins that hold
    across the axis only: guide_stiffness [N/mm] each. The piston goes with the rod and the gland stays with the tube:
    the span between them grows as the strut is pushed in. Each may have lash, and a seat (the friction of its seal).
    The coil `name`-coil has a rate [N/mm] and pushes the rod out with `preload` [N] at the design pose. The rod turns
    freely about its axis; what stops that is the caller's.
    """
    axis = upper - lower
    axes, across = axes_along(axis), np.array([guide_stiffness, guide_stiffness, 0.0])
    # A joint acts at the point of its second body.
    piston = PointJoint(f"{name}-piston", tube, rod, lower, axes, across, np.zeros(3), "pin")
    gland = PointJoint(f"{name}-gland", rod, tube, upper, axes, across, np.zeros(3), "pin")
    return piston, gland, axial_spring(f"{name}-coil", tube, rod, upper, axis, rate, preload)
