"""One check file serves several layouts: what a vehicle has not is neither gripped nor watched."""

from __future__ import annotations

from dataclasses import replace

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.sides import resolve_check
from looseends.catalogue.types import Check, Limit
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.errors import InputError, MechanicsError
from looseends.vehicle.limits import applies_if, limit_mm, speaks_of
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.reading import KINDS, parse_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.shake import nominal_preload, prepare_check
from looseends.vehicle.strokes import applies, offered, offers, wheels_clear
from looseends.vehicle.vehicle import Vehicle
from tests.vehicle.front_end import nominal, yard_pickup
from tests.vehicle.test_vehicle_files import TEXT


def done(check: str) -> Check:
    """The check on the left, where it has a side."""
    found = load_catalogue().checks[check]
    return resolve_check(found, "left" if found.sided else None)


def limit(name: str) -> Limit:
    """A limit by id."""
    return load_catalogue().limits[name]


def with_numbers(**numbers: float) -> Vehicle:
    """The pickup with further numbers."""
    return replace(yard_pickup(), numbers={**yard_pickup().numbers, **numbers})


@pytest.mark.parametrize("check", ["kingpin", "rackmount", "inner-bellows", "strut", "trackbar", "drag-link"])
def test_a_check_of_another_layout_is_not_offered(check: str) -> None:
    assert not offers(yard_pickup(), done(check))


def test_a_stroke_waits_for_a_body_that_it_needs_besides_its_grips() -> None:
    (shake,) = done("wheel39").strokes
    assert offered(yard_pickup(), shake)
    assert offered(yard_pickup(), replace(shake, needs=("center-link",)))
    assert not offered(yard_pickup(), replace(shake, needs=("rack",)))


def test_a_stroke_that_could_only_be_felt_on_parts_that_are_not_there_is_not_offered() -> None:
    shake, _ = done("kingpin").strokes
    assert not offered(yard_pickup(), shake)
    assert offered(yard_pickup(), replace(shake, watches=done("wheel126").strokes[0].watches))


def test_a_watch_against_a_body_that_is_not_there_is_left_out() -> None:
    tread = next(watch for watch in done("wheel39").strokes[0].watches if watch.id == "tread")
    assert applies(yard_pickup(), tread)
    assert not applies(yard_pickup(), replace(tread, against="front-axle"))
    assert not applies(yard_pickup(), replace(tread, part="rack-guide"))


@pytest.mark.parametrize(("check", "support", "clear"), [
    ("wheel39", "frame", True),
    ("wheel39", "axle", False),
    ("rear-shake", "axle", True),
    ("bj-axial", "axle", False),
    ("dry-park", "wheels", True),
])  # fmt: skip
def test_a_wheel_that_is_shaken_is_clear_of_the_floor(check: str, support: str, clear: bool) -> None:
    assert wheels_clear(yard_pickup(), done(check), support) is clear


def test_usual_setups_are_a_sensible_number_of_checks_that_are_offered() -> None:
    setups = usual_setups(yard_pickup())
    assert len(setups) <= 60
    assert {setup.check for setup in setups} <= {c.id for c in load_catalogue().checks.values() if c.kind == "movement"}
    assert ("wheel39", "axle") not in {(setup.check, setup.support) for setup in setups}


def test_a_check_of_condition_is_no_matter_of_mechanics() -> None:
    setup = Setup("tire", "wheels", "left", "held", "off", 0.0)
    sentence = r'^yard-pickup: check "tire" is one of condition, which mechanics does not compute$'
    with pytest.raises(MechanicsError, match=sentence):
        prepare_check(yard_pickup(), nominal(), setup, nominal_preload("yard-pickup"))


