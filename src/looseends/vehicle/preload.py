"""How hard the springs push, so that the vehicle stands at its height."""

from __future__ import annotations

import numpy as np

from looseends.errors import MechanicsError
from looseends.language import refusal
from looseends.mechanics.bodies import Array
from looseends.mechanics.model import Mechanism, Poses
from looseends.mechanics.settle import contact_gaps, settle
from looseends.vehicle.build import build_mechanism, without_blocks
from looseends.vehicle.carrying import Preload
from looseends.vehicle.compose import FRAME
from looseends.vehicle.names import named, sides_of
from looseends.vehicle.setup import Setup
from looseends.vehicle.specimen import Specimen
from looseends.vehicle.vehicle import SIDES, Vehicle

_STANDING = Setup("", "wheels", None, "held", "off", 0.0)
_FIRST_GUESS, _STEP = 0.9, 0.01
_CLOSE_MM = 0.01


def carrying_preload(vehicle: Vehicle, specimen: Specimen, raised_mm: float = 0.0) -> Preload:
    """Preload of each end's springs that carries the vehicle, its front `raised_mm` above its design height.

    What its adjusters raise already, as an alteration, comes on top.
    Found on the settled heights of the frame over both axles, standing on its wheels, by Broyden's method; a height
    that the springs cannot give within their stops is refused. Lift blocks and spacers are left out: they raise a
    vehicle whose springs are as made.

    Raises
    ------
    MechanicsError
        If the height is not reached.
    """
    drawn, raised_mm = without_blocks(vehicle), raised_mm + vehicle.raised_mm
    ends = [wheel.end for wheel in drawn.layout.wheels]
    wanted = np.array([raised_mm if end == "front" else 0.0 for end in ends])
    poses: Poses | None = None

    def mechanism(values: Array) -> Mechanism:
        return build_mechanism(drawn, specimen, _STANDING, dict(zip(ends, values.tolist(), strict=True)))

    def missed(values: Array) -> Array:
        nonlocal poses
        poses = settle(mechanism(values), poses, tolerance=1e-4).poses
        return np.asarray(_heights(drawn, poses) - wanted)

    values = np.full(len(ends), _FIRST_GUESS)
    miss = missed(values)
    slopes = np.column_stack([(missed(values + step) - miss) / _STEP for step in _STEP * np.eye(len(ends))])
    for _ in range(20):
        if float(np.max(np.abs(miss))) < _CLOSE_MM and poses is not None:
            _refuse_pressed(vehicle, mechanism(values), poses, raised_mm)
            return dict(zip(ends, values.tolist(), strict=True))
        step = np.linalg.solve(slopes, -miss)
        values = values + step
        after = missed(values)
        slopes = slopes + np.outer(after - miss - slopes @ step, step) / float(step @ step)
        miss = after
    raise MechanicsError(
        refusal(
            "{id}: its springs cannot hold the frame {raised_mm} mm above its design height",
            id=vehicle.id,
            raised_mm=f"{raised_mm:g}",
        )
    )


def _heights(vehicle: Vehicle, poses: Poses) -> Array:
    """Rise [mm] of the frame over each axle."""
    middles = [
        np.mean([vehicle.point(f"{wheel.center}-{side}") for side in SIDES], axis=0) for wheel in vehicle.layout.wheels
    ]
    return np.array([poses[FRAME].point(middle)[2] - middle[2] for middle in middles])


def _refuse_pressed(vehicle: Vehicle, mechanism: Mechanism, poses: Poses, raised_mm: float) -> None:
    """Refuse a preload that stands the vehicle on one of its stops."""
    carrying = {named(air.id, side) for air in vehicle.layout.air_springs for side in sides_of(air.sided)}
    gaps = {name: gap for name, gap in contact_gaps(mechanism, poses).items() if name not in carrying}
    pressed = [name for name, gap in gaps.items() if gap < 0.0]
    if pressed:
        raise MechanicsError(
            refusal(
                "{id}: {raised_mm} mm above its design height it stands on {pressed}; accepted is a height "
                "that leaves every stop open",
                id=vehicle.id,
                raised_mm=f"{raised_mm:g}",
                pressed=pressed[0],
            )
        )
