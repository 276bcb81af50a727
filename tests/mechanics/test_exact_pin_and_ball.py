"""Exact: why a pin is a disc and an interval, not an ellipsoid."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import Array
from looseends.mechanics.clearance import Clearance, Shape
from tests.mechanics.mechanisms import X, Z, hung_mass, look, pull, stroke_of

LOAD, HAND, RADIAL, AXIAL = 5000.0, 100.0, 1.0, 0.2


def _radial_stroke(shape: Shape, load: float) -> float:
    """Clearance passed through across the axis for ± HAND while `load` presses along it."""
    mechanism = hung_mass(shape)
    ends = []
    for sign in (-1.0, 1.0):
        hand: Array = sign * HAND * X + load * Z
        stroke = stroke_of(mechanism, [pull("mass", hand)], [look("mass", X)])
        ends.append(stroke.solve({"loose": Clearance(shape, RADIAL, AXIAL)}, 0.0, 1.0).last.g[0])
    return float(ends[1] - ends[0])


def test_an_axial_load_leaves_the_radial_play_of_a_pin() -> None:
    assert _radial_stroke("pin", LOAD) == pytest.approx(RADIAL, rel=1e-8)
    assert _radial_stroke("pin", 0.0) == pytest.approx(RADIAL, rel=1e-8)


def test_an_axial_load_hides_the_radial_play_of_an_ellipsoid() -> None:
    # Touching point D² F/|D F| with D = (r/2, r/2, a/2): its x is (r/2) · r H / √(r² H² + a² L²).
    share = RADIAL * HAND / np.hypot(RADIAL * HAND, AXIAL * LOAD)
    assert _radial_stroke("ball", LOAD) == pytest.approx(RADIAL * share, rel=1e-7)
    assert share < 0.1
    assert _radial_stroke("ball", 0.0) == pytest.approx(RADIAL, rel=1e-8)
