"""Exact: the range of a movement where a free mechanism leaves the state open, worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.elements import Contact
from looseends.mechanics.model import Mechanism
from looseends.mechanics.movement_range import movement_range
from tests.mechanics.mechanisms import ORIGIN, Stroke, X, Z, joint, look, pull, stroke_of

K = 800.0
WORN = {"near": Clearance("pin", 0.4, 0.3), "far": Clearance("pin", 0.6, 0.5)}


def _two_in_series(force: Array, watched: Array) -> Stroke:
    """Ground, near pin, middle body, far pin, end body: no spring anywhere."""
    elements = (
        joint("near", GROUND, "middle", ORIGIN, K, turning=1e7, shape="pin"),
        joint("far", "middle", "end", ORIGIN, K, turning=1e7, shape="pin"),
    )
    mechanism = Mechanism((Body("middle", 0.0, ORIGIN), Body("end", 0.0, ORIGIN)), elements)
    return stroke_of(mechanism, [pull("end", force)], [look("end", watched)])


def _range(stroke: Stroke, first: float = -1.0, worn: dict[str, Clearance] | None = None) -> tuple[float, float]:
    worn = WORN if worn is None else worn
    answer = stroke.solve(worn, first)
    return movement_range(stroke.reduced, stroke.arrays(worn), answer, "movement", first, 1.0)


def test_where_the_load_acts_the_movement_is_a_point() -> None:
    # Both joints in series carry F: c1 + c2 + 4 F/k, and no other state has so little energy.
    whole = 0.4 + 0.6 + 4.0 * 100.0 / K
    assert _range(_two_in_series(100.0 * X, X)) == pytest.approx((whole, whole), rel=1e-7)


def test_where_nothing_acts_it_may_be_anything_up_to_all_the_clearance() -> None:
    # Across the load both intervals are free at both ends: each end stands anywhere within ± (0.3 + 0.5)/2.
    assert _range(_two_in_series(100.0 * X, Z)) == pytest.approx((0.0, 0.8), abs=1e-6)


def test_from_rest_to_a_load_it_is_bounded_on_both_sides() -> None:
    # At rest anywhere within ± 0.4 along the pins; loaded at 0.4 + 2 F/k: from 2 F/k to 0.8 + 2 F/k.
    elastic = 2.0 * 100.0 / K
    assert _range(_two_in_series(100.0 * Z, Z), first=0.0) == pytest.approx((elastic, 0.8 + elastic), abs=1e-6)


def test_a_spring_across_the_load_leaves_no_choice() -> None:
    stroke = _two_in_series(100.0 * X, Z)
    soft = joint("soft", GROUND, "end", ORIGIN, [0.0, 0.0, 0.5], shape=None)
    held = Mechanism(stroke.mechanism.bodies, (*stroke.mechanism.elements, soft))
    again = stroke_of(held, [pull("end", 100.0 * X)], [look("end", Z)])
    assert _range(again) == pytest.approx((0.0, 0.0), abs=1e-7)


def test_a_ball_that_is_loaded_leaves_no_choice_across_the_load() -> None:
    # Touching with force, the ball stays at its farthest point: sideways there is none of the interval's freedom.
    worn = {name: Clearance("ball", c.radial, c.axial) for name, c in WORN.items()}
    elements = tuple(
        joint(e.name, e.body_a, e.body_b, ORIGIN, K, turning=1e7)
        for e in _two_in_series(100.0 * X, Z).mechanism.elements
    )
    bodies = (Body("middle", 0.0, ORIGIN), Body("end", 0.0, ORIGIN))
    stroke = stroke_of(Mechanism(bodies, elements), [pull("end", 100.0 * X)], [look("end", Z)])
    assert _range(stroke, worn=worn) == pytest.approx((0.0, 0.0), abs=1e-7)


def test_a_mechanism_that_costs_nothing_goes_round_a_ball_and_a_pin_together() -> None:
    # A ball's axes and a pin's disc share one free direction at 45°: r/2 of the disc plus the ball's half width along
    # d = (1, 1)/√2, √((a d_x)² + (b d_z)²), both ways at both ends: twice their sum.
    pin, ball = Clearance("pin", 0.4, 0.3), Clearance("ball", 0.6, 0.2)
    along = (X + Z) / np.sqrt(2.0)
    elements = (
        joint("near", GROUND, "middle", ORIGIN, K, turning=1e7, shape="pin"),
        joint("far", "middle", "end", ORIGIN, K, turning=1e7, shape="ball"),
    )
    mechanism = Mechanism((Body("middle", 0.0, ORIGIN), Body("end", 0.0, ORIGIN)), elements)
    stroke = stroke_of(mechanism, [pull("end", ORIGIN)], [look("end", along)])
    reach = (0.2 + 0.15) / np.sqrt(2.0) + np.hypot(0.3, 0.1) / np.sqrt(2.0)
    assert _range(stroke, worn={"near": pin, "far": ball}) == pytest.approx((0.0, 2.0 * reach), abs=1e-6)


def test_an_open_contact_bounds_the_range_on_its_own_side() -> None:
    # The end body floats in the pin's interval, ± 0.15, with a stop 0.05 mm under it: from -0.05 up to + 0.15.
    worn = {"near": Clearance("pin", 0.4, 0.3)}
    elements = (
        joint("near", GROUND, "middle", ORIGIN, K, turning=1e7, shape="pin"),
        Contact("stop", GROUND, "middle", ORIGIN, Z, 0.05, 1000.0),
    )
    stroke = stroke_of(
        Mechanism((Body("middle", 0.0, ORIGIN),), elements), [pull("middle", 50.0 * X)], [look("middle", Z)]
    )
    assert _range(stroke, worn=worn) == pytest.approx((0.0, 0.2), abs=1e-6)
