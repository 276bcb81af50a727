"""Rear layouts: they settle in every support, carry their load, and show the play of their bushings.

Effects of the trade: common practice, no source. Figures: proportions from memory, computed from the points.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from looseends.errors import InputError
from looseends.mechanics.constants import GRAVITY
from looseends.mechanics.elements import Contact, rows
from looseends.mechanics.settle import settle
from looseends.vehicle.alteration import Altered
from looseends.vehicle.altered import altered
from looseends.vehicle.build import build_mechanism
from looseends.vehicle.carrying import AIR_MPA
from looseends.vehicle.layout import load_layouts, parse_layout
from looseends.vehicle.preload import carrying_preload
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.setup import Setup, Side
from looseends.vehicle.shake import hold, prepare_check
from looseends.vehicle.shake import shake as shake_vehicle
from looseends.vehicle.specimen import nominal_specimen
from looseends.vehicle.vehicle import SIDES, Vehicle
from tests.vehicle.other_vehicles import (
    OUT,
    Push,
    held,
    no_clearance,
    seen,
    spring_force,
    vehicle,
    vehicle_text,
    wheel_drop,
    without_rubber_torsion,
)

NAMES = ("guest-estate", "mail-hatchback", "purser-sedan", "school-bus")
SUPPORTS = [(name, support) for name in NAMES for support in vehicle(name).layout.supports]
HANGING_ON = {"mail-hatchback": "rear-rebound-stop"}
STANDING = Setup("", "wheels", None, "held", "off", 0.0)


@pytest.mark.parametrize(("name", "support"), SUPPORTS)
def test_every_support_settles_with_only_the_stops_closed_that_hanging_closes(name: str, support: str) -> None:
    gaps = held(name, support, "left" if support == "one-wheel" else None).stop_gaps
    pressed = {contact for contact, gap in gaps.items() if gap < 0.0 and "stand" not in contact}
    carrying = {contact for contact in gaps if contact.startswith("air-spring")}
    if support == "frame":
        ends = (HANGING_ON.get(name, "rear-shock-end"), "rebound-stop")
        assert pressed == {f"{stop}-{side}" for stop in ends for side in SIDES}
    else:
        assert pressed == carrying


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("side", SIDES)
def test_each_rear_corner_stands_at_its_height_and_carries_its_weight(name: str, side: Side) -> None:
    state = held(name, "wheels")
    tire = next(e for e in state.mechanism.elements if e.name == f"rear-tire-{side}")
    part = rows(tire, state.poses)
    load = vehicle(name).numbers["rear_corner_kg"] * GRAVITY
    assert float(-part.stiffness[2] * part.offset[2]) == pytest.approx(load, rel=0.01)
    assert wheel_drop(name, state, side, "rear") == pytest.approx(0.0, abs=0.6)


def push_of_the_coil(name: str) -> float:
    """Force [N] of the left rear coil, the vehicle standing and its rubber free to turn."""
    free = without_rubber_torsion(vehicle(name))
    specimen = nominal_specimen(free)
    return spring_force(hold(free, specimen, STANDING, carrying_preload(free, specimen)), "rear-coil-left")


def sprung(name: str, *hanging: tuple[str, float]) -> float:
    """Load [N] on one rear wheel less what hangs on it, each body with the share of it that the wheel carries."""
    mass = {body.id: body.mass for body in vehicle(name).layout.bodies}
    return (vehicle(name).numbers["rear_corner_kg"] - sum(share * mass[body] for body, share in hanging)) * GRAVITY


def test_the_coil_of_a_semi_trailing_arm_pushes_as_moments_about_its_pivots_say() -> None:
    """Levers about the oblique line of the pivots, in plan: the wheel 534 mm behind it, the coil 425 mm; upright."""
    whole = vehicle("purser-sedan")
    inner, outer = (whole.point(f"semi-arm-{end}-left")[:2] for end in ("inner", "outer"))

    def lever(name: str) -> float:
        (ax, ay), (bx, by) = outer - inner, whole.point(f"{name}-left")[:2] - inner
        return abs(float(ax * by - ay * bx)) / float(np.hypot(ax, ay))

    load = sprung("purser-sedan", ("rear-hub", 1.0), ("semi-arm", 0.5))
    by_hand = load * lever("rear-wheel-center") / lever("rear-spring-lower")
    assert lever("rear-wheel-center") == pytest.approx(534.0, abs=1.0)
    assert push_of_the_coil("purser-sedan") == pytest.approx(by_hand, rel=0.02)


def test_the_coil_of_the_spring_link_pushes_as_the_links_levers_say() -> None:
    """The link is 450 mm long and its coil stands 240 mm from the inner end. The knuckle pitches about the trailing
    link's front, 470 mm ahead of the wheel and 550 mm ahead of the link, and rolls about where the upper and lower link
    meet, 2470 mm inboard of the link and 2545 mm of the wheel.
    """
    unsprung = (("rear-hub", 1.0), ("rear-knuckle", 1.0), *((f"rear-{link}-link", 0.5) for link in (
        "upper", "lower", "toe", "front-lateral", "trailing")))  # fmt: skip
    by_hand = sprung("guest-estate", *unsprung) * (450.0 / 240.0) * (470.0 / 550.0) * (2545.0 / 2470.0)
    assert push_of_the_coil("guest-estate") == pytest.approx(by_hand, rel=0.02)


def test_the_rear_strut_carries_its_corner_along_its_own_line() -> None:
    """Coil force times its upright share is the load; level lateral links carry across only."""
    whole = vehicle("mail-hatchback")
    line = whole.point("rear-strut-top-left") - whole.point("rear-strut-lower-left")
    upright = float(line[2] / np.linalg.norm(line))
    links = ((f"rear-{link}-link", 0.5) for link in ("front-lateral", "rear-lateral", "trailing"))
    load = sprung("mail-hatchback", ("rear-hub", 1.0), ("rear-knuckle", 1.0), *links)
    assert push_of_the_coil("mail-hatchback") == pytest.approx(load / upright, rel=0.04)


def air_spring(whole: Vehicle, support: str) -> tuple[Contact, float]:
    """The left air spring and the force [N] with which it presses in a support."""
    specimen = nominal_specimen(whole)
    state = hold(whole, specimen, replace(STANDING, support=support), carrying_preload(whole, specimen))
    spring = next(e for e in state.mechanism.elements if e.name == "air-spring-left")
    assert isinstance(spring, Contact)
    return spring, max(0.0, -spring.stiffness * state.stop_gaps["air-spring-left"])


def test_an_air_spring_presses_by_its_load_and_its_rate_follows() -> None:
    """Boyle's law: (F + p₀ A) / h, with F what the axle's side carries. Laden twice, it is as high and stiffer."""
    bus = without_rubber_torsion(vehicle("school-bus"))
    area, height = bus.numbers["air_spring_area_mm2"], bus.numbers["air_spring_height_mm"]
    links = (("trailing-link-lower", 0.5), ("trailing-link-upper", 0.5), ("rear-track-bar", 0.25))
    for kg in (1900.0, 2600.0):
        laden = replace(bus, numbers={**bus.numbers, "rear_corner_kg": kg})
        spring, force = air_spring(laden, "wheels")
        by_hand = (kg - 1900.0) * GRAVITY + sprung("school-bus", ("rear-hub", 1.0), ("rear-axle", 0.5), *links)
        assert force == pytest.approx(by_hand, rel=0.02)
        assert spring.stiffness == pytest.approx((force + AIR_MPA * area) / height, rel=0.01)


def test_hanging_an_air_spring_is_slack_and_on_axle_stands_it_presses() -> None:
    assert air_spring(vehicle("school-bus"), "frame")[1] == 0.0
    assert held("school-bus", "frame").stop_gaps["air-spring-left"] > 90.0
    assert air_spring(vehicle("school-bus"), "axle")[1] > 14000.0


SHAKES = [
    ("guest-estate", "rear-upper-link-inner-bushing", "top", "bottom"),
    ("mail-hatchback", "rear-rear-lateral-link-inner-bushing", "front", "rear"),
]


@pytest.mark.parametrize(("name", "part", "one", "other"), SHAKES)
@pytest.mark.parametrize("side", SIDES)
def test_play_of_a_rear_bushing_shows_at_the_raised_tire(
    name: str, part: str, one: str, other: str, side: Side
) -> None:
    hub, force = f"rear-hub-{side}", 200.0 * OUT
    push = Push([(hub, f"rear-tread-{one}-{side}", force), (hub, f"rear-tread-{other}-{side}", -force)])
    place = (hub, f"rear-tread-{one}-{side}")
    state = held(name, "axle")
    worn, sound = (seen(name, state, push, w, point=place) for w in ({(f"{part}-{side}", "radial"): 2.0}, {}))
    assert worn.free - sound.free > 0.8


@pytest.mark.parametrize("side", SIDES)
def test_play_of_the_toe_links_bushing_hides_while_the_wheel_hangs(side: Side) -> None:
    """Hanging, its twisted rubber and the other links press it to one side. Effect of the trade."""
    hub, worn = f"rear-hub-{side}", {(f"rear-toe-link-outer-bushing-{side}", "radial"): 2.0}
    push = Push([(hub, f"rear-tread-front-{side}", 200.0 * OUT), (hub, f"rear-tread-rear-{side}", -200.0 * OUT)])
    more = {}
    for support in ("frame", "axle", "plates"):
        totals = [
            seen("guest-estate", held("guest-estate", support), push, w, point=(hub, f"rear-tread-front-{side}")).total
            for w in (worn, {})
        ]
        more[support] = totals[0] - totals[1]
    assert more["frame"] < 0.1
    assert min(more["axle"], more["plates"]) > 0.5


@pytest.mark.parametrize("name", NAMES[:3])
def test_a_sound_rear_shows_the_same_on_both_sides(name: str) -> None:
    totals = []
    for side in SIDES:
        hub = f"rear-hub-{side}"
        push = Push([(hub, f"rear-tread-top-{side}", 150.0 * OUT), (hub, f"rear-tread-bottom-{side}", -150.0 * OUT)])
        totals.append(seen(name, held(name, "axle"), push, no_clearance(name), point=(hub, f"rear-tread-top-{side}")))
    assert totals[0].total == pytest.approx(totals[1].total, rel=0.01)


def underslung(seat_z: float = 340.0) -> Vehicle:
    """The pickup with its packs below the axle."""
    text = vehicle_text("yard-pickup").replace('rear = "leaf-axle"', 'rear = "leaf-axle-underslung"')
    text = text.replace("\nleaf-seat = [-3645, 500, 430]", f"\nleaf-seat = [-3645, 500, {seat_z}]")
    return parse_vehicle(text, "x.toml")


def test_a_block_under_the_axle_of_an_underslung_spring_lowers_the_frame() -> None:
    def rise(whole: Vehicle) -> float:
        specimen = nominal_specimen(whole)
        poses = settle(build_mechanism(whole, specimen, STANDING, carrying_preload(whole, specimen))).poses
        center = whole.point("rear-wheel-center-left")
        return float(poses["frame"].point(center)[2] - poses["rear-hub-left"].point(center)[2])

    plain = underslung()
    assert rise(plain) == pytest.approx(0.0, abs=0.1)
    assert rise(altered(plain, [Altered("lift-block", 40.0)], "x")) == pytest.approx(-40.0, abs=3.0)


def eye_play(whole: Vehicle, part: str) -> float:
    """How much more [mm] a leaf's eye moves under the bar with 3 mm of clearance than when it is sound."""
    specimen = nominal_specimen(whole)
    preload = carrying_preload(whole, specimen)
    check = prepare_check(whole, specimen, Setup("leaf-pry", "axle", "left", "held", "off", 0.0), preload)
    worn, sound = (
        next(m.total for m in shake_vehicle(whole, specimen, check, w).movements if m.watch == part)
        for w in ({(part, "radial"): 3.0}, {})
    )
    return worn - sound


