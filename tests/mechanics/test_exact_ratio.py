"""Exact: geared movements of several bodies, worked by hand by levers and virtual work beside each check."""

from __future__ import annotations

import numpy as np
import pytest

from looseends.errors import MechanicsError
from looseends.mechanics.bodies import GROUND, Array, Body, rotation_vector
from looseends.mechanics.clearance import Clearance
from looseends.mechanics.elements import Element, TorsionSpring
from looseends.mechanics.model import Mechanism
from looseends.mechanics.ratios import Ratio, Shift, Turn, lash_at
from looseends.mechanics.settle import settle
from tests.mechanics.mechanisms import ORIGIN, X, Y, Z, joint, look, pull, stroke_of

LEVER, RATIO, TEETH, ARM, FORCE = 40.0, 20.0, 8000.0, 150.0, 60.0
SHAFT, MOUNT = 2.0e6, 8.0e7
LASH = 0.3


def _shaft(name: str, body: str, against: str, at: Array, axis: Array) -> Element:
    """A shaft that turns freely about its axis (x, y or z of the vehicle) and is held otherwise."""
    return joint(name, against, body, at, 1e7, turning=1e13 * (1.0 - np.abs(axis)), shape=None)


def _steering_box(input_axis: Array, mount: float | None) -> Mechanism:
    """Sector shaft along z with a pitman arm, input shaft held by a torsional stiffness to the ground."""
    at = 200.0 * X
    housing = joint("mount", GROUND, "box", at, 1e8, turning=1e13 if mount is None else [1e13, 1e13, mount], shape=None)
    gear = Ratio(
        "gear", (Turn("box", "sector", Z, LEVER), Turn("box", "input", input_axis, -LEVER / RATIO)), TEETH, True
    )
    return Mechanism(
        tuple(Body(name, 0.0, at) for name in ("box", "sector", "input")),
        (
            housing,
            _shaft("sector-bearing", "sector", "box", at, Z),
            _shaft("input-bearing", "input", "box", at, np.abs(input_axis)),
            TorsionSpring("wheel-held", GROUND, "input", input_axis, SHAFT, 0.0),
            gear,
        ),
    )


@pytest.mark.parametrize("input_axis", [X, Z, -Z])
@pytest.mark.parametrize("lash", [0.0, LASH])
def test_a_loose_steering_box_at_the_end_of_its_pitman_arm(input_axis: Array, lash: float) -> None:
    # Torque T = F r on the sector. Teeth carry T/L; the input shaft T/i, turning T/(i κ), which is T/(i² κ) at the
    # sector. Arm's end: r (c/2L + T/(L² k) + T/(i² κ)).
    torque = FORCE * ARM
    at = 200.0 * X + ARM * X
    stroke = stroke_of(_steering_box(input_axis, None), [pull("sector", FORCE * Y, at)], [look("sector", Y, at)])
    rest = stroke.rest({"gear": Clearance("slot", lash, 0.0)})
    angle = lash / 2 / LEVER + torque / (LEVER**2 * TEETH) + torque / (RATIO**2 * SHAFT)
    assert rest.moved["movement"] == pytest.approx([ARM * angle], rel=1e-4)
    assert rest.force["gear"] == pytest.approx([torque / LEVER], rel=1e-4)


@pytest.mark.parametrize(("input_axis", "share"), [(X, 1.0), (Z, 1.0 - 1.0 / RATIO), (-Z, 1.0 + 1.0 / RATIO)])
def test_the_housing_takes_what_the_two_shafts_do_not_take_from_each_other(input_axis: Array, share: float) -> None:
    # About z the housing feels T from the sector less T/i where the input turns the same way, plus T/i the other way.
    torque = FORCE * ARM
    at = 200.0 * X + ARM * X
    mark = 200.0 * X + 100.0 * X
    stroke = stroke_of(_steering_box(input_axis, MOUNT), [pull("sector", FORCE * Y, at)], [look("box", Y, mark)])
    assert stroke.rest({}).moved["movement"] == pytest.approx([100.0 * share * torque / MOUNT], rel=2e-3)


LEAD, RACK_LASH = 7.0, 0.12


def _rack(sprung: float = 0.0) -> Mechanism:
    """A rack along y driven by a pinion about x; the pinion held by a torsional stiffness."""
    guide = joint("bushings", GROUND, "rack", ORIGIN, [1e6, sprung, 1e6], turning=1e13, shape=None)
    teeth = Ratio("teeth", (Shift(GROUND, "rack", ORIGIN, Y), Turn(GROUND, "pinion", X, -LEAD)), 2e4, lash=True)
    pinion = _shaft("pinion-bearing", "pinion", GROUND, 30.0 * Z, X)
    held = TorsionSpring("column", GROUND, "pinion", X, 3e5, 0.0 if not sprung else 2.5e5)
    return Mechanism((Body("rack", 0.0, ORIGIN), Body("pinion", 0.0, 30.0 * Z)), (guide, teeth, pinion, held))


