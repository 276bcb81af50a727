"""Exact: how common parts are built of the elements: loose fasteners, tapers, brackets, turn plates, floor."""

from __future__ import annotations

import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, Element
from looseends.mechanics.model import Mechanism
from looseends.mechanics.settle import settle
from tests.mechanics.mechanisms import ORIGIN, Stroke, X, Y, Z, joint, look, pull, stroke_of

BOLT = 2e4


def _bracket(span: float, height: float) -> Stroke:
    """A bracket on the frame by two bolts, `span` apart along x; pushed sideways at `height` above their line."""
    bolts: list[Element] = [
        joint(name, GROUND, "bracket", at, BOLT, shape="pin") for name, at in (("front", ORIGIN), ("rear", span * X))
    ]
    flange = joint("flange", GROUND, "bracket", ORIGIN, [0.0, 0.0, 0.0], turning=[1e12, 1e12, 0.0], shape=None)
    mechanism = Mechanism((Body("bracket", 0.0, ORIGIN),), (*bolts, flange))
    end = span * X + height * X
    return stroke_of(mechanism, [pull("bracket", Y, end)], [look("bracket", Y, end)])


@pytest.mark.parametrize(("force", "slips"), [(100.0, False), (1500.0, True)])
def test_a_loose_fastener_slips_in_its_hole_once_its_clamping_is_overcome(force: float, slips: bool) -> None:
    # Bolts L = 80 apart, pushed h = 40 beyond the rear one: it carries F (L + h)/L = 1.5 F, the front one 0.5 F back.
    # Each has 0.6 mm of hole clearance and holds by 900 N of friction: at 1500 N the rear one slips by 0.3 mm, the
    # front one (750 N) does not; the end shows 1.5 times the rear's way.
    worn = {name: Clearance("pin", 0.6, 0.0, seat=900.0) for name in ("front", "rear")}
    rest = _bracket(80.0, 40.0).rest(worn, force)
    elastic = (1.5 * 1.5 + 0.5 * 0.5) * force / BOLT
    assert rest.moved["movement"] == pytest.approx([elastic + 1.5 * 0.3 * slips], rel=1e-7)


def test_a_bracket_loose_on_the_frame_rocks_by_both_bolts() -> None:
    worn = {name: Clearance("pin", 0.6, 0.0) for name in ("front", "rear")}
    rest = _bracket(80.0, 40.0).rest(worn, 10.0)
    assert rest.moved["movement"] == pytest.approx([(1.5 + 0.5) * 0.3 + 2.5 * 10.0 / BOLT], rel=1e-7)


def test_a_bracket_with_a_missing_bolt_swings_about_the_other() -> None:
    # With the rear bolt out nothing but its friction keeps it from turning: 150 N × L resists F (L + h): F = 100.
    stroke = _bracket(80.0, 40.0)
    worn = {"rear": Clearance("pin", 0.6, 0.0, seat=150.0, missing=True)}
    assert stroke.rest(worn, 99.9).force["rear"] == pytest.approx([0.0, 149.85, 0.0], abs=1e-6)
    with pytest.raises(MechanicsError, match="missing or that friction holds alone is all that carries a load"):
        stroke.rest(worn, 100.1)


def test_a_taper_loose_in_its_hole_adds_to_the_play_of_its_ball() -> None:
    # Stud between ball and hole: ball 0.4 mm, hole 0.2 mm at its neck; in one line the two add up. A seat (the nut's
    # pull) of 300 N keeps the taper tight below it.
    elements = (
        joint("ball", GROUND, "stud", ORIGIN, 5e3, turning=1e8),
        joint("taper", "stud", "arm", ORIGIN, [2e4, 2e4, 2e4], turning=1e8, shape="pin"),
    )
    mechanism = Mechanism((Body("stud", 0.0, ORIGIN), Body("arm", 0.0, ORIGIN)), elements)
    stroke = stroke_of(mechanism, [pull("arm", X)], [look("arm", X)])
    for seat, force, play in ((0.0, 200.0, 0.3), (300.0, 200.0, 0.2), (300.0, 400.0, 0.3)):
        worn = {"ball": Clearance("ball", 0.4, 0.2), "taper": Clearance("pin", 0.2, 0.1, seat=seat)}
        moved = stroke.rest(worn, force).moved["movement"]
        assert moved == pytest.approx([play + force * (1 / 5e3 + 1 / 2e4)], rel=1e-8)


