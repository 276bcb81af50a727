"""The rear axle on its leaf springs, and the vehicle on four corners: against formulas worked by hand in the test."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.errors import MechanicsError
from looseends.mechanics.bodies import rotation_vector
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import PointJoint, rows
from looseends.mechanics.model import Force, Mechanism, Poses
from looseends.mechanics.settle import contact_gaps, settle
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.strokes import offered, offers
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.front_end import movement, nominal, prepared, shaken, yard_pickup

FRONT_HALF_MM, REAR_HALF_MM, SEAT_Y_MM, TRACK_HALF_MM = 700.0, 750.0, 500.0, 825.0
LOAD_N = 250.0


def on_wheels(vehicle: Vehicle, support: str = "wheels", side: Side | None = None) -> Mechanism:
    """The vehicle held, with the preload of the pickup."""
    setup = Setup("", support, side, "held", "off", 0.0)
    return build_mechanism(vehicle, nominal(), setup, nominal_preload("yard-pickup"))


def tire_load(mechanism: Mechanism, poses: Poses, name: str) -> float:
    """Load [N] of a tire."""
    tire = next(e for e in mechanism.elements if isinstance(e, PointJoint) and e.name == name)
    part = rows(tire, poses)
    return float(-part.stiffness[2] * part.offset[2])


def rear_middle() -> np.ndarray:
    """Middle of the rear axle (3,) [mm]."""
    return yard_pickup().point("rear-axle-middle")


@pytest.mark.parametrize(("end", "prefix"), [("front", ""), ("rear", "rear-")])
@pytest.mark.parametrize("side", SIDES)
def test_each_corner_carries_its_weight(side: Side, end: str, prefix: str) -> None:
    mechanism = on_wheels(yard_pickup())
    load = tire_load(mechanism, settle(mechanism).poses, f"{prefix}tire-{side}")
    assert load == pytest.approx(yard_pickup().numbers[f"{end}_corner_kg"] * GRAVITY, rel=0.005)


def test_the_wheelbase_shares_a_load_between_the_axles() -> None:
    """A load P at the distance x behind the front axle adds P x / L to the rear and the rest to the front."""
    vehicle, load, behind = yard_pickup(), 2000.0, 1215.0
    mechanism = on_wheels(vehicle)
    at = np.array([-behind, 0.0, 600.0])
    added = {}
    for push in ((), (Force("frame", at, np.array([0.0, 0.0, -load])),)):
        poses = settle(mechanism, forces=push).poses
        for axle in ("tire", "rear-tire"):
            added.setdefault(axle, []).append(sum(tire_load(mechanism, poses, f"{axle}-{side}") for side in SIDES))
    by_hand = load * behind / vehicle.numbers["wheelbase_mm"]
    # The vehicle dips, and tires and center of mass shift by some millimetres under more than two tonnes.
    assert added["rear-tire"][1] - added["rear-tire"][0] == pytest.approx(by_hand, abs=0.02 * load)
    assert added["tire"][1] - added["tire"][0] == pytest.approx(load - by_hand, abs=0.02 * load)


def leaf_rate(vehicle: Vehicle) -> float:
    """Rate [N/mm] of a leaf held by its eyes, loaded between them: 3 E I L / (a b)². Source: beam on two supports."""
    stiffness = vehicle.numbers["leaf_bending_upright_N_mm2"]
    whole = FRONT_HALF_MM + REAR_HALF_MM
    return 3.0 * stiffness * whole / (FRONT_HALF_MM * REAR_HALF_MM) ** 2


def test_the_main_leaf_has_a_rate_of_38_newton_per_millimetre() -> None:
    """Load on the frame over the axle, per corner, over its travel against the axle. The rubber adds a little."""
    mechanism, travels = on_wheels(yard_pickup()), []
    for load in (-LOAD_N, LOAD_N):
        push = Force("frame", rear_middle(), np.array([0.0, 0.0, -2.0 * load]))
        poses = settle(mechanism, forces=(push,)).poses
        travels.append((poses["frame"].point(rear_middle()) - poses["rear-axle"].point(rear_middle()))[2])
    measured = 2.0 * LOAD_N / (travels[0] - travels[1])
    assert leaf_rate(yard_pickup()) == pytest.approx(38.0, rel=0.001)
    assert measured == pytest.approx(38.0, rel=0.04)


def without_twisted_rubber(vehicle: Vehicle) -> Vehicle:
    """The vehicle with eyes and shackles that tilt and turn freely."""
    parts = {
        name: replace(part, figure=replace(part.figure, torsion_stiffness=0.0, tilt_stiffness=0.0))
        if part.figure is not None and part.kind.id.startswith("leaf-")
        else part
        for name, part in vehicle.parts.items()
    }
    return replace(vehicle, parts=parts)


def test_the_axle_rolls_against_the_frame_on_springs_a_metre_apart() -> None:
    """Roll stiffness 2 k y² of two springs at ± y, where the rubber in their eyes is not twisted by it."""
    mechanism = on_wheels(without_twisted_rubber(yard_pickup()))
    angles, torques = [], []
    for sign in (-1.0, 1.0):
        pair = tuple(
            Force("frame", np.array([-3645.0, side * 400.0, 600.0]), np.array([0.0, 0.0, side * sign * 800.0]))
            for side in (1.0, -1.0)
        )
        poses = settle(mechanism, forces=pair).poses
        turns = [rotation_vector(poses[body].rotation)[0] for body in ("frame", "rear-axle")]
        angles.append(turns[0] - turns[1])
        torques.append(tire_load(mechanism, poses, "rear-tire-right") - tire_load(mechanism, poses, "rear-tire-left"))
    rate = TRACK_HALF_MM * (torques[1] - torques[0]) / (angles[1] - angles[0])
    assert rate == pytest.approx(2.0 * leaf_rate(yard_pickup()) * SEAT_Y_MM**2, rel=0.05)


@pytest.mark.parametrize("side", SIDES)
def test_the_hanging_axle_rests_on_its_shock_absorbers(side: Side) -> None:
    vehicle = yard_pickup()
    mechanism = on_wheels(vehicle, "frame")
    poses = settle(mechanism).poses
    center = vehicle.point(f"rear-wheel-center-{side}")
    droop = (poses["frame"].point(center) - poses[f"rear-hub-{side}"].point(center))[2]
    assert droop == pytest.approx(vehicle.numbers["rear_droop_mm"], abs=3.0)
    assert contact_gaps(mechanism, poses)[f"rear-shock-end-{side}"] < 0.0


def test_without_the_shock_absorbers_the_axle_would_hang_as_far_as_its_springs_let_it() -> None:
    """The springs are unloaded by all but the axle's own weight: (corner - unsprung) g / k further down."""
    vehicle = yard_pickup()
    stops = tuple(stop for stop in vehicle.layout.stops if stop.id != "rear-shock-end")
    poses = settle(on_wheels(replace(vehicle, layout=replace(vehicle.layout, stops=stops)), "frame")).poses
    drop = -(poses["rear-axle"].point(rear_middle()) - poses["frame"].point(rear_middle()))[2]
    by_hand = vehicle.numbers["rear_corner_kg"] * GRAVITY / leaf_rate(vehicle)
    assert drop == pytest.approx(by_hand, rel=0.05)


