"""Exact: where an arm on a torsion spring comes to rest, against a scalar moment balance.

An arm of mass m and length L lies along +x on a pivot at the origin; turned down by θ, gravity's moment is
m g L cos θ, the spring's κ θ - M. With a stop under it at radius s, gap d: the stop meets the arm's point at
depth s sin θ + w - d, with w the pivot's own give, and presses with N at the lever s cos θ.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Body, rotation_vector
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, TorsionSpring
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import settle
from tests.mechanics.mechanisms import ORIGIN, X, Y, Z, joint, pull

MASS, LENGTH, RATE, PRELOAD = 40.0, 350.0, 4.0e5, 5.0e4
PIVOT, STOP, AT = 2.0e4, 1500.0, 200.0
WEIGHT = MASS * GRAVITY


def _arm(gap: float | None) -> Mechanism:
    elements: list[Element] = [
        joint("pivot", GROUND, "arm", ORIGIN, PIVOT, turning=[1e10, 0.0, 1e10], shape="ball"),
        # About +y a positive turn carries +x down; the preload lifts, so it turns about -y.
        TorsionSpring("bar", GROUND, "arm", Y, RATE, -PRELOAD),
    ]
    if gap is not None:
        elements.append(Contact("stop", GROUND, "arm", AT * X, Z, gap, STOP))
    return Mechanism((Body("arm", MASS, LENGTH * X),), tuple(elements))


def _droop_by_hand(gap: float | None, force: float = 0.0) -> float:
    down = WEIGHT + force

    def moment(theta: float) -> float:
        free = down * LENGTH * np.cos(theta) - PRELOAD - RATE * theta
        if gap is None:
            return float(free)
        # N = k_c (s sin θ + (W - N)/k - d), solved for N.
        depth = AT * np.sin(theta) + down / PIVOT - gap
        press = max(0.0, STOP * depth / (1.0 + STOP / PIVOT))
        return float(free - press * AT * np.cos(theta))

    return float(brentq(moment, -1.0, 1.0, xtol=1e-14))


@pytest.mark.parametrize("gap", [None, 60.0, 40.0, 20.0, 0.0, -5.0])
def test_droop_of_an_arm_with_and_without_a_stop(gap: float | None) -> None:
    expected = _droop_by_hand(gap)
    settled = settle(_arm(gap), tolerance=1e-9)
    turned = rotation_vector(settled.poses["arm"].rotation)
    assert turned == pytest.approx([0.0, expected, 0.0], abs=1e-9)


def test_the_droop_tried_here_is_a_finite_rotation_and_the_stop_matters() -> None:
    assert _droop_by_hand(None) > 0.2
    assert _droop_by_hand(60.0) == pytest.approx(_droop_by_hand(None), abs=1e-12)
    assert _droop_by_hand(40.0) < _droop_by_hand(None) - 0.001
    assert _droop_by_hand(20.0) < 0.6 * _droop_by_hand(None)


def test_a_further_force_turns_it_further() -> None:
    settled = settle(_arm(20.0), forces=(pull("arm", -100.0 * Z, LENGTH * X),), tolerance=1e-9)
    turned = rotation_vector(settled.poses["arm"].rotation)
    assert turned[1] == pytest.approx(_droop_by_hand(20.0, 100.0), abs=1e-9)


def test_it_settles_to_the_same_place_from_elsewhere() -> None:
    mechanism = _arm(20.0)
    start = {"arm": mechanism.design_poses()["arm"].moved(np.array([30.0, -20.0, 60.0]), np.array([0.2, -0.3, 0.1]))}
    here, there = settle(mechanism, tolerance=1e-9), settle(mechanism, start, tolerance=1e-9)
    assert there.poses["arm"].shift == pytest.approx(here.poses["arm"].shift, abs=1e-7)
    assert there.poses["arm"].rotation == pytest.approx(here.poses["arm"].rotation, abs=1e-9)


def test_what_cannot_settle_is_refused() -> None:
    # A weight beyond what any turn of this soft bar can carry: the arm swings past its lowest point and on.
    soft = Mechanism(
        (Body("arm", MASS, LENGTH * X),),
        (
            joint("pivot", GROUND, "arm", ORIGIN, PIVOT, turning=[1e10, 0.0, 1e10], shape=None),
            TorsionSpring("bar", GROUND, "arm", Y, 1.0, 0.0),
        ),
    )
    with pytest.raises(MechanicsError, match=r"does not settle in this support: still moving .* mm a step"):
        settle(soft)
