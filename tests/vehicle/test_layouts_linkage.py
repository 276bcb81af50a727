"""A millimetre lost at the steering arm, read at the tread: proportions from memory, computed from the points."""

from __future__ import annotations

import pytest

from looseends.catalogue.types import Axis
from tests.vehicle.other_vehicles import held, no_clearance, seen, shake_39


@pytest.mark.parametrize(
    ("name", "support", "joint", "axis", "at_tread"),
    [
        ("harbour-runabout", "ride", "outer-tie-rod-end-left", "radial", 2.5),
        ("harbour-runabout", "ride", "rack-inner-end-left", "axial", 2.5),
        ("pilots-sedan", "ride", "outer-tie-rod-end-left", "radial", 2.5),
        ("pilots-sedan", "ride", "inner-tie-rod-end-left", "radial", 2.5),
        ("crew-van", "axle", "drag-link-knuckle-end", "radial", 2.3),
        ("crew-van", "axle", "drag-link-pitman-end", "radial", 2.3),
    ],
)
def test_a_millimetre_at_the_steering_arm_moves_the_tread_by_its_lever(
    name: str, support: str, joint: str, axis: Axis, at_tread: float
) -> None:
    """Radius of the tire over the effective arm: 316 / 125, 338 / 133, 405 / 179; other joints without clearance."""
    worn = {**no_clearance(name), (joint, axis): 1.0}
    tread = seen(name, held(name, support), shake_39("left", 300.0), worn, point=("hub-left", "tread-front-left"))
    assert tread.free == pytest.approx(at_tread, abs=0.08)
