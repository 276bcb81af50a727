"""`looseends shake` refuses what cannot be meant: thing, value found and what is accepted, in one sentence."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.catalogue.names import unknown_name_sentence
from looseends.cli.plain_number import plain_number
from looseends.cli.worn_parts import MOST_MM, read_worn
from looseends.errors import InputError
from looseends.vehicle.loading import load_vehicles
from tests.cli.command_line import SHAKE, refusal, run

BALL = "looseends shake, --worn lower-ball-joint-left: clearance"
IDLER = "looseends shake, --worn idler-arm: clearance"
WORN = {
    "lower-balljoint-left=2": 'looseends shake, --worn: part "lower-balljoint-left" is not known; did you mean '
    '"lower-ball-joint-left" or "upper-ball-joint-left" or "lower-ball-joint-right"?',
    "steering-gear.axial=1": 'looseends shake, --worn steering-gear: axis must be radial, found "axial".',
    "idler-arm.sideways=1": 'looseends shake, --worn idler-arm: axis must be radial or axial, found "sideways".',
    "idler-arm=-1": f"{IDLER} must be from 0 to 25 mm of total travel, found -1.",
    "lower-ball-joint-left=400": f"{BALL} must be from 0 to 25 mm of total travel, found 400; did you mean 4.00?",
    "idler-arm=30": f"{IDLER} must be from 0 to 25 mm of total travel, found 30; did you mean 3.00?",
    "outer-tie-rod-end-left.radial=9": "looseends shake, --worn outer-tie-rod-end-left: clearance must be from 0 to "
    "6 mm of total travel, found 9; did you mean 0.90?",
    "idler-arm=90000": f"{IDLER} must be from 0 to 25 mm of total travel, found 90000.",
    "idler-arm=0.1in": f'{IDLER} must be a plain finite number in mm, found "0.1in"; write 2.54.',
    "idler-arm=2 mm": f'{IDLER} must be a plain finite number in mm, found "2 mm"; write 2.',
    "idler-arm=1,5": f'{IDLER} must be a plain finite number in mm, found "1,5"; write 1.5.',
    "idler-arm=much": f'{IDLER} must be a plain finite number in mm, found "much", as in 2.5.',
    "idler-arm=": f'{IDLER} must be a plain finite number in mm, found "", as in 2.5.',
    "idler-arm=nan": f'{IDLER} must be a plain finite number in mm, found "nan", as in 2.5.',
    "idler-arm=inf": f'{IDLER} must be a plain finite number in mm, found "inf", as in 2.5.',
    "idler-arm=1e999": f'{IDLER} must be a plain finite number in mm, found "1e999", as in 2.5.',
    "idler-arm": 'looseends shake, --worn must be PART=MM, as in idler-arm=4, found "idler-arm".',
    "rebound-stop-left=2": "looseends shake, --worn rebound-stop-left: a part with a clearance is accepted, found one "
    'that is judged by its condition alone ("looseends parts yard-pickup" lists both).',
}


@pytest.mark.parametrize(
    ("check", "sentence"),
    [
        ("tire", '--check must be one that mechanics computes, found "tire", which is one of condition.'),
        ("kingpin", '--check "kingpin" grips or watches nothing that yard-pickup has.'),
    ],
)
def test_a_check_that_cannot_be_computed_is_refused(
    check: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shake = ("shake", "yard-pickup", "--check", check, "--support", "wheels", "--side", "L")
    assert refusal(capsys, *shake) == f"looseends shake: {sentence}"


@pytest.mark.parametrize(("worn", "sentence"), list(WORN.items()), ids=list(WORN))
def test_a_wrong_worn_part_is_refused(worn: str, sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert refusal(capsys, *SHAKE, "--worn", worn) == sentence


@pytest.mark.parametrize(
    "given_worn",
    [
        ("--worn", "idler-arm=1", "--worn", "idler-arm.axial=2"),
        ("--worn", "idler-arm.axial=1", "idler-arm.axial=1"),
    ],
)
def test_a_part_given_twice_is_refused(given_worn: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    sentence = "looseends shake, --worn idler-arm: the axial clearance must be given once, found it twice."
    assert refusal(capsys, *SHAKE, *given_worn) == sentence


def test_both_axes_of_a_part_may_be_given_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, *SHAKE, "--worn", "idler-arm.axial=1", "--worn", "idler-arm.radial=2").code == 0


def shake(check: str = "bj-axial", support: str = "arm", *more: str) -> tuple[str, ...]:
    """Arguments of a shake of the yard pickup."""
    return ("shake", "yard-pickup", "--check", check, "--support", support, *more)


SETUPS = {
    "unknown vehicle": (
        ("shake", "yard-truck", "--check", "idler", "--support", "frame"),
        unknown_name_sentence("vehicle", "yard-truck", load_vehicles(), where="looseends shake"),
    ),
    "unknown check": (
        shake("bjaxial", "arm", "--side", "L"),
        'looseends shake: --check "bjaxial" is not known; did you mean "bj-axial" or "bj-radial"?',
    ),
    "unknown support": (
        shake("bj-axial", "arms", "--side", "L"),
        'looseends shake: --support "arms" is not known; did you mean "arm" '
        "(accepted: arm, axle, frame, one-wheel, plates, ride, wheels)?",
    ),
    "support that the check has not": (
        shake("wheel39", "wheels", "--side", "L"),
        'looseends shake: --support of check "wheel39" must be one of frame, arm, ride, one-wheel, axle, '
        'found "wheels".',
    ),
    "no side": (shake(), 'looseends shake: --side of check "bj-axial" must be L or R, found none.'),
    "wrong side": (
        shake("bj-axial", "arm", "--side", "front"),
        'looseends shake: --side must be L or R, found "front".',
    ),
    "side of an unsided check": (
        shake("idler", "frame", "--side", "L"),
        'looseends shake: --side must be left out of check "idler", which is done on the whole vehicle, found "L".',
    ),
    "brake": (
        (*SHAKE, "--brake", "on"),
        'looseends shake: --brake of check "bj-axial" must be off, found "on".',
    ),
    "steering": (
        shake("wheel39", "frame", "--side", "L", "--steer", "locked"),
        'looseends shake: --steer of check "wheel39" must be held or free, found "locked".',
    ),
    "stand without arm support": (
        shake("bj-axial", "frame", "--side", "L", "--stand-inboard", "20"),
        'looseends shake: --stand-inboard belongs to support "arm" only, found it with support "frame".',
    ),
    "stand beyond the arm": (
        (*SHAKE, "--stand-inboard", "340"),
        "looseends shake: --stand-inboard must be from 0 to 330 mm, found 340.",
    ),
    "stand outboard": (
        (*SHAKE, "--stand-inboard", "-5"),
        "looseends shake: --stand-inboard must be from 0 to 330 mm, found -5.",
    ),
    "no force": (
        (*SHAKE, "--force", "0"),
        "looseends shake: --force must be more than 0 and at most 12000 N, found 0.",
    ),
    "too much force": (
        (*SHAKE, "--force", "12001"),
        "looseends shake: --force must be more than 0 and at most 12000 N, found 12001.",
    ),
    "force in pounds": (
        (*SHAKE, "--force", "135lbf"),
        'looseends shake: --force must be a plain finite number in N, found "135lbf"; write 601.',
    ),
    "raised out of reach": (
        (*SHAKE, "--raised", "90"),
        "looseends shake: --raised must be from -20 to 60 mm, found 90.",
    ),
}


@pytest.mark.parametrize(("arguments", "sentence"), list(SETUPS.values()), ids=list(SETUPS))
def test_a_wrong_setup_is_refused(
    arguments: tuple[str, ...], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert refusal(capsys, *arguments) == sentence


def test_the_largest_clearances_and_ends_of_ranges_are_accepted(capsys: pytest.CaptureFixture[str]) -> None:
    for more in (("--worn", "lower-ball-joint-left.axial=25"), ("--stand-inboard", "330"), ("--force", "12000")):
        assert run(capsys, *SHAKE, *more).code == 0
    assert run(capsys, *SHAKE, "--worn", "idler-arm=0").code == 0


@settings(max_examples=200)
@given(
    name=st.sampled_from(["idler-arm", "lower-ball-joint", "pitman-ball.axial", "sway-bar", ""]),
    text=st.text(max_size=12),
)
def test_any_text_is_a_clearance_within_bounds_or_one_sentence(name: str, text: str) -> None:
    vehicle = load_vehicles()["yard-pickup"]
    try:
        worn = read_worn([f"{name}={text}"], vehicle, "left")
    except InputError as error:
        assert str(error).startswith("looseends shake, --worn")
        assert "\n" not in str(error)
    else:
        assert worn
        assert all(0.0 <= clearance <= MOST_MM for clearance in worn.values())


@settings(max_examples=100)
@given(value=st.floats(allow_nan=False, allow_infinity=False))
def test_every_finite_number_is_read_as_it_is_written(value: float) -> None:
    assert plain_number(repr(value), "x", "mm") == value
