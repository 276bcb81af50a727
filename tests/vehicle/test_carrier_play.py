"""What the carrier's play needs to be seen: the spring off it, the stand far enough out, no more force than needed.

The vehicle has its torsion bars on the lower arms and its rebound stops on the upper arms. That hanging wheels then
hide the play of the lower ball joints, and that a stand under the lower arm shows it: common practice, no source
(the same rule is published, see tests/published/test_support_rules.py).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.carrying import torsion_rate, torsion_torque
from looseends.vehicle.setup import Side
from looseends.vehicle.shake import Worn, nominal_preload
from looseends.vehicle.vehicle import SIDES
from tests.vehicle.front_end import force_at_rest, movement, prepared, shaken, yard_pickup

CLEARANCES_MM = (0.6, 1.0, 2.0, 4.0)
HIDDEN_SHARE = 0.15
STAND_TOLERANCE_MM = 10.0


def shown_share(
    side: Side, support: str, clearance: float, stand_inboard_mm: float = 0.0, raised_mm: float = 0.0
) -> float:
    """Movement at the lower ball joint, bar lifting, as a share of its axial clearance."""
    part = f"lower-ball-joint-{side}"
    check = prepared("bj-axial", support, side, stand_inboard_mm=stand_inboard_mm, raised_mm=raised_mm)
    return movement(shaken(check, {(part, "axial"): clearance}), part).total / clearance


@pytest.mark.parametrize("clearance", CLEARANCES_MM)
@pytest.mark.parametrize("side", SIDES)
def test_hanging_at_the_frame_hides_the_carriers_play(side: Side, clearance: float) -> None:
    assert shown_share(side, "frame", clearance) < HIDDEN_SHARE


@pytest.mark.parametrize("clearance", CLEARANCES_MM)
@pytest.mark.parametrize("support", ["arm", "ride"])
@pytest.mark.parametrize("side", SIDES)
def test_a_stand_under_the_arm_shows_the_carriers_play(side: Side, support: str, clearance: float) -> None:
    assert 0.85 < shown_share(side, support, clearance) < 1.15


@pytest.mark.parametrize("clearance", CLEARANCES_MM)
def test_standing_on_its_wheels_hides_the_carriers_play(clearance: float) -> None:
    assert shown_share("left", "wheels", clearance) < HIDDEN_SHARE


def inboard_distances(raised_mm: float) -> tuple[float, float]:
    """Where the stop closes, and where the play hides: stand distances [mm] inboard of the ball joint, by hand.

    The lower arm of length L turns about its pivot; droop angle θ counts from the design pose, downward. Vertical
    forces and moments about the pivot, frame free to rise, both sides alike:

        stand      carries the whole corner W = (sprung + unsprung) g, at L - d:        W (L - d)   up
        spring     preload P at the design pose, P - k θ at droop θ:                    P - k θ     down
        arm        m_a g at a third of L, its center of mass:                           m_a g L / 3 down
        knuckle    presses on the ball joint with R:                                    R L         down

        W (L - d) = P - k θ + m_a g L / 3 + R L                                         (1)

    k is the torsion bar's rate with the rubber of the four arm bushings, those of the shorter upper arm (length l)
    turning L / l times as far, so counting (L / l)² times. While the rebound stop is open, the upper arm carries
    nothing and R is the weight m_u g of all that hangs on the lower arm: knuckle, hub and wheel, upper arm, tie rod.

    The stop, at lever b on the upper arm, has the gap G - b (L / l) θ. It closes at θ_c = G l / (b L); with (1),

        d_closed = L - (P - k θ_c + (m_a / 3 + m_u) g L) / W

    Past that the stop holds θ at θ_c (it is hard), and the arm's surplus pulls on the knuckle instead: R falls. Where
    R = 0 the knuckle hangs free between stop and arm; beyond, the arm pulls it against the stop already before the
    bar lifts, the ball lies at the upper end of its clearance, and nothing is left to be shown:

        d_hidden = L - (P - k θ_c + m_a g L / 3) / W

    Left out: the slope of the arms, the offset of the wheel from the ball joint, the sway bar.
    """
    vehicle = yard_pickup()
    point = vehicle.point
    mass = {body.id: body.mass or 0.0 for body in vehicle.layout.bodies}
    L = point("lower-ball-joint-left")[1] - point("lower-arm-front-left")[1]
    upper = point("upper-ball-joint-left")[1] - point("upper-arm-front-left")[1]
    lever = point("rebound-stop-left")[1] - point("upper-arm-front-left")[1]

    def rubber(*kinds: str) -> float:
        figures = [vehicle.parts[f"{kind}-left"].figure for kind in kinds]
        return sum(figure.torsion_stiffness for figure in figures if figure is not None)

    rate = torsion_rate(vehicle) + rubber("lower-arm-front-bushing", "lower-arm-rear-bushing")
    rate += rubber("upper-arm-front-bushing", "upper-arm-rear-bushing") * (L / upper) ** 2
    W = vehicle.numbers["front_corner_kg"] * GRAVITY
    hanging = mass["knuckle"] + mass["hub"] + mass["upper-arm"] / 3 + mass["tie-rod-outer"] + mass["tie-rod"] / 2
    closing = vehicle.numbers["rebound_stop_gap_mm"] * upper / (lever * L)
    (bar,) = vehicle.layout.torsions
    spring = torsion_torque(vehicle, bar, nominal_preload(vehicle.id, raised_mm)) - rate * closing
    arm_moment = mass["lower-arm"] * GRAVITY * L / 3.0
    return L - (spring + arm_moment + hanging * GRAVITY * L) / W, L - (spring + arm_moment) / W


def crossing(value: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function of distance [mm] crosses zero, by bisection to 0.5 mm."""
    assert value(low) > 0.0 > value(high)
    while high - low > 0.5:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if value(middle) > 0.0 else (low, middle)
    return 0.5 * (low + high)


