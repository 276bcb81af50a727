"""`looseends shake`: the answer as JSON and as text."""

from __future__ import annotations

import math
from typing import Any

import pytest

from looseends.catalogue import load_catalogue
from looseends.cli.output import plain
from looseends.cli.shake_text import print_shaken
from looseends.mechanics.constants import GAP_TOLERANCE
from looseends.vehicle.loading import load_vehicles
from tests.cli.command_line import SHAKE, run

HANGING = ("shake", "yard-pickup", "--check", "bj-axial", "--support", "frame", "--side", "L")
WORN = ("--worn", "lower-ball-joint-left.axial=2")


def watched(answer: Any, watch: str) -> Any:
    """One movement of an answer."""
    return next(entry for entry in answer["movements"] if entry["watch"] == watch)


def test_the_arm_support_shows_the_play_and_the_frame_hides_it(capsys: pytest.CaptureFixture[str]) -> None:
    shown, hidden = (run(capsys, *base, *WORN, "--json").json() for base in (SHAKE, HANGING))
    assert watched(shown, "lower-ball-joint-left")["mm"] == pytest.approx(2.0, rel=0.05)
    assert watched(hidden, "lower-ball-joint-left")["mm"] < 0.3
    assert shown["stop_gap_mm"] > 15.0
    assert (shown["stop_touching"], hidden["stop_touching"]) == (False, True)
    assert hidden["stop_gap_mm"] == 0.0


def test_the_answer_echoes_its_setup_and_carries_its_certificate(capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, *SHAKE, "--stand-inboard", "60", "--force", "500", "--raised", "10", *WORN, "--json").json()
    assert answer["setup"] == {
        "check": "bj-axial",
        "support": "arm",
        "side": "left",
        "steer": "held",
        "brake": "off",
        "stand_inboard_mm": 60.0,
    }
    assert (answer["vehicle"], answer["force_N"], answer["raised_mm"]) == ("yard-pickup", 500.0, 10.0)
    assert answer["worn"] == [{"part": "lower-ball-joint-left", "axis": "axial", "mm": 2.0}]
    assert 0.0 <= abs(answer["certificate"]) <= GAP_TOLERANCE
    for entry in answer["movements"]:
        least, greatest = entry["mm_range"]
        assert least <= entry["mm"] + 1e-9
        assert entry["mm"] <= greatest + 1e-9
        assert 0.0 <= entry["free_mm"] <= entry["mm"]


def test_forces_are_those_of_joints_and_slack_ones_carry_none(capsys: pytest.CaptureFixture[str]) -> None:
    answer = run(capsys, *SHAKE, "--json").json()
    joints = {joint for part in load_vehicles()["yard-pickup"].wearable for joint in part.joints}
    assert set(answer["forces"]) == joints
    assert {"stand-left", "rebound-stop-left"} <= set(answer["contact_forces"])
    assert all(answer["forces"][joint] < 1.0 for joint in answer["slack"])


def test_a_part_without_axis_is_worn_in_every_axis_it_has(capsys: pytest.CaptureFixture[str]) -> None:
    worn = run(capsys, *SHAKE, "--worn", "idler-arm=1.5", "steering-gear=0.5", "--json").json()["worn"]
    assert [(entry["part"], entry["axis"], entry["mm"]) for entry in worn] == [
        ("idler-arm", "radial", 1.5),
        ("idler-arm", "axial", 1.5),
        ("steering-gear", "radial", 0.5),
    ]


def test_a_kind_without_side_is_the_part_on_the_side_worked_on(capsys: pytest.CaptureFixture[str]) -> None:
    worn = run(capsys, *SHAKE, "--worn", "lower-ball-joint.axial=2", "--json").json()["worn"]
    assert worn == [{"part": "lower-ball-joint-left", "axis": "axial", "mm": 2.0}]


def test_a_check_of_the_whole_vehicle_reports_the_nearer_stop(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ("shake", "yard-pickup", "--check", "idler", "--support", "ride")
    answer = run(capsys, *arguments, "--json").json()
    assert answer["setup"]["side"] is None
    assert answer["stop_gap_mm"] == pytest.approx(24.0, abs=1.0)
    assert "the rebound stop on the nearer side is 24.0 mm open" in run(capsys, *arguments).out


def test_states_left_out_are_the_first_that_the_check_allows(capsys: pytest.CaptureFixture[str]) -> None:
    base = ("shake", "yard-pickup", "--check", "wheel39", "--support", "frame", "--side", "R", "--json")
    setups = [run(capsys, *base, *more).json()["setup"] for more in ((), ("--steer", "free", "--brake", "on"))]
    assert [(setup["steer"], setup["brake"], setup["side"]) for setup in setups] == [
        ("held", "off", "right"),
        ("free", "on", "right"),
    ]


def test_text_tells_free_from_elastic_and_what_the_support_does(capsys: pytest.CaptureFixture[str]) -> None:
    shown, bar = run(capsys, *SHAKE, *WORN).out, load_catalogue().checks["bj-axial"].strokes[0].force
    for words in ("moves mm", "free mm", "elastic mm", "held under the lower arms, left side", f"{bar:g} N"):
        assert words in shown
    row = next(line.split() for line in shown.splitlines() if "lower-ball-joint-left" in line)
    assert float(row[1]) == pytest.approx(float(row[2]) + float(row[3]), abs=0.011)
    assert "Support: the left rebound stop is 21.9 mm open, not touching." in shown


def test_text_warns_where_the_stop_touches(capsys: pytest.CaptureFixture[str]) -> None:
    assert "is touching, so the spring presses through the ball joints" in run(capsys, *HANGING).out


def test_text_warns_of_a_force_that_lifts_the_arm_off_its_stand(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the arm lifts off its stand" in run(capsys, *SHAKE, "--force", "9000").out
    assert "the arm lifts off its stand" not in run(capsys, *SHAKE).out


def test_a_force_that_drives_things_out_of_the_models_reach_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    hard, usual = (run(capsys, *SHAKE, "--force", force, "--json").json() for force in ("9000", "600"))
    assert (hard["beyond_model"], usual["beyond_model"]) == (True, False)
    assert "Movements over 60 mm are beyond this model" in run(capsys, *SHAKE, "--force", "9000").out


def test_no_bound_becomes_null() -> None:
    assert plain({"range": (0.5, math.inf), "other": math.nan}) == {"range": [0.5, None], "other": None}


def test_a_range_is_shown_where_the_answer_is_not_one_value(capsys: pytest.CaptureFixture[str]) -> None:
    from dataclasses import replace

    from looseends.cli.shake_request import GivenText, read_request
    from looseends.vehicle.shake import WatchedMovement
    from tests.vehicle.front_end import prepared, shaken

    given = GivenText("yard-pickup", "bj-axial", "arm", "L", None, None, None, None, None, ())
    loose = (WatchedMovement("a", 1.0, 0.0, 0.5, 2.0), WatchedMovement("b", 1.0, 0.0, 0.5, math.inf))
    print_shaken(read_request(given), replace(shaken(prepared("bj-axial", "arm", "left")), movements=loose))
    out = capsys.readouterr().out
    assert "1.00 (0.50 to 2.00)" in out
    assert "1.00 (0.50 to any)" in out
