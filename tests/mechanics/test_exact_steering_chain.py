"""Exact: free travel and elastic movement of a wheel at the end of a loose steering linkage, worked by hand.

Plan view. The king pin stands at the origin, the wheel's tread R ahead of it. The tie rod lies along the unit vector
e = (sin β, cos β); the knuckle's arm of length r_a is square to it. The center link slides along y only (its rails
carry the sideways share of the rod's force), held by the pitman arm's ball at r_p from the sector shaft; the gear
holds that arm at r_g from the shaft. Push and pull at front and rear of the tread make the couple 2 F R.

  Balance.     rod force              T = 2 F R / r_a
               link along y           T cos β            at the pitman ball
               gear                   ρ T cos β          with ρ = r_p / r_g
               sector shaft           (ρ - 1) T cos β
  Virtual work on each element (its own force times its own movement) gives the arm's end along the rod:
               δ = c_o/2 + c_i/2 + cos β (c_p/2 + ρ c_g/2)
                   + T (1/k_o + 1/k_i + cos²β (1/k_p + ρ²/k_g + (ρ-1)²/k_s) + sin²β/k_l + 1/k_k)
  Wheel.       turns by θ = δ / r_a; the king pin's own give T/k_k also carries the tread along e:
               tread (y)              R δ / r_a + cos β T / k_k            one way; a gauge reads twice that
  Free travel  (R / r_a) (c_o + c_i + cos β (c_p + ρ c_g))
"""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.model import Mechanism
from tests.mechanics.mechanisms import ORIGIN, Stroke, X, Y, Z, joint, look, pull, stroke_of

R, ARM, PITMAN, GEAR, FORCE = 400.0, 150.0, 160.0, 100.0, 150.0
K_OUTER, K_INNER, K_PITMAN, K_GEAR, K_SHAFT, K_LINK, K_KING = 9e3, 8e3, 7e3, 6e3, 2e4, 1.5e4, 3e4
RHO = PITMAN / GEAR
CLEARANCE = {"outer": 0.5, "inner": 0.4, "pitman-ball": 0.3, "gear": 0.2}


def _chain(beta: float) -> Stroke:
    along = np.array([np.sin(beta), np.cos(beta), 0.0])
    arm_end = ARM * np.array([-np.cos(beta), np.sin(beta), 0.0])
    inner = arm_end - 350.0 * along
    ball = inner - 300.0 * Y
    shaft = ball + PITMAN * X
    bodies = [("pitman", shaft), ("link", inner), ("rod", 0.5 * (arm_end + inner)), ("knuckle", ORIGIN)]
    across_y: Array = np.column_stack([Y, -X, Z])
    elements = (
        joint("shaft", GROUND, "pitman", shaft, K_SHAFT, turning=[1e9, 1e9, 0.0], shape=None),
        joint("gear", GROUND, "pitman", shaft - GEAR * X, [K_GEAR, 0.0, 0.0], axes=across_y, shape="slot"),
        joint("pitman-ball", "link", "pitman", ball, [K_PITMAN, 0.0, K_PITMAN], axes=across_y, shape="pin"),
        joint("rails", GROUND, "link", inner, [K_LINK, 0.0, K_LINK], turning=1e12, shape=None),
        joint("inner", "rod", "link", inner, K_INNER),
        joint("outer", "rod", "knuckle", arm_end, K_OUTER),
        joint("king-pin", GROUND, "knuckle", ORIGIN, K_KING, turning=[1e12, 1e12, 0.0], shape=None),
    )
    mechanism = Mechanism(tuple(Body(name, 0.0, center) for name, center in bodies), elements)
    couple = [pull("knuckle", FORCE * Y, R * X), pull("knuckle", -FORCE * Y, -R * X)]
    return stroke_of(mechanism, couple, [look("knuckle", Y, R * X)])


def _worn(**travel: float) -> dict[str, Clearance]:
    shapes = {"outer": "ball", "inner": "ball", "pitman-ball": "pin", "gear": "slot"}
    given = {name.replace("_", "-"): value for name, value in travel.items()}
    return {name: Clearance(shapes[name], value, 0.3) for name, value in given.items()}  # type: ignore[arg-type]


def _by_hand(beta: float, c_o: float, c_i: float, c_p: float, c_g: float) -> tuple[float, float]:
    cos, sin = np.cos(beta), np.sin(beta)
    T = 2.0 * FORCE * R / ARM
    give = 1 / K_OUTER + 1 / K_INNER + sin**2 / K_LINK + 1 / K_KING
    give += cos**2 * (1 / K_PITMAN + RHO**2 / K_GEAR + (RHO - 1.0) ** 2 / K_SHAFT)
    free = R / ARM * (c_o + c_i + cos * (c_p + RHO * c_g))
    return free + 2.0 * (R / ARM * T * give + cos * T / K_KING), free


@pytest.mark.parametrize("beta_deg", [0.0, 12.0, -25.0])
def test_free_travel_at_the_tread_is_the_sum_of_clearances_times_their_levers(beta_deg: float) -> None:
    beta = np.radians(beta_deg)
    stroke = _chain(beta)
    worn = _worn(outer=0.5, inner=0.4, pitman_ball=0.3, gear=0.2)
    movement = stroke.solve(worn).movements["movement"]
    total, free = _by_hand(beta, 0.5, 0.4, 0.3, 0.2)
    assert movement.free == pytest.approx(free, rel=1e-7)
    assert movement.total == pytest.approx(total, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "lever"),
    [("outer", 1.0), ("inner", 1.0), ("pitman_ball", np.cos(0.2)), ("gear", RHO * np.cos(0.2))],
)
def test_each_joint_alone_shows_its_own_lever(name: str, lever: float) -> None:
    movement = _chain(0.2).solve(_worn(**{name: 1.0})).movements["movement"]
    assert movement.free == pytest.approx(R / ARM * lever, rel=1e-7)


def test_every_joint_carries_the_force_that_the_levers_give() -> None:
    beta = 0.2
    stroke = _chain(beta)
    answer = stroke.solve(_worn(outer=0.5, inner=0.4, pitman_ball=0.3, gear=0.2))
    T = 2.0 * FORCE * R / ARM
    expected = {"outer": T, "inner": T, "pitman-ball": T * np.cos(beta), "gear": RHO * T * np.cos(beta)}
    found = {name: float(np.linalg.norm(answer.last.f[stroke.reduced.joints[name]])) for name in expected}
    assert found == pytest.approx(expected, rel=1e-6)