@pytest.mark.parametrize("raised_mm", [0.0, 40.0])
def test_a_stand_too_far_inboard_closes_the_rebound_stop_where_moments_say(raised_mm: float) -> None:
    def gap(distance: float) -> float:
        check = prepared("bj-axial", "arm", "left", stand_inboard_mm=distance, raised_mm=raised_mm)
        return check.stop_gaps["rebound-stop-left"]

    by_hand, _ = inboard_distances(raised_mm)
    assert crossing(gap, 0.0, 330.0) == pytest.approx(by_hand, abs=STAND_TOLERANCE_MM)


@pytest.mark.parametrize("clearance", [1.0, 3.0])
@pytest.mark.parametrize("raised_mm", [0.0, 40.0])
def test_a_stand_further_inboard_hides_the_play_again_where_moments_say(raised_mm: float, clearance: float) -> None:
    def still_shown(distance: float) -> float:
        return shown_share("left", "arm", clearance, distance, raised_mm) - HIDDEN_SHARE

    _, by_hand = inboard_distances(raised_mm)
    assert crossing(still_shown, 0.0, 330.0) == pytest.approx(by_hand, abs=STAND_TOLERANCE_MM)


def test_raised_torsion_bars_leave_less_room_for_the_stand() -> None:
    gaps = [prepared("bj-axial", "arm", "left", raised_mm=raised).stop_gaps["rebound-stop-left"] for raised in (0, 40)]
    assert gaps[0] > gaps[1] + 10.0 > 10.0


def test_prying_with_more_than_the_corners_weight_lifts_the_arm_off_its_stand() -> None:
    """The stand of that side carries the corner's weight, so a bar with more of it takes all. Balance of forces."""
    corner = yard_pickup().numbers["front_corner_kg"] * GRAVITY
    loads = {
        force: shaken(prepared("bj-axial", "arm", "left", force=force)).forces["stand-left"]
        for force in (600.0, 0.9 * corner, 1.1 * corner, 9000.0)
    }
    assert [load > 1.0 for load in loads.values()] == [True, True, False, False]


def test_prying_too_hard_moves_the_tire_by_much_more_than_the_play() -> None:
    """False call of over-prying: common practice, no source."""
    worn: Worn = {("lower-ball-joint-left", "axial"): 1.0}
    rises = [
        movement(shaken(prepared("bj-axial", "arm", "left", force=f), worn), "tread-lift").total for f in (600, 9000)
    ]
    assert rises[0] < 1.5
    assert rises[1] > 20.0


def test_bar_force_of_the_check_lifts_the_hanging_wheel_but_not_the_vehicle() -> None:
    """The bar must lift what hangs on the ball joint, by far less than the corner; common practice, no source."""
    hanging = force_at_rest(prepared("bj-axial", "arm", "left"), "lower-ball-joint-left")
    (stroke,) = load_catalogue().checks["bj-axial"].strokes
    assert hanging < stroke.force < 0.2 * yard_pickup().numbers["front_corner_kg"] * GRAVITY
    assert np.isclose(hanging, 51.0 * GRAVITY, rtol=0.1), "knuckle, hub and wheel: about 51 kg"


@pytest.mark.parametrize("side", SIDES)
def test_a_pressed_ball_rolls_up_a_socket_worn_across_and_back_but_is_not_free(side: Side) -> None:
    """At rest the spring presses the ball onto its stud's axis, at the bottom of the socket; a push across rolls it up
    the wall, and the spring brings it back: movement that rises with the push from zero, so none of it counts as play.
    Wear along the stud as well makes the wall steeper.
    """
    part, worn, along = f"lower-ball-joint-{side}", 0.8, 0.2
    check = prepared("wheel39", "frame", side)
    sound, loose = (movement(shaken(check, w), part) for w in ({}, {(part, "radial"): worn}))
    rolled = loose.total - sound.total
    assert 0.1 < rolled < 0.5 * worn
    assert loose.free < 0.01
    deeper = movement(shaken(check, {(part, "radial"): worn, (part, "axial"): 2.0 * along}), part)
    assert deeper.total - sound.total < 0.9 * rolled