WEIGHT, FLOOR = 400.0, 3e3


def _wheel(*under: Element) -> Mechanism:
    """A wheel of 400 kg that stands on the floor (a contact), upright, on whatever is put under it."""
    floor = Contact("floor", GROUND, "wheel", ORIGIN, Z, 0.0, FLOOR)
    upright = joint("upright", GROUND, "wheel", ORIGIN, [0.0, 0.0, 0.0], turning=1e9, shape=None)
    return Mechanism((Body("wheel", WEIGHT, ORIGIN),), (floor, upright, *under))


def _plate(seat_shape: bool) -> Element:
    return joint("plate", GROUND, "wheel", ORIGIN, [5e3, 5e3, 0.0], shape="pin" if seat_shape else None)


@pytest.mark.parametrize(("direction", "grip"), [(X, 20.0), (Y, 20.0)])
def test_a_turn_plate_holds_when_locked_and_slides_when_free(direction: Array, grip: float) -> None:
    # Locked: a joint in the plane without clearance, F/k. Free: only the drag of its balls, a seat; the axle's own
    # sideways spring (80 N/mm) takes the rest, (F - drag)/80.
    axle = joint("axle", GROUND, "wheel", ORIGIN, [80.0, 80.0, 0.0], shape=None)
    force = 120.0
    stroke = stroke_of(_wheel(_plate(True), axle), [pull("wheel", force * direction)], [look("wheel", direction)])
    assert stroke.rest({}).moved["movement"] == pytest.approx([force / 5080.0], rel=1e-9)
    free = {"plate": Clearance("pin", 0.0, 0.0, seat=grip, missing=True)}
    assert stroke.rest(free).moved["movement"] == pytest.approx([(force - grip) / 80.0], rel=1e-8)


def test_the_floor_carries_the_weight_and_lets_go_when_the_wheel_is_lifted() -> None:
    mechanism = _wheel(_plate(False))
    weight = WEIGHT * GRAVITY
    poses = settle(mechanism).poses
    assert poses["wheel"].shift[2] == pytest.approx(-weight / FLOOR, rel=1e-9)
    held = Mechanism(mechanism.bodies, (*mechanism.elements, joint("hoist", GROUND, "wheel", ORIGIN, [0.0, 0.0, 50.0])))
    stroke = stroke_of(held, [pull("wheel", Z)], [look("wheel", Z)])
    pressed, lifted = stroke.rest({}, 0.5 * weight), stroke.rest({}, 1.5 * weight)
    assert pressed.force["floor"] == pytest.approx([-0.5 * weight * FLOOR / (FLOOR + 50.0)], rel=1e-9)
    assert lifted.force["floor"] == pytest.approx([0.0], abs=1e-6)
    assert lifted.moved["movement"] == pytest.approx([0.5 * weight / 50.0], rel=1e-8)


def test_a_frame_on_two_stands_leaves_the_one_that_is_unloaded() -> None:
    # 1000 N at 0.8 of the span: 800 and 200 N. A lift of 500 N at the far end opens the far stand (200 N): the near
    # one then carries what is left, 500 N, once a soft hoist (10 N/mm) there takes its share.
    beam = Body("beam", 1000.0 / GRAVITY, 200.0 * X)
    guide = joint("guide", GROUND, "beam", ORIGIN, [1e6, 1e6, 0.0], turning=[1e12, 0.0, 1e12], shape=None)
    near, far = (Contact(name, GROUND, "beam", at, Z, 0.0, 5e3) for name, at in (("near", ORIGIN), ("far", 1000.0 * X)))
    hoist = joint("hoist", GROUND, "beam", 1000.0 * X, [0.0, 0.0, 10.0], shape=None)
    stroke = stroke_of(Mechanism((beam,), (guide, near, far, hoist)), [pull("beam", Z, 1000.0 * X)])
    rest = stroke.rest({}, 0.0)
    assert rest.force["near"] == pytest.approx([-800.0], rel=1e-6)
    assert rest.force["far"] == pytest.approx([-200.0 * 5e3 / 5010.0], rel=1e-6)
    lifted = stroke.rest({}, 500.0)
    assert lifted.force["far"] == pytest.approx([0.0], abs=1e-6)
    assert lifted.force["near"] == pytest.approx([-800.0], rel=1e-6)
