"""Exact: one loose joint against the closed form of a mass between two walls, worked by hand beside each check.

A joint of total travel c and stiffness k under a force F carries F once its clearance is taken up, so the mass
stands at c/2 + F/k along the force; between push and pull a gauge reads c + 2F/k, of which c is free.
"""

from __future__ import annotations

import numpy as np
import pytest

from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance, Shape
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element, TorsionSpring
from looseends.mechanics.model import Force, Mechanism, Watch
from tests.mechanics.mechanisms import ORIGIN, X, Y, Z, hung_mass, joint, look, pull, stroke_of

K = 500.0


@pytest.mark.parametrize(("shape", "direction", "travel"), [
    ("ball", X, 0.8), ("ball", Y, 0.8), ("ball", Z, 0.3), ("pin", X, 0.8), ("pin", Z, 0.3), ("slot", X, 0.8),
])  # fmt: skip
def test_push_and_pull_read_clearance_plus_elastic_movement(shape: Shape, direction: Array, travel: float) -> None:
    force = 120.0
    stroke = stroke_of(hung_mass(shape), [pull("mass", force * direction)], [look("mass", direction)])
    movement = stroke.solve({"loose": Clearance(shape, 0.8, 0.3)}).movements["movement"]
    assert movement.total == pytest.approx(travel + 2.0 * force / K, rel=1e-9)
    assert movement.free == pytest.approx(travel, rel=1e-9)


def test_a_push_alone_from_rest_is_half_the_stroke() -> None:
    # From rest with no load the place inside the clearance is not known; the far end is: c/2 + F/k from the middle.
    stroke = stroke_of(hung_mass("ball"), [pull("mass", 120.0 * X)], [look("mass", X)])
    answer = stroke.solve({"loose": Clearance("ball", 0.8, 0.3)}, first=0.0)
    assert answer.last.g == pytest.approx([0.4, 0.0, 0.0], abs=1e-9)
    assert answer.last.f == pytest.approx([120.0, 0.0, 0.0], abs=1e-6)


def test_oblique_force_on_a_ball_touches_where_the_normal_is_the_force() -> None:
    # Farthest point of the ellipsoid x²/a² + y²/a² + z²/b² = 1 along F: D² F / |D F| with D = diag(a, a, b).
    force, half = np.array([90.0, -40.0, 150.0]), np.array([0.4, 0.4, 0.15])
    expected = half**2 * force / np.linalg.norm(half * force)
    watch = Watch("movement", "mass", GROUND, ORIGIN[None, :], np.eye(3))
    stroke = stroke_of(hung_mass("ball"), [pull("mass", force)], [watch])
    answer = stroke.solve({"loose": Clearance("ball", 0.8, 0.3)})
    assert answer.last.g == pytest.approx(expected, abs=1e-8)
    assert answer.first.g == pytest.approx(-expected, abs=1e-8)
    whole = 2.0 * (expected + force / K)
    length = float(np.linalg.norm(whole))
    assert answer.movements["movement"].total == pytest.approx(length, rel=1e-8)
    # The touching point does not move when the force only grows, so what is left at no force is 2 g along the stroke.
    assert answer.movements["movement"].free == pytest.approx(2.0 * float(expected @ whole) / length, rel=1e-6)


def test_oblique_force_on_a_pin_takes_up_disc_and_interval_each_for_itself() -> None:
    force = np.array([30.0, 40.0, 1.0])
    stroke = stroke_of(hung_mass("pin"), [pull("mass", force)], [look("mass", X)])
    answer = stroke.solve({"loose": Clearance("pin", 0.8, 0.3)})
    assert answer.last.g == pytest.approx([0.4 * 0.6, 0.4 * 0.8, 0.15], abs=1e-8)


@pytest.mark.parametrize(("force", "opens"), [(60.0, False), (99.0, False), (101.0, True), (300.0, True)])
def test_preload_hides_the_play_until_the_force_exceeds_it(force: float, opens: bool) -> None:
    # A spring of 1 N/mm, drawn out by 100 mm, presses with P = 100 N. Balance at either end with the joint touching at
    # g = ± c/2: k (x - g) + k_s x + P = ± F, so x = (± F - P + k g)/(k + k_s).
    travel, spring = 0.8, 1.0
    mechanism = hung_mass("ball", offset=100.0)
    stroke = stroke_of(mechanism, [pull("mass", force * X)], [look("mass", X)])
    movement = stroke.solve({"loose": Clearance("ball", travel, 0.3)}).movements["movement"]
    shown = travel if opens else 0.0
    assert movement.total == pytest.approx((2.0 * force + K * shown) / (K + spring), rel=1e-7)
    assert movement.free == pytest.approx(K * shown / (K + spring), abs=1e-7)