def test_with_shackles_at_the_front_the_fixed_eye_is_pried_at_the_rear() -> None:
    """The packs set the other way round, halves of 700 and 750 mm as before: a torn eye shows as much as the other."""
    text = vehicle_text("yard-pickup").replace('rear = "leaf-axle"', 'rear = "leaf-axle-front-shackle"')
    text = text.replace("\nleaf-front-eye = [-2945, 500, 430]", "\nleaf-rear-eye = [-4345, 500, 430]")
    text = text.replace("shackle-lower = [-4395, 500, 470]", "shackle-lower = [-2895, 500, 470]")
    text = text.replace("shackle-upper = [-4420, 500, 585]", "shackle-upper = [-2870, 500, 585]")
    turned = eye_play(parse_vehicle(text, "x.toml"), "leaf-rear-eye-bushing-left")
    assert turned == pytest.approx(eye_play(vehicle("yard-pickup"), "leaf-front-eye-bushing-left"), rel=0.1)
    assert turned > 2.0


def test_metal_bushings_of_a_leaf_are_a_figure_of_the_vehicle_file() -> None:
    kinds = ("leaf-front-eye-bushing", "leaf-shackle-upper-bushing", "leaf-shackle-lower-bushing")
    lines = "".join(f'{kind} = "leaf-eye-bushing-metal"\n' for kind in kinds)
    text = vehicle_text("yard-pickup").replace("[figures]\n", f"[figures]\n{lines}")
    part = parse_vehicle(text, "x.toml").parts["leaf-front-eye-bushing-left"]
    assert part.figure is not None
    assert part.figure.shape == "pin"
    assert part.figure.radial.sound_clearance.hi > 0.0


def test_a_variant_has_all_of_its_layout_but_what_it_replaces_and_drops() -> None:
    coils, air = (load_layouts()[name] for name in ("coil-trailing-links", "air-trailing-links"))
    assert air.joints == coils.joints and air.supports == coils.supports
    assert [spring.id for spring in coils.springs] == ["rear-coil"]
    assert air.springs == ()
    assert [spring.id for spring in air.air_springs] == ["air-spring"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('extends = "leaf-axel"\n', 'x.toml, extends: layout "leaf-axel" is not known; did you mean "leaf-axle"'),
        (
            'extends = "leaf-axle"\n[drops]\nstop = ["overload-leave"]\n',
            'x.toml, drops: stop "overload-leave" is not known; did you mean "overload-leaf"',
        ),
    ],
)
def test_a_variant_of_what_is_not_there_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}"):
        parse_layout(text, "x.toml")