def test_a_rack_gives_by_its_lash_its_teeth_and_its_column() -> None:
    # The pinion feels F × lead: rack c/2 + F/k + F lead²/κ. Turned at a mark 50 mm from its axis: 50 F lead/κ.
    stroke = stroke_of(_rack(), [pull("rack", FORCE * Y)], [look("rack", Y)])
    moved = stroke.rest({"teeth": Clearance("slot", RACK_LASH, 0.0)}).moved["movement"]
    assert moved == pytest.approx([RACK_LASH / 2 + FORCE / 2e4 + FORCE * LEAD**2 / 3e5], rel=1e-6)
    mark = 80.0 * Z
    stroke = stroke_of(_rack(), [pull("rack", FORCE * Y)], [look("pinion", -Y, mark)])
    moved = stroke.rest({"teeth": Clearance("slot", RACK_LASH, 0.0)}).moved["movement"]
    assert moved == pytest.approx([50.0 * FORCE * LEAD / 3e5], rel=1e-3)


def test_a_pinion_turned_far_carries_the_rack_by_its_lead() -> None:
    # Torque M on the pinion against its own κ and a spring s at the rack: θ = M/(κ + 1/(1/(lead² s) + 1/(lead² k))),
    # here 0.83 rad; the rack lags by its force over the teeth's stiffness, s x = k (lead θ - x).
    settled = settle(_rack(sprung=20.0)).poses
    series = 1.0 / (1.0 / 20.0 + 1.0 / 2e4)
    theta = 2.5e5 / (3e5 + LEAD**2 * series)
    assert rotation_vector(settled["pinion"].rotation) == pytest.approx([theta, 0.0, 0.0], abs=1e-5)
    assert settled["rack"].shift[1] == pytest.approx(series / 20.0 * LEAD * theta, rel=1e-5)
    assert theta > 0.8


def test_a_ratio_over_three_bodies_is_an_equalizer() -> None:
    # A cable equalizer: x1 + x2 - 2 x3 = 0. Pulled at the third by F, held by s1 and s2 at the others: each end carries
    # F/2, and the third moves by the mean of F/2 s1 and F/2 s2, plus (F/2)/(2 k): the cable carries F/2 and the sum
    # stretches by F/2k, of which the third makes up half.
    s1, s2, k = 30.0, 90.0, 4000.0
    names = ("left", "right", "middle")
    rails = tuple(
        joint(f"rail-{name}", GROUND, name, ORIGIN, [s, 1e6, 1e6], turning=1e12, shape=None)
        for name, s in zip(names, (s1, s2, 0.0), strict=True)
    )
    terms = tuple(Shift(GROUND, name, ORIGIN, X, f) for name, f in zip(names, (1.0, 1.0, -2.0), strict=True))
    mechanism = Mechanism(tuple(Body(name, 0.0, ORIGIN) for name in names), (*rails, Ratio("cable", terms, k)))
    for name, expected in (
        ("left", FORCE / 2 / s1),
        ("right", FORCE / 2 / s2),
        ("middle", (FORCE / 2 / s1 + FORCE / 2 / s2 + FORCE / 2 / k) / 2),
    ):
        stroke = stroke_of(mechanism, [pull("middle", FORCE * X)], [look(name, X)])
        assert stroke.rest({}).moved["movement"] == pytest.approx([expected], rel=1e-9)


def test_a_preloaded_gear_holds_until_its_preload_is_exceeded() -> None:
    # A seat in the mesh (tight adjuster, drag of the seals): no lash shows below it.
    at = 200.0 * X + ARM * X
    stroke = stroke_of(_steering_box(X, None), [pull("sector", Y, at)], [look("sector", Y, at)])
    worn = {"gear": Clearance("slot", LASH, 0.0, seat=200.0)}
    least = 200.0 * LEVER / ARM
    assert stroke.rest(worn, 0.99 * least).solution.g == pytest.approx([0.0], abs=1e-12)
    assert stroke.rest(worn, 1.01 * least).solution.g == pytest.approx([LASH / 2], abs=1e-9)


TABLE = np.array([[-0.6, 0.5], [0.0, 0.1], [0.6, 0.9]])


@pytest.mark.parametrize(("angle", "lash"), [(-0.6, 0.5), (-0.3, 0.3), (0.0, 0.1), (0.15, 0.3), (0.6, 0.9)])
def test_lash_over_the_steering_angle_is_straight_between_entries(angle: float, lash: float) -> None:
    assert lash_at(angle, TABLE) == pytest.approx(lash, rel=1e-12)


def test_beyond_its_ends_a_lash_table_keeps_its_last_value() -> None:
    assert (lash_at(-2.0, TABLE), lash_at(2.0, TABLE)) == (0.5, 0.9)


def test_a_lash_table_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match=r"lash table has angles .* accepted are rising ones"):
        lash_at(0.0, TABLE[::-1])
    with pytest.raises(ValueError, match=r"lash table has a lash of -0\.1 mm; accepted is 0 or more"):
        lash_at(0.0, TABLE - np.array([0.0, 0.2]))


def test_a_ratio_names_a_body_that_is_not_there() -> None:
    gear = Ratio("gear", (Turn(GROUND, "rack", X, 1.0), Turn(GROUND, "pinion", X, -1.0)), 1e3)
    with pytest.raises(MechanicsError, match='element "gear" joins "pinion", which is no body of the mechanism'):
        Mechanism((Body("rack", 0.0, ORIGIN),), (gear,))