def test_a_limit_for_light_vehicles_speaks_of_a_weight_up_to_10000_lb() -> None:
    light, heavy = limit("us-570-7b-linkage"), limit("us-570-61-leak")
    assert (speaks_of(light, with_numbers(gvwr_kg=4536.0)), speaks_of(heavy, with_numbers(gvwr_kg=4536.0))) == (
        True,
        False,
    )
    assert (speaks_of(light, with_numbers(gvwr_kg=4537.0)), speaks_of(heavy, with_numbers(gvwr_kg=4537.0))) == (
        False,
        True,
    )


def test_where_the_file_does_not_give_the_weight_it_is_not_known_whether_a_limit_speaks() -> None:
    numbers = {name: value for name, value in yard_pickup().numbers.items() if name != "gvwr_kg"}
    vehicle = replace(yard_pickup(), numbers=numbers)
    assert speaks_of(limit("us-570-7b-linkage"), vehicle) is None
    assert applies_if(limit("us-570-7b-linkage")) == "its gross vehicle weight rating is up to 4\u00a0536 kg"


def test_a_table_by_wheel_rim_waits_for_the_rim() -> None:
    heavy = {"gvwr_kg": 6000.0}
    rows = [limit(f"us-570-60b-linkage-{name}") for name in ("16", "18", "over-18")]
    assert [speaks_of(row, with_numbers(**heavy)) for row in rows] == [None, None, None]
    fits = [speaks_of(row, with_numbers(**heavy, wheel_rim_diameter_mm=444.5)) for row in rows]
    assert fits == [False, True, False]
    assert "its wheel rims measure over 406 mm and up to 457 mm" in applies_if(rows[1])


def test_a_limit_for_buses_does_not_speak_of_a_pickup_and_says_so_where_the_kind_is_not_known() -> None:
    bus = limit("us-md-lash-under-21")
    assert speaks_of(bus, yard_pickup()) is False
    assert speaks_of(bus, replace(yard_pickup(), kind="bus")) is True
    assert speaks_of(bus, replace(yard_pickup(), kind=None)) is None
    assert applies_if(bus) == "it is a bus"


def test_a_limit_for_racks_does_not_speak_of_a_box() -> None:
    assert speaks_of(limit("uk-lash-box"), yard_pickup()) is True
    assert speaks_of(limit("uk-lash-rack-jointed"), yard_pickup()) is False


def test_exact_a_limit_in_proportion_to_the_steering_wheel() -> None:
    assert limit_mm(limit("uk-lash-box"), with_numbers(rim_diameter_mm=380.0)) == 75.0
    assert limit_mm(limit("uk-lash-box"), with_numbers(rim_diameter_mm=456.0)) == pytest.approx(90.0)
    assert limit_mm(limit("us-570-7a-lash-16"), with_numbers(rim_diameter_mm=300.0)) == 50.8
    numbers = {name: value for name, value in yard_pickup().numbers.items() if name != "rim_diameter_mm"}
    assert limit_mm(limit("uk-lash-box"), replace(yard_pickup(), numbers=numbers)) is None


def test_a_kind_of_vehicle_that_no_rule_knows_is_refused() -> None:
    text = TEXT.replace('kind = "light truck"', 'kind = "boat"')
    with pytest.raises(InputError, match=rf"^pickup.toml: kind must be one of {', '.join(KINDS)}, found 'boat'$"):
        parse_vehicle(text, "pickup.toml")


@pytest.mark.parametrize(
    ("name", "prying"),
    [
        ("harbour-runabout", {"strut-arm", "follower-below"}),
        ("customs-wagon", {"lower"}),
        ("stores-van", {"carrier-above", "follower-below"}),
        ("pilots-sedan", {"lower", "upper"}),
        ("harbour-master", {"lower-front", "lower-rear", "upper-front", "upper-rear"}),
    ],
)
def test_ball_joints_are_pried_as_they_carry_or_follow(name: str, prying: set[str]) -> None:
    """The arm is pried down from the knuckle only where the strut carries the coil, not where the arm has it."""
    strokes = [stroke for stroke in done("bj-radial").strokes if offered(load_vehicles()[name], stroke)]
    assert {stroke.id for stroke in strokes} == prying
