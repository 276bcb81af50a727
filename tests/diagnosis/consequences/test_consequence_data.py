"""The data of consequences: what ships is whole, and what is wrong is refused in one sentence."""

from __future__ import annotations

from importlib import resources

import pytest

from looseends.diagnosis.consequences.patterns import load_tire_signs, read_tire_signs
from looseends.diagnosis.consequences.places import load_places, read_places, watched_places
from looseends.diagnosis.consequences.road_cases import load_road_cases, read_road_cases
from looseends.errors import InputError
from looseends.vehicle.loading import load_vehicles
from tests.vehicle.front_end import yard_pickup

READERS = {"watched_places": read_places, "road_cases": read_road_cases, "tire_signs": read_tire_signs}


def text_of(file: str) -> str:
    """A data file that ships."""
    return (resources.files("looseends.diagnosis.consequences") / "data" / f"{file}.toml").read_text(encoding="utf-8")


def test_what_is_asked_of_the_road_is_there() -> None:
    assert set(load_road_cases()) == {"straight", "rolling", "braking", "cornering", "rough"}
    assert all(case.source == "common practice, no source" for case in load_road_cases().values())
    assert load_road_cases()["braking"].brake == "on"
    assert all(sign.source.startswith("assumed") for sign in load_tire_signs().values())


def test_the_pickup_is_watched_at_every_wheel_and_at_the_rim() -> None:
    found = {place.id: place for place in watched_places(yard_pickup())}
    wheels = [f"{kind}-{side}" for kind in ("tread", "tire-top") for side in ("left", "right")]
    assert set(found) == {*wheels, *(f"rear-{name}" for name in wheels), "rim"}
    assert found["tread-left"].name == "tread of the left front wheel, toe"
    assert (found["tread-left"].look.setup.support, found["rim"].look.setup.support) == ("ride", "wheels")


@pytest.mark.parametrize("vehicle_id", sorted(load_vehicles()))
def test_every_vehicle_is_watched_at_its_front_wheels_and_at_the_rim(vehicle_id: str) -> None:
    ids = {place.id for place in watched_places(load_vehicles()[vehicle_id])}
    assert ids >= {"tread-left", "tread-right", "tire-top-left", "tire-top-right", "rim"}
    assert len([place for place in load_places().values() if place.direction == "rim"]) == 1


@pytest.mark.parametrize(
    ("file", "old", "new", "sentence"),
    [
        ("watched_places", 'check = "dry-park"', 'check = "dry-parc"', 'place "rim": check "dry-parc" is not known'),
        ("watched_places", 'watch = "rim"', 'watch = "rimm"', 'place "rim": watch "rimm" is not known'),
        ("watched_places", 'direction = "rim"', 'direction = "up"', "direction must be one of toe, camber, rim"),
        ("watched_places", 'supports = ["wheels"]', 'supports = ["frame"]', 'supports "frame" is not known'),
        ("road_cases", "bump_mm = 10", "bump_mm = 90", "bump_mm must be a number from 0 to 50, found 90"),
        ("road_cases", "along_of_load = -0.5", "along_of_load = -5", "along_of_load must be a number from -1 to 1"),
        ("road_cases", "bump_mm = 10", "bump_mm = 0", "bump_mm must be greater than 0 where no force along or across"),
        ("road_cases", "from_share = 0\n", "from_share = 1\n", "to_share must be greater than from_share = 1, found 1"),
        ("road_cases", 'body = "stays"', 'body = "flies"', "body must be one of rides, stays"),
        ("road_cases", 'sides = "against"', 'side = "against"', "sides must be one of together, against"),
        ("tire_signs", 'pattern = "feathered"', 'pattern = "feathred"', 'pattern "feathred" is not known'),
        ("tire_signs", 'cases = ["rough", "straight"]', 'cases = ["ruff"]', 'cases "ruff" is not known'),
        ("tire_signs", "at_least_deg = 0.25", "at_least_deg = 0", "at_least_deg must be a number > 0, found 0"),
        ("tire_signs", 'angle = "total toe"', 'angle = "toe"', "angle must be one of toe swing, camber swing"),
    ],
)
def test_what_is_wrong_is_refused_by_its_name(file: str, old: str, new: str, sentence: str) -> None:
    text = text_of(file)
    assert old in text
    with pytest.raises(InputError) as refused:
        READERS[file](text.replace(old, new))
    assert sentence in str(refused.value)
    assert str(refused.value).startswith(f"{file}.toml, ")


@pytest.mark.parametrize("file", READERS)
def test_an_unknown_field_and_a_second_entry_of_a_name_are_refused(file: str) -> None:
    text = text_of(file)
    with pytest.raises(InputError, match="is not known"):
        READERS[file](text + '\nwrong_field = "x"\n')
    with pytest.raises(InputError, match="must stand once"):
        READERS[file](text + text)