@pytest.mark.parametrize(("lift", "opens"), [(0.5, False), (0.98, False), (1.02, True), (2.0, True)])
def test_a_resting_weight_shows_its_play_only_when_lifted(lift: float, opens: bool) -> None:
    # Hanging: z = -c/2 - m g/k. Lifted by F > m g: z = c/2 + (F - m g)/k, so the gauge reads c + F/k; else F/k.
    mass, travel = 20.0, 0.6
    force = lift * mass * GRAVITY
    stroke = stroke_of(hung_mass("pin", mass=mass), [pull("mass", force * Z)], [look("mass", Z)])
    answer = stroke.solve({"loose": Clearance("pin", 0.2, travel)}, first=0.0)
    shown = travel if opens else 0.0
    assert answer.first.f[2] == pytest.approx(-mass * GRAVITY, rel=1e-9)
    assert answer.movements["movement"].total == pytest.approx(shown + force / K, rel=1e-8)
    assert answer.movements["movement"].free == pytest.approx(shown, abs=1e-8)


def test_two_bushings_on_a_shaft_give_tilt_lash() -> None:
    # Pins of radial travel c at z = ± L/2, a couple of ± F at z = ± h: each pin carries R = 2 h F / L, and the end at h
    # moves by h/(L/2) times what one pin gives. Between both ends: (2 h/L)(c + 2 R/k); free (2 h/L) c.
    span, arm, force, travel = 60.0, 150.0, 40.0, 0.25
    pins: list[Element] = [
        joint(name, GROUND, "arm", [0.0, 0.0, z], [4000.0, 4000.0, 0.0], shape="pin")
        for name, z in (("lower", -span / 2), ("upper", span / 2))
    ]
    holder = joint("holder", GROUND, "arm", ORIGIN, [0.0, 0.0, 1e4], turning=[0.0, 0.0, 1e7], shape=None)
    mechanism = Mechanism((Body("arm", 0.0, ORIGIN),), (*pins, holder))
    couple = [pull("arm", force * X, arm * Z), pull("arm", -force * X, -arm * Z)]
    stroke = stroke_of(mechanism, couple, [look("arm", X, arm * Z)])
    pin = Clearance("pin", travel, 0.0)
    movement = stroke.solve({"lower": pin, "upper": pin}).movements["movement"]
    reaction = 2.0 * arm * force / span
    assert movement.total == pytest.approx(2.0 * arm / span * (travel + 2.0 * reaction / 4000.0), rel=1e-8)
    assert movement.free == pytest.approx(2.0 * arm / span * travel, rel=1e-8)


def test_an_arm_on_a_torsion_spring_turns_by_moment_over_rate() -> None:
    # ± F at radius r turns the arm by F r / κ each way; its pivot gives F/k. A preload shifts both ends alike.
    rate, radius, force = 2.0e6, 200.0, 50.0
    pivot = joint("pivot", GROUND, "arm", ORIGIN, 3000.0, turning=[1e9, 1e9, 0.0], shape=None)
    bar = TorsionSpring("bar", GROUND, "arm", Z, rate, 7.0e4)
    mechanism = Mechanism((Body("arm", 0.0, 100.0 * X),), (pivot, bar))
    stroke = stroke_of(mechanism, [pull("arm", force * Y, radius * X)], [look("arm", Y, radius * X)])
    movement = stroke.solve({}).movements["movement"]
    assert movement.total == pytest.approx(2.0 * force * (radius**2 / rate + 1.0 / 3000.0), rel=1e-9)
    assert movement.free == pytest.approx(0.0, abs=1e-9)
    # The preload alone turns by M/κ in its own sense: + y at + x.
    assert stroke.reduced.watch_base[0][0] == pytest.approx(7.0e4 / rate * radius, rel=1e-9)


