"""Every lesson is run, and what it teaches must come out; where the model differs from the trade, what it shows."""

from __future__ import annotations

import importlib
import re
from functools import cache

import pytest

from lessons.__main__ import all_lessons
from lessons.__main__ import main as run_lessons
from lessons.bay import Numbers
from tests.docs.shown_commands import DOCS

PAGE = DOCS / "lessons.md"
_PRINTED = re.compile(r"^  (\S.*?) +(-?[\d.]+)(?: (mm|N))?$", re.MULTILINE)
_SECTION = re.compile(r"^```sh\n\.venv/bin/python -m lessons (\w+)\n```\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
_ROW = re.compile(r"^\| (.+?) \| (-?[\d.]+)(?: (mm|N))? \|$", re.MULTILINE)


@cache
def numbers(name: str) -> Numbers:
    """What a lesson returns, run once."""
    answer: Numbers = importlib.import_module(f"lessons.{name}").main()
    return answer


def test_the_brake_takes_the_bearings_play_and_leaves_the_ball_joints() -> None:
    n = numbers("brake_held")
    assert n["bearing_brake_off_mm"] > 4.0
    assert n["bearing_brake_held_mm"] < 0.1 * n["bearing_brake_off_mm"]
    assert n["ball_joint_brake_held_mm"] > 0.75 * n["ball_joint_brake_off_mm"] > 1.5
    assert n["at_joint_brake_held_mm"] == pytest.approx(n["at_joint_brake_off_mm"], abs=0.02)
    lost = n["ball_joint_brake_off_mm"] - n["ball_joint_brake_held_mm"]
    assert lost == pytest.approx(n["sound_brake_off_mm"] - n["bearing_brake_held_mm"], abs=0.05)


def test_gear_lash_moves_both_wheels_and_tips_no_arm() -> None:
    n = numbers("gear_lash")
    near, far = (n[f"gear_{wheel}_mm"] - n[f"sound_{wheel}_mm"] for wheel in ("near", "far"))
    assert near == pytest.approx(far, rel=0.05)
    assert far > 1.5
    for end in ("idler", "pitman"):
        assert n[f"gear_{end}_up_mm"] == pytest.approx(n[f"sound_{end}_up_mm"], abs=0.02)
    assert n["idler_idler_up_mm"] > n["sound_idler_up_mm"] + 3.0


def test_a_loose_box_walks_on_its_rail_and_the_gear_in_it_is_tight() -> None:
    n = numbers("gear_lash")
    assert n["box_rail_mm"] == pytest.approx(0.5, abs=0.05)
    assert n["gear_rail_mm"] < 0.05
    assert n["box_gear_mm"] == pytest.approx(n["sound_gear_mm"], abs=0.02)
    assert n["gear_gear_mm"] == pytest.approx(0.8, abs=0.02)
    assert n["box_far_mm"] > n["sound_far_mm"] + 2.0


def test_a_worn_outer_end_leaves_the_other_wheel_alone() -> None:
    n = numbers("gear_lash")
    assert n["outer_end_near_mm"] > n["sound_near_mm"] + 1.5
    assert n["outer_end_far_mm"] == pytest.approx(n["sound_far_mm"], abs=0.02)


def test_a_held_box_input_parts_gear_from_coupling() -> None:
    n = numbers("coupling_or_gear")
    assert n["coupling_input_mm"] == pytest.approx(n["sound_input_mm"], abs=0.02)
    assert n["gear_input_mm"] > n["sound_input_mm"] + 1.5
    assert n["both_input_mm"] == pytest.approx(n["gear_input_mm"], abs=0.02)
    gear, coupling, both = (n[f"{part}_rim_mm"] - n["sound_rim_mm"] for part in ("gear", "coupling", "both"))
    assert both == pytest.approx(gear + coupling, abs=0.1)
    assert min(gear, coupling) > 3.0


def test_a_dry_floor_shows_every_joint_and_free_plates_hide_the_rod_ends() -> None:
    n = numbers("dry_park")
    assert n["plates_rim_mm"] == pytest.approx(n["floor_rim_mm"], rel=0.05)
    # half of the change to either side: it must outdo what the weight presses with, or the rod ends stay shut
    assert 0.5 * n["floor_rod_N"] > 2.0 * n["floor_resting_N"]
    assert 0.5 * n["plates_rod_N"] < 0.2 * n["plates_resting_N"]
    for part, worn_mm in (("outer-tie-rod-end-left", 1.0), ("inner-tie-rod-end-left", 1.0), ("idler-ball", 0.5)):
        assert n[f"floor_{part}_mm"] > 0.8 * worn_mm
        assert n[f"plates_{part}_mm"] < 0.1 * worn_mm


def test_without_drag_the_gear_and_the_pitman_ball_still_show_on_plates() -> None:
    """The trade says that plates show nothing; in the model nothing presses these two shut."""
    n = numbers("dry_park")
    for part in ("pitman-ball", "steering-gear"):
        assert 0.8 * 0.5 < n[f"plates_{part}_mm"] < n[f"floor_{part}_mm"] - 0.1


def test_one_raised_wheel_tightens_the_sway_link() -> None:
    n = numbers("sway_bar")
    assert n["both_link_mm"] == pytest.approx(1.0, abs=0.05)
    assert n["both_link_free_mm"] > 0.9
    assert n["one_link_mm"] < 0.5 * n["both_link_mm"]
    assert n["one_link_free_mm"] < 0.1
    assert n["one_link_N"] > 150.0 > 10.0 * n["both_link_N"]


def test_the_sway_bar_does_not_hide_a_ball_joint_over_its_stand() -> None:
    """The trade says that it may; here bar and stand both act on the arm."""
    n = numbers("sway_bar")
    for raised in ("both", "one"):
        for bar in ("on", "off"):
            assert n[f"{raised}_{bar}_mm"] == pytest.approx(2.0, abs=0.05)
    assert 2.0 < n["one_off_gap_mm"] - n["one_on_gap_mm"] < 5.0
    assert n["both_on_gap_mm"] == pytest.approx(n["both_off_gap_mm"], abs=0.05)


def test_rubber_rises_from_zero_and_play_has_a_dead_zone_and_a_stop() -> None:
    n = numbers("rubber_or_play")
    for rubber in ("rubber", "soft"):
        assert n[f"{rubber}_free_mm"] < 0.01
        assert n[f"{rubber}_give"] == pytest.approx(1.0, abs=0.02)
        assert n[f"{rubber}_gentle_mm"] == pytest.approx(0.25 * n[f"{rubber}_moves_mm"], rel=0.02)
    assert n["ball_free_mm"] == pytest.approx(1.0, abs=0.02)
    assert n["ball_gentle_mm"] > 0.75 * n["ball_moves_mm"]
    assert n["ball_give"] > 50.0
    assert n["soft_moves_mm"] > 5.0 * n["ball_moves_mm"]
    assert 1.1 < n["torn_give"] < 2.0
    assert 0.3 < n["torn_free_mm"] < 1.0


def test_a_bound_joint_shows_nothing_until_the_hands_exceed_what_binds_it() -> None:
    n = numbers("seized_joint")
    assert n["rod_80_N"] < 600.0 < n["rod_150_N"]
    assert n["seat_600_hands_80_mm"] < 0.1 < 1.0 < n["seat_0_hands_80_mm"]
    for hands in (150, 300):
        assert n[f"seat_600_hands_{hands}_mm"] == pytest.approx(n[f"seat_0_hands_{hands}_mm"], abs=0.01)
    assert n["lift_0_mm"] == pytest.approx(2.0, abs=0.05)
    assert n["lift_430_mm"] == pytest.approx(1.0, abs=0.05)
    assert n["lift_600_mm"] < 0.05


def test_a_soft_bushing_moves_farthest_and_is_not_worn() -> None:
    n = numbers("soft_bushing")
    for force in (1200, 2400):
        assert n[f"soft_{force}_mm"] > 1.3 * n[f"torn_{force}_mm"] > 1.3 * n[f"sound_{force}_mm"]
        assert n[f"soft_{force}_free_mm"] < 0.01 < 0.1 < n[f"torn_{force}_free_mm"]
    assert n["soft_2400_mm"] == pytest.approx(2.0 * n["soft_1200_mm"], rel=0.01)
    assert n["soft_2400_mm"] > 3.0 * n["reject_mm"]


def test_a_damper_that_slides_hides_nothing() -> None:
    n = numbers("steering_damper")
    for damper in ("as_it_is", "drag"):
        for part in ("pitman", "end"):
            assert n[f"{damper}_{part}_mm"] == pytest.approx(n[f"off_{part}_mm"], abs=0.02)
    assert n["off_pitman_mm"] > 2.0
    assert n["as_it_is_free_mm"] == pytest.approx(n["off_free_mm"], abs=0.05)
    assert n["off_free_mm"] > 3.0


def test_a_stuck_damper_hides_part_of_what_lies_before_it_and_nothing_behind() -> None:
    n = numbers("steering_damper")
    assert n["gentle_stuck_pitman_mm"] < 0.5 * n["off_pitman_mm"]
    assert 0.5 * n["off_pitman_mm"] < n["stuck_pitman_mm"] < 0.7 * n["off_pitman_mm"]
    assert n["stuck_end_mm"] == pytest.approx(n["off_end_mm"], abs=0.02)
    assert n["gentle_stuck_pitman_joint_mm"] > 0.9


def test_the_carrier_shows_its_play_where_the_force_in_it_turns_round() -> None:
    n = numbers("carrier_joint")
    for support in ("stand", "inboard_100"):
        assert n[f"{support}_resting_N"] < -100.0 < 100.0 < n[f"{support}_lifted_N"]
        assert n[f"{support}_mm"] == pytest.approx(2.0, abs=0.1)
        assert n[f"{support}_gap_mm"] > 2.0
    for support in ("wheels", "hanging", "inboard_200"):
        assert 500.0 < n[f"{support}_resting_N"] < n[f"{support}_lifted_N"]
        assert n[f"{support}_mm"] < 0.1
    assert n["hanging_gap_mm"] == n["inboard_200_gap_mm"] == 0.0
    assert n["inboard_100_gap_mm"] < 0.5 * n["stand_gap_mm"]


def test_lash_at_the_rim_by_hand_and_by_the_model_against_the_law() -> None:
    n = numbers("rim_lash")
    for key in ("gear", "coupling", "pitman_ball", "inner_ends", "outer_ends", "all"):
        assert n[f"{key}_mm"] == pytest.approx(n[f"{key}_by_hand_mm"], rel=0.02)
    assert n["all_mm"] < n["law_mm"] == 50.8
    assert n["law_mm"] < n["power_mm"] == 108.0
    pressed_shut = n["inner_ends_by_hand_mm"] + n["outer_ends_by_hand_mm"]
    assert n["gentle_mm"] == pytest.approx(n["all_mm"] - pressed_shut, rel=0.02)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_sound_tread_springs_by_4_to_9_millimetres(side: str) -> None:
    assert 4.0 < numbers("rim_lash")[f"tread_{side}_mm"] < 9.0


def test_the_idlers_end_rises_and_falls_and_the_pitmans_does_not() -> None:
    n = numbers("idler")
    tipped = n["idler_idler_end_mm"] - n["sound_idler_end_mm"]
    of_a_sound_one = 2.0 * 150.0 * 0.1 / 60.0
    assert tipped == pytest.approx(n["tips_by_hand_mm"] - of_a_sound_one, rel=0.02)
    for worn in ("sound", "idler", "sector"):
        assert n[f"{worn}_pitman_still_mm"] < 0.02
    assert n["idler_pitman_end_mm"] == pytest.approx(n["sound_pitman_end_mm"], abs=0.01)
    assert n["sector_pitman_end_mm"] > n["sound_pitman_end_mm"] + 0.5
    assert n["hard_mm"] > n["asked_mm"] + 0.3
    assert n["hard_free_mm"] == pytest.approx(n["sound_idler_end_mm"], abs=0.01)


def page_sections() -> dict[str, list[tuple[str, str, str]]]:
    """Rows (words, number, unit) of the page's tables, by the lesson whose command stands above them."""
    return {name: _ROW.findall(text) for name, text in _SECTION.findall(PAGE.read_text(encoding="utf-8"))}


@pytest.mark.parametrize("name", sorted(all_lessons()))
def test_the_page_shows_what_the_lesson_prints(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    numbers.__wrapped__(name)
    printed = _PRINTED.findall(capsys.readouterr().out)
    assert len(printed) == len(numbers(name)) > 4
    shown = page_sections()[name]
    assert [(words, unit) for words, _, unit in shown] == [(words, unit) for words, _, unit in printed]
    assert [float(value) for _, value, _ in shown] == pytest.approx(
        [float(v) for _, v, _ in printed], abs=0.02, rel=0.01
    )


def test_the_page_has_no_lesson_that_is_not_there() -> None:
    assert set(page_sections()) == set(all_lessons())


@pytest.mark.parametrize("name", sorted(all_lessons()))
def test_a_lesson_says_what_its_claim_rests_on(name: str) -> None:
    assert "ommon practice, no source" in " ".join((all_lessons()[name].__doc__ or "").split())


def test_the_lessons_are_listed_and_an_unknown_one_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_lessons([]) == 0
    listed = [line.split()[0] for line in capsys.readouterr().out.splitlines()]
    assert listed == list(all_lessons())
    assert run_lessons(["brake_hold"]) == 2
    assert capsys.readouterr().err.startswith('lesson "brake_hold" is not known, accepted: brake_held, ')