def test_a_lift_block_raises_the_rear_by_its_height() -> None:
    vehicle = yard_pickup()
    raised = replace(vehicle, numbers={**vehicle.numbers, "lift_block_mm": 50.0})
    assert carrying_preload(raised, nominal()) == pytest.approx(nominal_preload(vehicle.id))
    rises = [
        (poses["frame"].point(rear_middle()) - rear_middle())[2]
        for poses in (settle(on_wheels(one)).poses for one in (vehicle, raised))
    ]
    assert rises[1] - rises[0] == pytest.approx(50.0, abs=1.5)


@pytest.mark.parametrize("side", SIDES)
def test_one_wheel_raised_twists_the_sway_bar_and_keeps_its_link_shut(side: Side) -> None:
    """Common practice, no source: with one wheel higher than the other a worn link looks tight."""
    link = f"sway-bar-link-{side}"
    level, twisted = (
        movement(shaken(prepared("bushpry", support, side), {(link, "radial"): 1.0}), link).free
        for support in ("ride", "one-wheel")
    )
    assert level > 0.8
    assert twisted < 0.2


def test_a_raised_wheel_needs_a_side() -> None:
    with pytest.raises(MechanicsError, match=r'^support "one-wheel" raises the side that is worked on; '):
        on_wheels(yard_pickup(), "one-wheel")


OFFERED = [
    check
    for check in load_catalogue().checks.values()
    if offers(yard_pickup(), resolve_check(check, "left" if check.sided else None))
]
CASES = [
    (check.id, support, "left" if check.sided else None)
    for check in OFFERED
    for support in check.supports
    if support in yard_pickup().layout.supports
]


@pytest.mark.parametrize(("check", "support", "side"), CASES, ids=[f"{c}-{s}" for c, s, _ in CASES])
def test_every_check_can_be_set_up_in_each_of_its_supports(check: str, support: str, side: Side | None) -> None:
    steer = load_catalogue().checks[check].steer_states[-1]
    setup = Setup(check, support, side, steer, "off", 0.0)
    done = prepare_check(yard_pickup(), nominal(), setup, nominal_preload("yard-pickup"))
    resolved = resolve_check(load_catalogue().checks[check], side)
    assert [stroke.stroke_id for stroke in done.strokes] == [
        s.id for s in resolved.strokes if offered(yard_pickup(), s)
    ]


