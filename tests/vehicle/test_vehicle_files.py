"""A wrong vehicle file is answered with one sentence: file, field, value found, what is accepted."""

from __future__ import annotations

import math
import re
from importlib import resources

import pytest

from looseends.errors import InputError
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.reading import parse_vehicle

TEXT = (resources.files("looseends.vehicle") / "data" / "vehicles" / "yard-pickup.toml").read_text(encoding="utf-8")
LIMITS = "[maker_limits]\n"
BALL = "lower-ball-joint = [8, 750, 268]"
LAYOUT = "double-arm-lower-bar + parallelogram-box + leaf-axle"


def layouts_of(end: str) -> str:
    """Ids of the layouts of one end, as a sentence lists them."""
    return ", ".join(sorted(layout.id for layout in load_layouts().values() if layout.end == end))


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
    "missing wheel": ("\nwheel-center = [0, 825, 385]\n", "\n", 'x.toml, points: "wheel-center" is missing'),
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
        "x.toml, numbers: front_corner_kg must be > 0, found 0",
    ),
    "not three numbers": (
        BALL,
        "lower-ball-joint = [8, 750]",
        "x.toml, points: lower-ball-joint must be three numbers [x, y, z] in mm, found [8, 750]",
    ),
    "unknown layout": (
        'steering = "parallelogram-box"',
        'steering = "rack"',
        f'x.toml: steering layout "rack" is unknown; accepted: {layouts_of("steering")}',
    ),
    "layout of another end": (
        'rear = "leaf-axle"',
        'rear = "parallelogram-box"',
        f'x.toml: rear layout "parallelogram-box" is unknown; accepted: {layouts_of("rear")}',
    ),
    "assist that is none": (
        'assist = "power"',
        'assist = "electric"',
        "x.toml: assist must be one of manual, power, found 'electric'",
    ),
    "missing number of every vehicle": (
        "frame_center_height_mm = 600.0\n",
        "",
        f'x.toml, numbers: "frame_center_height_mm" is missing; the layout {LAYOUT} needs it',
    ),
    "missing number of a stop": (
        "rebound_stop_gap_mm = 24.2\n",
        "",
        f'x.toml, numbers: "rebound_stop_gap_mm" is missing; the layout {LAYOUT} needs it',
    ),
    "missing number of a guide": (
        "sway_bar_rate = 6.5e6\n",
        "",
        f'x.toml, numbers: "sway_bar_rate" is missing; the layout {LAYOUT} needs it',
    ),
    "missing number of a ratio": (
        "gear_ratio = 16.0\n",
        "",
        f'x.toml, numbers: "gear_ratio" is missing; the layout {LAYOUT} needs it',
    ),
    "missing number of a spring": (
        "leaf_torsion_N_mm2 = 3.0e9\n",
        "",
        f'x.toml, numbers: "leaf_torsion_N_mm2" is missing; the layout {LAYOUT} needs it',
    ),
    "missing corner of the rear": (
        "rear_corner_kg = 485.0\n",
        "",
        f'x.toml, numbers: "rear_corner_kg" is missing; the layout {LAYOUT} needs it',
    ),
    "missing rim": (
        "rim_diameter_mm = 394.0\n",
        "",
        "x.toml, numbers: rim_diameter_mm must be > 0, found None",
    ),
    "missing center of the rim": (
        "rim-center = [-1080, 400, 940]\n",
        "",
        'x.toml, points: "rim-center" is missing; the ring "rim" needs it',
    ),
    "block below zero": (
        "lift_block_mm = 0.0",
        "lift_block_mm = -5.0",
        "x.toml, numbers: lift_block_mm must be >= 0, found -5",
    ),
    "layout's number not above zero": (
        "jounce_stop_gap_mm = 20.0",
        "jounce_stop_gap_mm = -1",
        "x.toml, numbers: jounce_stop_gap_mm must be > 0, found -1",
    ),
    "maker's limit not above zero": (
        LIMITS,
        f'{LIMITS}lower-ball-joint = {{ axial_mm = 0, procedure = "manual" }}\n',
        "x.toml, maker_limits, lower-ball-joint: axial_mm must be a clearance above 0 and below 25 mm, found 0",
    ),
    "maker's limit in words": (
        LIMITS,
        f'{LIMITS}lower-ball-joint = {{ radial_mm = "none", procedure = "manual" }}\n',
        "x.toml, maker_limits, lower-ball-joint: radial_mm must be a clearance above 0 and below 25 mm, found 'none'",
    ),
    "maker's limit without its procedure": (
        LIMITS,
        f"{LIMITS}lower-ball-joint = {{ axial_mm = 0.5 }}\n",
        "x.toml, maker_limits, lower-ball-joint: procedure must name the maker's procedure, found None",
    ),
    "maker's limit as a bare number": (
        LIMITS,
        f"{LIMITS}lower-ball-joint = 0.5\n",
        "x.toml, maker_limits, lower-ball-joint: must be a table with radial_mm, axial_mm and procedure, found 0.5",
    ),
    "maker's limit without a clearance": (
        LIMITS,
        f'{LIMITS}lower-ball-joint = {{ procedure = "manual" }}\n',
        "x.toml, maker_limits, lower-ball-joint: radial_mm or axial_mm must be given, found neither",
    ),
    "source that is no text": (
        'source = "invented-vehicle"',
        'source = ["invented-vehicle"]',
        "x.toml: source must be a text, found ['invented-vehicle']",
    ),
    "missing droop": (
        "droop_mm = 80.0\n",
        "",
        f'x.toml, numbers: "droop_mm" is missing; the layout {LAYOUT} needs it',
    ),
    "unknown figure": (
        'wheel-bearing = "wheel-bearing-taper"',
        'wheel-bearing = "wheel-bearing-tapr"',
        'x.toml, figures: "wheel-bearing-tapr" is no joint figure of the catalogue',
    ),
}