def _over_a_stop(gap: float) -> Mechanism:
    rubber = joint("rubber", GROUND, "mass", ORIGIN, [1e4, 1e4, 100.0], turning=1e7, shape=None)
    return Mechanism((Body("mass", 0.0, ORIGIN),), (rubber, Contact("stop", GROUND, "mass", ORIGIN, Z, gap, 2000.0)))


@pytest.mark.parametrize(("force", "closes"), [(20.0, False), (49.0, False), (51.0, True), (400.0, True)])
def test_a_stop_closes_when_its_gap_is_used_up(force: float, closes: bool) -> None:
    # Rubber k = 100 over a stop k_c = 2000 with gap d = 0.5: closed when F > k d = 50 N. Then
    # k x + k_c (x - d) = F down, so x = (F + k_c d)/(k + k_c), and the stop carries k_c (x - d).
    stroke = stroke_of(_over_a_stop(0.5), [pull("mass", -force * Z)], [look("mass", Z)])
    answer = stroke.solve({}, first=0.0)
    down = (force + 2000.0 * 0.5) / 2100.0 if closes else force / 100.0
    assert answer.movements["movement"].total == pytest.approx(down, rel=1e-8)
    assert answer.last.f[0] == pytest.approx(-2000.0 * (down - 0.5) if closes else 0.0, abs=1e-5)
    assert answer.last.g[0] == pytest.approx(0.0 if closes else 0.5 - down, abs=1e-8)
    assert answer.movements["movement"].free == pytest.approx(2000.0 * 0.5 / 2100.0 if closes else 0.0, abs=1e-7)


def test_a_pressed_stop_opens_and_a_softening_curve_has_no_free_travel() -> None:
    # Drawn 0.2 mm into the stop: at rest 100 x = 2000 (0.2 - x). Pulled up by F it opens at x = 0.2; then x = F/100.
    force = 60.0
    stroke = stroke_of(_over_a_stop(-0.2), [pull("mass", force * Z)], [look("mass", Z)])
    answer = stroke.solve({}, first=0.0)
    rest = 400.0 / 2100.0
    assert answer.first.f[0] == pytest.approx(-2000.0 * (0.2 - rest), rel=1e-7)
    assert answer.last.g[0] == pytest.approx(force / 100.0 - 0.2, rel=1e-7)
    assert answer.movements["movement"].total == pytest.approx(force / 100.0 - rest, rel=1e-7)
    assert answer.movements["movement"].free == 0.0


def test_a_force_between_two_bodies_acts_on_both() -> None:
    # Two masses, each on its own joint: prying them apart moves them by (c/2 + F/k) each, one way and the other.
    elements = tuple(joint(f"loose-{n}", GROUND, n, ORIGIN, K, turning=1e7) for n in ("one", "other"))
    mechanism = Mechanism((Body("one", 0.0, ORIGIN), Body("other", 0.0, ORIGIN)), elements)
    pry = Force("one", ORIGIN, 100.0 * X, "other")
    stroke = stroke_of(mechanism, [pry], [look("one", X, against="other")])
    clearances = {"loose-one": Clearance("ball", 0.4, 0.4), "loose-other": Clearance("ball", 0.6, 0.6)}
    movement = stroke.solve(clearances).movements["movement"]
    assert movement.total == pytest.approx(0.4 + 0.6 + 4.0 * 100.0 / K, rel=1e-8)
    assert movement.free == pytest.approx(1.0, rel=1e-8)


def test_a_part_with_two_surfaces_reads_the_root_mean_square_of_both() -> None:
    # Turned by a couple about its middle, points at ± 100 mm move by ± d: root mean square d.
    # One point at 0 and one at 100: d/√2.
    mechanism = hung_mass("ball")
    couple = [pull("mass", 10.0 * Y, 100.0 * X), pull("mass", -10.0 * Y, -100.0 * X)]
    both = Watch("both", "mass", GROUND, np.array([100.0 * X, -100.0 * X]), Y[None, :])
    one = Watch("one", "mass", GROUND, np.array([100.0 * X, ORIGIN]), Y[None, :])
    answer = stroke_of(mechanism, couple, [both, one]).solve({})
    moved = 2.0 * 100.0 * (10.0 * 200.0 / 1e7)
    assert answer.movements["both"].total == pytest.approx(moved, rel=1e-9)
    assert answer.movements["one"].total == pytest.approx(moved / np.sqrt(2.0), rel=1e-9)