def test_all_but_the_checks_of_other_layouts_are_offered() -> None:
    assert {"wheel39", "bearing", "bj-radial", "rock", "sway", "tre-squeeze"} <= {check.id for check in OFFERED}
    assert not {"kingpin", "rackmount", "strut", "tire"} & {check.id for check in OFFERED}


def test_a_check_that_grips_nothing_of_the_vehicle_is_refused() -> None:
    vehicle = yard_pickup()
    bodies = tuple(body for body in vehicle.layout.bodies if body.id != "rear-hub")
    bare = replace(vehicle, layout=replace(vehicle.layout, bodies=bodies))
    setup = Setup("rear-shake", "axle", "left", "held", "off", 0.0)
    with pytest.raises(MechanicsError, match=r'^yard-pickup: check "rear-shake" grips nothing that this vehicle has$'):
        prepare_check(bare, nominal(), setup, nominal_preload(vehicle.id))


@pytest.mark.parametrize("axis", ["radial", "axial"])
@pytest.mark.parametrize("side", SIDES)
def test_a_worn_rear_bearing_shows_on_its_own_axis(side: Side, axis: str) -> None:
    part = f"rear-wheel-bearing-{side}"
    other = {"radial": "axial", "axial": "radial"}[axis]
    check = prepared("rear-shake", "axle", side)
    worn, sound = shaken(check, {(part, axis): 1.0}), shaken(check)  # type: ignore[dict-item]
    names = {"radial": part, "axial": f"{part}.axial"}
    assert movement(worn, names[axis]).free == pytest.approx(1.0, rel=0.05)
    assert movement(worn, names[other]).free == pytest.approx(movement(sound, names[other]).free, abs=0.02)


def test_the_foot_brake_hides_a_rear_bearings_end_play() -> None:
    part = "rear-wheel-bearing-left"
    off, on = (
        movement(shaken(prepared("rear-shake", "axle", "left", brake), {(part, "axial"): 1.0}), f"{part}.axial").free
        for brake in ("off", "on")
    )
    assert off > 0.9
    assert on < 0.1


@pytest.mark.parametrize("support", ["axle", "wheels"])
def test_a_loose_clamp_lets_the_pack_slide_by_its_clearance(support: str) -> None:
    part = "u-bolt-clamp-left"
    shown = movement(shaken(prepared("leaf-pry", support, "left"), {(part, "radial"): 1.0}), part)
    assert shown.free == pytest.approx(1.0, rel=0.05)


def test_friction_under_slack_bolts_holds_a_hand_and_gives_way_to_a_bar() -> None:
    part = "u-bolt-clamp-left"
    hand, bar = (
        movement(shaken(prepared("leaf-pry", "axle", "left", force=force), {(part, "radial"): 1.0}), part).total
        for force in (200.0, 2400.0)
    )
    assert hand < 0.05
    assert bar > 1.0


@pytest.mark.parametrize("kind", ["leaf-front-eye-bushing", "leaf-shackle-upper-bushing", "leaf-shackle-lower-bushing"])
def test_torn_rubber_at_eye_and_shackle_shows_where_it_is_pried(kind: str) -> None:
    part = f"{kind}-right"
    check = prepared("leaf-pry", "axle", "right")
    worn, sound = shaken(check, {(part, "radial"): 3.0}), shaken(check)
    assert movement(sound, part).free == pytest.approx(0.0, abs=0.05)
    assert movement(worn, part).total > movement(sound, part).total + 1.0


@pytest.mark.parametrize("side", SIDES)
def test_the_rear_stands_at_its_height_with_stop_and_overload_leaf_open(side: Side) -> None:
    mechanism = on_wheels(yard_pickup())
    gaps = contact_gaps(mechanism, settle(mechanism).poses)
    for stop, number in (("rear-jounce-stop", "rear_jounce_gap_mm"), ("overload-leaf", "overload_gap_mm")):
        assert gaps[f"{stop}-{side}"] == pytest.approx(yard_pickup().numbers[number], abs=1.0)


def test_past_its_gap_the_overload_leaf_adds_its_rate() -> None:
    """Rates of main and overload leaf add: 38 + 42 = 80 N/mm at the wheel, once the axle is 60 mm up."""
    mechanism, travels = on_wheels(yard_pickup()), []
    for load in (2700.0, 3000.0):
        push = Force("frame", rear_middle(), np.array([0.0, 0.0, -2.0 * load]))
        poses = settle(mechanism, forces=(push,)).poses
        travels.append((poses["frame"].point(rear_middle()) - poses["rear-axle"].point(rear_middle()))[2])
    assert travels[0] < -60.0
    assert 300.0 / (travels[0] - travels[1]) == pytest.approx(80.0, rel=0.04)
