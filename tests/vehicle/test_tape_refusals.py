"""What tape answers and a file's spread are refused for: one sentence that names field, value, what is accepted."""

from __future__ import annotations

from typing import Any

import pytest

from looseends.errors import InputError
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.tape import read_answers, taped_vehicle, vehicle_text
from tests.vehicle.tape_answers import answers_of, taped

REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"wheelbase_mm": None}, "answers.toml: wheelbase_mm is missing; it is needed: From hub center to hub center"),
    ({"wheelbase_mm": 90.0}, "answers.toml: wheelbase_mm must be from 1500 to 7000 mm (mm or cm or in), found 90."),
    ({"wheelbase_mm": "3 yards"}, 'wheelbase_mm must be from 1500 to 7000 mm (mm or cm or in), found "3 yards".'),
    ({"wheelbase_mm": True}, "wheelbase_mm must be from 1500 to 7000 mm (mm or cm or in), found True."),
    ({"front_axle_kg": float("nan")}, "front_axle_kg must be from 300 to 8000 kg (kg or lb), found nan."),
    ({"wheelbase": 3000}, 'answers.toml: question "wheelbase" is not known; did you mean "wheelbase_mm"'),
    ({"name": "Ramp Truck"}, 'name must be a name in lower case with hyphens, found "Ramp Truck".'),
    ({"layout": "bar-linkage"}, 'answers.toml: layout "bar-linkage" is not known; did you mean "bar-linkage-leaf"'),
    (
        {"stop_arm": "lower"},
        'stop_arm of "bar-linkage-leaf" must be upper, found "lower"; pick the layout that is built so',
    ),
    ({"linkage": "ahead"}, 'linkage of "bar-linkage-leaf" must be behind, found "ahead"'),
    ({"tire_size": "big"}, 'tire_size must be a size such as 265/75R16 or 31x10.50R15, found "big".'),
    ({"tire_size": "265/10R10"}, "tire_size must be that of a road vehicle, such as 265/75R16"),
    ({"idler_forward_deg": 3.0}, "idler_forward_deg needs idler_left_deg besides, found it alone."),
    ({"assist": "hydraulic"}, 'answers.toml: assist "hydraulic" is not known; accepted: manual, power.'),
]


@pytest.mark.parametrize(("more", "sentence"), REFUSED)
def test_an_answer_is_refused_in_one_sentence(more: dict[str, Any], sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        read_answers({k: v for k, v in {**answers_of(), **more}.items() if v is not None}, "answers.toml")
    assert sentence in str(refused.value)
    assert "\n" not in str(refused.value)


def test_what_a_way_of_building_has_not_is_refused() -> None:
    with pytest.raises(InputError, match=r"idler_arm_mm must be left out of \"strut-rack-twist-beam\""):
        read_answers(answers_of("strut-rack-twist-beam", idler_arm_mm=150.0), "answers.toml")


def test_a_length_that_cannot_be_is_refused() -> None:
    with pytest.raises(
        InputError, match=r"upper_arm_mm must be over \d+ mm, which its ends stand apart already, found 100"
    ):
        taped(upper_arm_mm=100.0, upper_ball_height_mm=800.0)


def test_exact_units_are_read() -> None:
    answers = read_answers(answers_of(wheelbase_mm="144 in", rear_axle_kg="2000 lb", front_height_mm="31,5cm"), "x")
    assert answers.numbers["wheelbase_mm"] == pytest.approx(144 * 25.4)
    assert answers.numbers["rear_axle_kg"] == pytest.approx(2000 * 0.45359237)
    assert answers.numbers["front_height_mm"] == pytest.approx(315.0)


TEXT = vehicle_text(taped_vehicle(read_answers(answers_of(), "x")))


@pytest.mark.parametrize(
    ("there", "instead", "sentence"),
    [
        (
            "idler-shaft = {",
            "idle-shaft = {",
            'v.toml, spread: group "idle-shaft" is not known; did you mean "idler-shaft"',
        ),
        (
            "lower-ball-joint = { common_mm = 8.0",
            "lower-ball-joint = { common_mm = 800.0",
            "must be a number from 0 to 60",
        ),
        ("lower-ball-joint = { common_mm", "lower-ball-joint = { common", "common_mm must be a number from 0 to 60"),
        ("rebound_stop_gap_mm = 0.25", "rebound_gap_mm = 0.25", 'number "rebound_gap_mm" is not known'),
        (
            "\n[spread]\n",
            "\n[leans]\nidler-arm = { forward_deg = 1, left_deg = 1 }\n\n[spread]\n",
            'shaft "idler-arm" is not known',
        ),
        (
            "\n[spread]\n",
            "\n[leans]\nidler-shaft = { forward_deg = 1 }\n\n[spread]\n",
            "left_deg must be a number from -30 to 30, found nothing",
        ),
        ("\n[spread]\n", "\n[[spread]]\n", "v.toml: spread must be a table [spread]"),
    ],
)
def test_a_spread_is_refused_in_one_sentence(there: str, instead: str, sentence: str) -> None:
    text = TEXT.replace(there, instead, 1)
    assert text != TEXT
    with pytest.raises(InputError) as refused:
        parse_vehicle(text, "v.toml")
    assert sentence in str(refused.value)
    assert "\n" not in str(refused.value)
