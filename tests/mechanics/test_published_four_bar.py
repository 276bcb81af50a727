"""Published: the position of a four-bar linkage, found by `settle` with no position solver of its own.

R. L. Norton, Design of Machinery, Example 4-1 (from memory): links a 40, b 120, c 80, d 100 mm, crank at 40°. The book
prints θ4 = 57.33° and θ3 = 20.30° for the open assembly, -98.01° and -60.98° for the crossed one. It works on with
coefficients rounded to four places, so one unit of its last digit is the tolerance; Freudenstein's equation
K1 cos θ4 - K2 cos θ2 + K3 = cos(θ2 - θ4), solved exactly, gives the further digits: 57.3249°, 20.2979°.
"""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Body, rotation_vector
from looseends.mechanics.elements import TorsionSpring
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import settle
from tests.mechanics.mechanisms import ORIGIN, X, Z, joint

A, B, C, D = 40.0, 120.0, 80.0, 100.0
START = np.radians(90.0)
HELD = (1e6, 1e6, 0.0)


def _closed_form(theta2: float, branch: int) -> tuple[float, float]:
    """Coupler and rocker angle [rad] of Freudenstein's equation as a quadratic in tan(θ4/2)."""
    k1, k2, k3 = D / A, D / C, (A**2 - B**2 + C**2 + D**2) / (2.0 * A * C)
    a = np.cos(theta2) - k1 - k2 * np.cos(theta2) + k3
    b = -2.0 * np.sin(theta2)
    c = k1 - (k2 + 1.0) * np.cos(theta2) + k3
    theta4 = 2.0 * np.arctan2(-b - branch * np.sqrt(b**2 - 4.0 * a * c), 2.0 * a)
    y = C * np.sin(theta4) - A * np.sin(theta2)
    x = D + C * np.cos(theta4) - A * np.cos(theta2)
    wrapped = (theta4 + np.pi) % (2.0 * np.pi) - np.pi
    return float(np.arctan2(y, x)), float(wrapped)


def _settled_angles(theta2: float, branch: int) -> tuple[float, float]:
    """Angles after the crank, drawn at 90°, is turned to `theta2` by a stiff spring."""
    theta3, theta4 = _closed_form(START, branch)
    crank_end = A * np.array([np.cos(START), np.sin(START), 0.0])
    rocker_end = D * X + C * np.array([np.cos(theta4), np.sin(theta4), 0.0])
    rate = 1e9
    elements = (
        joint("crank-pin", GROUND, "crank", ORIGIN, 1e5, turning=HELD, shape=None),
        joint("coupler-pin", "crank", "coupler", crank_end, 1e5, turning=HELD, shape=None),
        joint("rocker-pin", "coupler", "rocker", rocker_end, 1e5, turning=HELD, shape=None),
        joint("ground-pin", GROUND, "rocker", D * X, 1e5, turning=HELD, shape=None),
        TorsionSpring("drive", GROUND, "crank", Z, rate, rate * (theta2 - START)),
    )
    centers = {
        "crank": 0.5 * crank_end,
        "coupler": 0.5 * (crank_end + rocker_end),
        "rocker": 0.5 * (rocker_end + D * X),
    }
    bodies = tuple(Body(name, 0.0, center) for name, center in centers.items())
    poses = settle(Mechanism(bodies, elements)).poses
    turned = {name: float(rotation_vector(poses[name].rotation)[2]) for name in centers}
    assert turned["crank"] == pytest.approx(theta2 - START, abs=1e-8)
    return theta3 + turned["coupler"], theta4 + turned["rocker"]


@pytest.mark.parametrize(("branch", "theta3", "theta4"), [(1, 20.30, 57.33), (-1, -60.98, -98.01)])
def test_norton_example_4_1(branch: int, theta3: float, theta4: float) -> None:
    found = np.degrees(_settled_angles(np.radians(40.0), branch))
    assert found == pytest.approx([theta3, theta4], abs=0.01)


@pytest.mark.parametrize("branch", [1, -1])
@pytest.mark.parametrize("theta2_deg", [40.0, 65.0, 120.0])
def test_freudenstein_closed_form(theta2_deg: float, branch: int) -> None:
    theta2 = np.radians(theta2_deg)
    assert _settled_angles(theta2, branch) == pytest.approx(_closed_form(theta2, branch), abs=1e-8)


def test_the_further_digits_of_the_open_assembly() -> None:
    assert np.degrees(_settled_angles(np.radians(40.0), 1)) == pytest.approx([20.2979, 57.3249], abs=5e-5)


def test_the_closed_form_of_this_file_closes_the_loop() -> None:
    for branch in (1, -1):
        theta3, theta4 = _closed_form(0.7, branch)
        ends = A * np.exp(0.7j) + B * np.exp(1j * theta3), D + C * np.exp(1j * theta4)
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)
