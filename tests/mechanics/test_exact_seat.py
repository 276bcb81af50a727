"""Exact: seats, the force that must be exceeded before a joint gives way, worked by hand beside each check.

A joint of stiffness k with a seat P carries F without giving way while F <= P: the mass stands at F/k, as if the joint
had no clearance. Beyond P it takes up its clearance, or slides until something else carries the rest.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.certificate import certify
from looseends.mechanics.clearance import Block, Clearance, Shape
from looseends.mechanics.lash import LashSolution, solve_lash, tangent
from looseends.mechanics.lash_conic import interior_point
from looseends.mechanics.lash_newton import active_blocks, resting_blocks
from looseends.mechanics.lash_scaled import Scaled
from looseends.mechanics.model import Mechanism
from looseends.mechanics.springs import Spring
from tests.mechanics.mechanisms import ORIGIN, X, Y, Z, hung_mass, joint, look, pull, stroke_of

K, P = 500.0, 80.0


@pytest.mark.parametrize(("shape", "direction", "travel"), [
    ("ball", X, 0.8), ("ball", Y, 0.8), ("pin", X, 0.8), ("pin", Z, 0.3), ("slot", X, 0.8),
])  # fmt: skip
@pytest.mark.parametrize(("force", "gives"), [(79.0, False), (81.0, True), (200.0, True)])
def test_a_dry_joint_takes_up_its_clearance_beyond_its_seat(
    shape: Shape, direction: Array, travel: float, force: float, gives: bool
) -> None:
    stroke = stroke_of(hung_mass(shape), [pull("mass", force * direction)], [look("mass", direction)])
    worn = {"loose": Clearance(shape, 0.8, 0.3, seat=P)}
    for share in (1.0, -1.0):
        rest = stroke.rest(worn, share)
        expected = share * (force / K + (travel / 2.0 if gives else 0.0))
        assert rest.moved["movement"] == pytest.approx([expected], rel=1e-8)
        assert np.linalg.norm(rest.force["loose"]) == pytest.approx(force, rel=1e-8)


@pytest.mark.parametrize("angle", [0.0, 0.7, 1.3, 2.9])
def test_a_round_block_gives_way_at_the_same_force_in_every_direction(angle: float) -> None:
    along = np.cos(angle) * X + np.sin(angle) * Y
    stroke = stroke_of(hung_mass("pin"), [pull("mass", along)])
    worn = {"loose": Clearance("pin", 0.8, 0.3, seat=P)}
    assert stroke.rest(worn, P - 0.01).solution.g == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)
    assert stroke.rest(worn, P + 0.01).solution.g == pytest.approx(0.4 * along, abs=1e-7)


def test_a_flat_ball_gives_way_along_its_short_axis_at_a_larger_force() -> None:
    # The seat costs P × 0.4 × |h|; along z an h of 1 is 0.15 mm of way, so 0.15 F > 0.4 P is needed.
    stroke = stroke_of(hung_mass("ball"), [pull("mass", Z)])
    worn = {"loose": Clearance("ball", 0.8, 0.3, seat=P)}
    least = P * 0.4 / 0.15
    assert stroke.rest(worn, least - 0.1).solution.g == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)
    assert stroke.rest(worn, least + 0.1).solution.g == pytest.approx([0.0, 0.0, 0.15], abs=1e-8)


def _slider() -> Mechanism:
    """A mass on soft springs (20 along x, 60 along y) beside a joint that only its friction holds."""
    mechanism = hung_mass("pin")
    beside = joint("spring", GROUND, "mass", ORIGIN, [20.0, 60.0, 0.0], shape=None)
    return replace(mechanism, elements=(*mechanism.elements, beside))


@pytest.mark.parametrize(("force", "slides"), [(50.0, False), (83.0, False), (83.4, True), (300.0, True)])
def test_a_clamped_part_slides_once_its_friction_is_overcome(force: float, slides: bool) -> None:
    # Stuck: x = F/(k + s), the joint carries k x; it slides at k x = P, F = P (1 + s/k) = 83.2. Then x = (F - P)/s.
    stroke = stroke_of(_slider(), [pull("mass", force * X)], [look("mass", X)])
    rest = stroke.rest({"loose": Clearance("pin", 0.0, 0.0, seat=P, missing=True)})
    assert rest.moved["movement"] == pytest.approx([(force - P) / 20.0 if slides else force / (K + 20.0)], rel=1e-8)
    assert rest.force["loose"][0] == pytest.approx(P if slides else K * force / (K + 20.0), rel=1e-8)
    # No travel and no friction beside it: nothing but the spring holds.
    bare = stroke.rest({"loose": Clearance("pin", 0.0, 0.0, missing=True)})
    assert bare.moved["movement"] == pytest.approx([force / 20.0], rel=1e-8)


@pytest.mark.parametrize("angle", [0.3, 1.1])
def test_friction_in_a_plane_points_against_the_way_slid(angle: float) -> None:
    # Series stiffness against g: s_i k/(s_i + k) =: c_i with force F_i k/(s_i + k) =: p_i. Balance p_i - c_i g_i =
    # P g_i/|g|, so g_i = p_i/(c_i + m) with m |g| = P: one unknown m.
    force = 250.0 * np.array([np.cos(angle), np.sin(angle)])
    side = np.array([20.0, 60.0])
    c, p = side * K / (side + K), force * K / (side + K)
    m = brentq(lambda m: m * np.linalg.norm(p / (c + m)) - P, 0.0, 1e6, xtol=1e-14, rtol=1e-14)
    stroke = stroke_of(_slider(), [pull("mass", [*force, 0.0])])
    rest = stroke.rest({"loose": Clearance("pin", 0.0, 0.0, seat=P, missing=True)})
    assert rest.solution.g[:2] == pytest.approx(p / (c + m), rel=1e-9)
    assert np.linalg.norm(rest.force["loose"]) == pytest.approx(P, rel=1e-9)


def test_in_a_chain_the_looser_seat_gives_way_first() -> None:
    # Two joints one after the other, seats 40 and 120: a pull of 80 takes up the first clearance only.
    elements = (
        joint("near", GROUND, "middle", ORIGIN, K, turning=1e7),
        joint("far", "middle", "end", ORIGIN, K, turning=1e7),
    )
    mechanism = Mechanism((Body("middle", 0.0, ORIGIN), Body("end", 0.0, ORIGIN)), elements)
    stroke = stroke_of(mechanism, [pull("end", X)], [look("end", X)])
    worn = {"near": Clearance("ball", 0.5, 0.5, seat=120.0), "far": Clearance("ball", 0.3, 0.3, seat=40.0)}
    for force, shown in ((30.0, 0.0), (80.0, 0.15), (150.0, 0.4)):
        assert stroke.rest(worn, force).moved["movement"] == pytest.approx([shown + 2.0 * force / K], rel=1e-8)


@pytest.mark.parametrize(("force", "slides"), [(150.0, False), (400.0, True)])
def test_a_leaf_with_dry_friction_is_a_spring_beside_a_spring_that_slides(force: float, slides: bool) -> None:
    # Rate 50 beside 450 that slides at P: F/500 while 450 F/500 <= P, that is to F = 88.9 ... with P = 200: 222.
    leaf = Spring("leaf", GROUND, "axle", ORIGIN, np.eye(3), np.diag([1e4, 1e4, 50.0, 1e7, 1e7, 1e7]))
    dry = Spring("friction", GROUND, "axle", ORIGIN, np.eye(3), np.diag([0, 0, 450.0, 0, 0, 0]), loose=Z > 0)
    stroke = stroke_of(Mechanism((Body("axle", 0.0, ORIGIN),), (leaf, dry)), [pull("axle", Z)], [look("axle", Z)])
    rest = stroke.rest({"friction": Clearance("slot", 0.0, 0.0, seat=200.0, missing=True)}, force)
    assert rest.moved["movement"] == pytest.approx([(force - 200.0) / 50.0 if slides else force / 500.0], rel=1e-8)


ROUND = (Block("ball", 0, 2),)
ENDLESS = np.full(2, np.inf)


def _tangent(S: Array, f0: Array, semi: Array, df: Array, seat: float) -> Array:
    seats = np.array([seat])
    solution = solve_lash(S, f0, ROUND, semi, seats=seats)
    return tangent(S, ROUND, semi, solution, df, seats)


def test_a_sliding_block_turns_with_the_force_the_stiffer_the_less_it_has_slid() -> None:
    # S = D: g = (|F| - P)/D along F. Along F it grows by dF/D; across, the direction turns: (|F| - P)/D × dF/|F|.
    D, force = 30.0, 100.0
    grown = _tangent(D * np.eye(2), force * X[:2], ENDLESS, X[:2], P)
    turned = _tangent(D * np.eye(2), force * X[:2], ENDLESS, Y[:2], P)
    assert grown == pytest.approx([1.0 / D, 0.0], rel=1e-9)
    assert turned == pytest.approx([0.0, (force - P) / D / force], rel=1e-9)


def test_a_block_that_sticks_does_not_move() -> None:
    assert _tangent(30.0 * np.eye(2), 0.9 * P * X[:2], ENDLESS, np.ones(2), P) == pytest.approx([0.0, 0.0], abs=0.0)


def test_a_block_on_the_brink_of_sliding_still_sticks() -> None:
    # The force is the seat to the last digit or a hair more; the answer is zero, and its tangent too.
    for force in (P, P * (1.0 + 1e-15)):
        assert _tangent(30.0 * np.eye(2), force * X[:2], ENDLESS, Y[:2], P) == pytest.approx([0.0, 0.0], abs=1e-9)
    resting = Scaled.of(30.0 * np.eye(2), P * (1.0 + 1e-15) * X[:2], ROUND, ENDLESS, np.array([P]))
    assert resting_blocks(resting, np.zeros(2)).fixed.tolist() == [0, 1]


def test_a_block_at_its_wall_rolls_by_the_whole_force_seat_and_wall_together() -> None:
    # On the wall of a circle r without stiffness of its own, g = r F/|F|: across it moves by r dF/|F|, whatever P is.
    turned = _tangent(1e-9 * np.eye(2), 100.0 * X[:2], np.full(2, 0.4), Y[:2], P)
    assert turned == pytest.approx([0.0, 0.4 / 100.0], rel=1e-7)


def test_a_block_at_its_wall_touches_only_with_what_exceeds_its_seat() -> None:
    # h = (1, 0) on the wall of a circle 0.5 mm, f0 = (F, 0): the force there is F - S g; 60 N are below the seat.
    for force, touches in ((60.0, False), (120.0, True)):
        problem = Scaled.of(1e-6 * np.eye(2), force * X[:2], ROUND, np.full(2, 0.5), np.array([P]))
        active = active_blocks(problem, X[:2])
        assert active.touching.tolist() == ([0] if touches else [])


@pytest.mark.parametrize("even", [True, False])
def test_the_cone_solver_alone_comes_close(even: bool) -> None:
    # Sliding without a wall, (100 - P)/30; and stuck inside one.
    seats = np.array([P])
    slides = Scaled.of(30.0 * np.eye(2), 100.0 * X[:2], ROUND, ENDLESS, seats)
    assert interior_point(slides, even=even) == pytest.approx([20.0 / 30.0, 0.0], abs=1e-5)
    sticks = Scaled.of(30.0 * np.eye(2), 79.0 * X[:2], ROUND, np.full(2, 0.5), seats)
    assert interior_point(sticks, even=even) == pytest.approx([0.0, 0.0], abs=1e-5)


def test_what_sticks_proves_itself_and_what_should_have_slid_does_not() -> None:
    S, seats = 30.0 * np.eye(2), np.array([P])
    stuck = certify(S, 79.0 * X[:2], ROUND, ENDLESS, np.zeros(2), seats)
    assert stuck.gap == 0.0
    assert not certify(S, 80.001 * X[:2], ROUND, ENDLESS, np.zeros(2), seats).holds
    # Slid though the force is below the seat: the way back would give energy.
    assert not certify(S, 79.0 * X[:2], ROUND, ENDLESS, np.array([1e-3, 0.0]), seats).holds


def test_friction_alone_cannot_hold_more_than_its_seat() -> None:
    seats = np.array([P])
    assert np.all(solve_lash(np.zeros((2, 2)), 79.9 * X[:2], ROUND, ENDLESS, seats=seats).g == 0.0)
    with pytest.raises(MechanicsError, match="missing or that friction holds alone is all that carries a load"):
        solve_lash(np.zeros((2, 2)), 80.1 * X[:2], ROUND, ENDLESS, seats=seats)


def test_an_answer_with_seats_from_a_like_one_is_the_answer_from_nothing() -> None:
    stroke = stroke_of(_slider(), [pull("mass", 250.0 * X + 90.0 * Y)])
    arrays = stroke.arrays({"loose": Clearance("pin", 0.0, 0.0, seat=P, missing=True)})
    reduced = stroke.reduced

    def solved(share: float, start: LashSolution | None) -> LashSolution:
        return solve_lash(reduced.S, share * reduced.f_hand, reduced.blocks, arrays.semi, start, arrays.seats)

    cold = solved(1.0, None)
    for share in (-1.0, 0.1, 0.9):
        assert solved(1.0, solved(share, None)).g == pytest.approx(cold.g, rel=1e-8)