UNKNOWN = {
    "unknown number": (
        "wheelbase_mm = 3645.0",
        "wheelbaze_mm = 3645.0",
        'x.toml, numbers: number "wheelbaze_mm" is not known; did you mean "wheelbase_mm"',
    ),
    "unknown kind in figures": (
        'wheel-bearing = "wheel-bearing-taper"',
        'wheel-baring = "wheel-bearing-taper"',
        'x.toml, figures: part kind "wheel-baring" is not known; did you mean "wheel-bearing"',
    ),
    "unknown source": (
        'source = "invented-vehicle"',
        'source = "invented-vehicel"',
        'x.toml: source "invented-vehicel" is not known; did you mean "invented-vehicle"',
    ),
    "maker's limit by an unknown key": (
        LIMITS,
        f'{LIMITS}lower-ball-joint = {{ axial = 0.5, procedure = "manual" }}\n',
        'x.toml, maker_limits, lower-ball-joint: key "axial" is not known; did you mean "axial_mm"',
    ),
    "maker's limit of an unknown kind": (
        LIMITS,
        f'{LIMITS}lower-ball-jont = {{ axial_mm = 0.5, procedure = "manual" }}\n',
        'x.toml, maker_limits: part kind "lower-ball-jont" is not known; did you mean "lower-ball-joint"',
    ),
}
"""Names that nobody knows, and the beginning of the sentence; what else it offers depends on the catalogue."""


def test_the_file_as_it_ships_is_accepted() -> None:
    assert parse_vehicle(TEXT, "x.toml").id == "yard-pickup"


@pytest.mark.parametrize(("found", "replaced", "sentence"), list(WRONG.values()), ids=list(WRONG))
def test_a_wrong_vehicle_file_is_named(found: str, replaced: str, sentence: str) -> None:
    assert TEXT.count(found) == 1
    with pytest.raises(InputError, match=f"^{re.escape(sentence)}$"):
        parse_vehicle(TEXT.replace(found, replaced), "x.toml")


@pytest.mark.parametrize(("found", "replaced", "sentence"), list(UNKNOWN.values()), ids=list(UNKNOWN))
def test_an_unknown_name_is_refused_with_the_nearest_one(found: str, replaced: str, sentence: str) -> None:
    assert TEXT.count(found) == 1
    with pytest.raises(InputError, match=rf"^{re.escape(sentence)}.*\?$"):
        parse_vehicle(TEXT.replace(found, replaced), "x.toml")


def test_numbers_that_the_mechanism_does_not_need_may_be_left_out() -> None:
    line = "wheelbase_mm = 3645.0\n"
    assert TEXT.count(line) == 1
    assert parse_vehicle(TEXT.replace(line, ""), "x.toml").id == "yard-pickup"


def test_the_makers_limit_comes_before_common_practice_on_its_axis_and_its_kind_alone() -> None:
    entry = 'lower-ball-joint = { axial_mm = 0.5, procedure = "service manual, front axle, page 12" }'
    plain, made = parse_vehicle(TEXT, "x.toml"), parse_vehicle(TEXT.replace(LIMITS, f"{LIMITS}{entry}\n"), "x.toml")
    for side in ("left", "right"):
        part, before = made.parts[f"lower-ball-joint-{side}"], plain.parts[f"lower-ball-joint-{side}"]
        assert part.figure is not None and before.figure is not None
        assert before.figure.axial.reject not in (None, 0.5)
        assert (part.figure.axial.reject, part.figure.radial.reject) == (0.5, before.figure.radial.reject)
        assert (part.maker_axes, part.limit_source) == (("axial",), "service manual, front axle, page 12")
        assert (before.maker_axes, before.limit_source) == ((), before.figure.source)
    others = {name for name in made.parts if not name.startswith("lower-ball-joint-")}
    assert {name: made.parts[name] for name in others} == {name: plain.parts[name] for name in others}


def test_the_maker_is_named_for_the_axes_that_the_maker_gives() -> None:
    entry = 'lower-ball-joint = { radial_mm = 0.7, axial_mm = 0.5, procedure = "manual" }'
    both = parse_vehicle(TEXT.replace(LIMITS, f"{LIMITS}{entry}\n"), "x.toml").parts["lower-ball-joint-left"]
    assert set(both.maker_axes) == {"radial", "axial"}
    radial = parse_vehicle(TEXT.replace(LIMITS, f"{LIMITS}{entry.replace('axial_mm = 0.5, ', '')}\n"), "x.toml")
    assert radial.parts["lower-ball-joint-left"].maker_axes == ("radial",)


def test_text_that_is_no_toml_is_named() -> None:
    with pytest.raises(InputError, match=r"^x\.toml: not a TOML file: "):
        parse_vehicle("points = [", "x.toml")


@pytest.mark.parametrize("name", [name for name, v in load_vehicles().items() if "sway_bar_rate" in v.numbers])
def test_a_sway_bar_is_as_stiff_as_a_round_bar_that_fits_the_vehicle(name: str) -> None:
    """G π d⁴ / 32 L (strength of materials), 100 mm longer between its bends than between its clamps; such bars are 20
    to 34 mm thick (from memory)."""
    vehicle = load_vehicles()[name]
    length = 2.0 * float(vehicle.point("sway-bar-bushing-left")[1]) + 100.0
    thick = (32.0 * length * vehicle.numbers["sway_bar_rate"] / (math.pi * 78500.0)) ** 0.25
    assert 20.0 < thick < 34.0
