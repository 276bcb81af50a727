"""A wrong vehicle file is answered with one sentence: file, field, value found, what is accepted."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from looseends.errors import InputError
from looseends.vehicle.vehicle import parse_vehicle

TEXT = (resources.files("looseends.vehicle") / "data" / "vehicles" / "yard-pickup.toml").read_text(encoding="utf-8")
BALL = "lower-ball-joint = [8, 750, 268]"
LAYOUT = "double-arm-lower-bar-parallelogram"

WRONG = {
    "missing point": (
        f"{BALL}\n",
        "",
        f'x.toml, points: "lower-ball-joint" is missing; the layout {LAYOUT} needs it',
    ),
    "missing axis point": (
        "torsion-bar-rear = [-1250, 375, 261]\n",
        "",
        f'x.toml, points: "torsion-bar-rear" is missing; the layout {LAYOUT} needs it',
    ),
    "missing wheel": ("wheel-center = [0, 825, 385]\n", "", 'x.toml, points: "wheel-center" is missing'),
    "coincident points": (
        "upper-ball-joint = [-8.5, 704, 530]",
        "upper-ball-joint = [8, 750, 268]",
        'x.toml, points: the axis of "lower-ball-joint" needs two points at least 1 mm apart, '
        "found ('lower-ball-joint', 'upper-ball-joint')",
    ),
    "missing key": ('name = "yard pickup"\n', "", 'x.toml: key "name" is missing'),
    "not a number": (
        "front_corner_kg = 665.0",
        'front_corner_kg = "heavy"',
        "x.toml, numbers: front_corner_kg must be a finite number, found 'heavy'",
    ),
    "not finite": (
        "front_corner_kg = 665.0",
        "front_corner_kg = nan",
        "x.toml, numbers: front_corner_kg must be a finite number, found nan",
    ),
    "not above zero": (
        "front_corner_kg = 665.0",
        "front_corner_kg = 0",
        "x.toml, numbers: front_corner_kg must be > 0, found 0.0",
    ),
    "not three numbers": (
        BALL,
        "lower-ball-joint = [8, 750]",
        "x.toml, points: lower-ball-joint must be three numbers [x, y, z] in mm, found [8, 750]",
    ),
    "unknown layout": (
        f'layout = "{LAYOUT}"',
        'layout = "strut"',
        f'x.toml: layout "strut" is unknown; accepted: {LAYOUT}',
    ),
    "unknown figure": (
        'wheel-bearing = "wheel-bearing-taper"',
        'wheel-bearing = "wheel-bearing-tapr"',
        'x.toml, figures: "wheel-bearing-tapr" is no joint figure of the catalogue',
    ),
}


def test_the_file_as_it_ships_is_accepted() -> None:
    assert parse_vehicle(TEXT, "x.toml").id == "yard-pickup"


@pytest.mark.parametrize(("found", "replaced", "sentence"), list(WRONG.values()), ids=list(WRONG))
def test_a_wrong_vehicle_file_is_named(found: str, replaced: str, sentence: str) -> None:
    assert TEXT.count(found) == 1
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        parse_vehicle(TEXT.replace(found, replaced), "x.toml")


def test_text_that_is_no_toml_is_named() -> None:
    with pytest.raises(InputError, match=r"^x\.toml: not a TOML file: "):
        parse_vehicle("points = [", "x.toml")
