"""What one vehicle may say otherwise than its layouts: options left out, masses and tires of its own, shared tables."""

from __future__ import annotations

import re

import pytest

from looseends.errors import InputError
from looseends.vehicle.layout import load_layout, load_layouts, parse_layout
from looseends.vehicle.reading import parse_vehicle
from tests.vehicle.other_vehicles import vehicle, vehicle_text


def refusal(name: str, found: str, replaced: str) -> str:
    """The sentence with which a vehicle that ships is refused after a change."""
    text = vehicle_text(name)
    assert found in text
    with pytest.raises(InputError) as refused:
        parse_vehicle(text.replace(found, replaced, 1), "x.toml")
    return str(refused.value)


@pytest.mark.parametrize(
    ("name", "found", "replaced", "sentence"),
    [
        (
            "pilots-sedan",
            '"steering-damper"',
            '"steering-dampr"',
            r'x.toml, without: option "steering-dampr" is not known',
        ),
        ("crew-van", "rear-axle = 240.0", "rear-axel = 240.0", r'x.toml, masses_kg: body "rear-axel" is not known'),
        ("crew-van", "rear-axle = 240.0", "rear-axle = 0", r"x.toml, masses_kg: rear-axle must be a mass above 0 kg"),
        ("crew-van", "rear_dual_spacing_mm = 280.0", "rear_dual_spacing_mm = 0", r"rear_dual_spacing_mm must be > 0"),
        ("crew-van", "rear_tire_lateral", "rear_tyre_lateral", r'"rear_tyre_lateral_N_per_mm" is not known'),
        (
            "quay-tractor",
            '"damper-on-drag-link"',
            "",
            'x.toml: of the places of the damper, "damper-on-drag-link", "damper-on-tie-rod", a vehicle has one',
        ),
        ("harbour-runabout", "strut-lower = [-7, 655, 390]\n", "", r'"strut-lower" is missing'),
    ],
)
def test_a_wrong_entry_is_named(name: str, found: str, replaced: str, sentence: str) -> None:
    assert re.search(re.escape(sentence), refusal(name, found, replaced))


def test_masses_of_the_vehicle_come_before_those_of_the_layout() -> None:
    own, usual = (
        {body.id: body.mass for body in layout.bodies}
        for layout in (vehicle("crew-van").layout, load_layouts()["leaf-axle"])
    )
    assert (own["rear-axle"], usual["rear-axle"]) == (240.0, 76.0)
    assert own["front-axle"] == {b.id: b.mass for b in load_layouts()["solid-axle-leaf-king-pin"].bodies}["front-axle"]


def test_shared_tables_stand_behind_the_layouts_own() -> None:
    steered = [layout for layout in load_layouts().values() if layout.end == "steering"]
    assert len(steered) >= 3
    for layout in steered:
        assert [body.id for body in layout.bodies][-2:] == ["intermediate-shaft", "column-shaft"]
        assert layout.rim is not None and layout.rim.body == "column-shaft"


def test_an_unknown_shared_file_is_named() -> None:
    with pytest.raises(InputError, match=r'^x.toml, include: shared file "column" is not known'):
        parse_layout('id = "x"\ninclude = ["column"]\n', "x.toml")


@pytest.mark.parametrize(
    ("left_out", "held_by"),
    [("damper-on-drag-link", ["front-axle", "tie-rod"]), ("damper-on-tie-rod", ["frame", "drag-link"])],
)
def test_the_damper_sits_in_the_one_place_that_is_not_left_out(left_out: str, held_by: list[str]) -> None:
    text = vehicle_text("quay-tractor").replace("damper-on-drag-link", left_out)
    joints = [joint for joint in parse_vehicle(text, "x.toml").layout.joints if joint.part == "steering-damper"]
    assert [joint.a for joint in joints] == held_by


@pytest.mark.parametrize("name", ["quay-tractor", "tug-tender", "stores-van"])
def test_a_vehicle_without_its_damper_has_neither_its_part_nor_its_line(name: str) -> None:
    text = vehicle_text(name)
    text = text if "without = " in text else text.replace('assist = "power"', 'without = []\nassist = "power"')
    whole = parse_vehicle(text.replace("without = [", 'without = ["steering-damper", '), "x.toml")
    assert "steering-damper" in vehicle(name).parts
    assert "steering-damper" not in whole.parts
    assert "steering damper" not in {line.name for line in whole.layout.lines}


def test_an_own_entry_stands_in_place_of_the_shared_one_of_its_name() -> None:
    own = load_layout("double-arm-lower-bar")
    knuckles = [body.mass for body in own.bodies if body.id == "knuckle"]
    assert knuckles == [15.0]
    assert [body.mass for body in load_layout("double-arm-upper-bar").bodies if body.id == "knuckle"] == [13.0]
