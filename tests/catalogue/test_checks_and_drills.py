"""All checks of the trade are there, each as its kind asks; drills and limits lead to checks that can be done."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from looseends.catalogue import load_catalogue, read_catalogue
from looseends.catalogue.types import Check, Decider, Drill, Limit
from looseends.errors import InputError
from tests.catalogue.data_folder import broken_copy

CATALOGUE = load_catalogue()
CHECKS = list(CATALOGUE.checks.values())
LIMITS = list(CATALOGUE.limits.values())
DRILLS = list(CATALOGUE.drills.values())
# fmt: off
SEEN = (
    "tire", "height", "alter", "stops", "road", "bounce", "shock", "free-turn", "mount",
    "boots",
    "leaf", "threads", "fasteners", "hose", "cv", "frame-cond", "plates",
)
MOVED = (
    "rock", "dry-park", "lash", "gear-lash", "wheel39", "wheel126", "bj-axial", "bj-radial", "kingpin",
    "bearing", "tre-squeeze", "inner-bellows", "idler", "rackmount", "bushpry", "trackbar", "sway",
    "strut", "drag-link", "link-pry", "leaf-pry", "rear-shake",
)
# fmt: on


def test_every_check_of_the_trade_is_there() -> None:
    assert {check.id for check in CHECKS if check.kind != "movement"} == set(SEEN)
    assert {check.id for check in CHECKS if check.kind == "movement"} == set(MOVED)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_a_check_moves_something_or_says_what_to_look_for(check: Check) -> None:
    assert bool(check.strokes) == (check.kind == "movement")
    assert bool(check.watch_words) == (check.kind != "movement")


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_a_check_names_its_instruments_what_decides_and_supports_that_exist(check: Check) -> None:
    assert check.meter
    assert check.accept
    assert list(check.accept) == [word for word in get_args(Decider) if word in check.accept]
    assert set(check.supports) <= set(CATALOGUE.supports)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_every_stroke_takes_hold_of_something_and_watches_something(check: Check) -> None:
    assert [stroke.id for stroke in check.strokes if not stroke.grips or not stroke.watches] == []


def test_the_lift_points_come_before_any_lift() -> None:
    check = CATALOGUE.checks["frame-cond"]
    assert "wheels" in check.supports
    assert "BEFORE" in check.caution


def test_the_blocked_arm_warns_of_the_spring() -> None:
    caution = CATALOGUE.supports["upblock"].caution
    assert "spring" in caution
    assert "maker" in caution


def test_every_support_says_how_long_it_takes_to_get_there() -> None:
    assert all(1.0 <= support.minutes <= 30.0 for support in CATALOGUE.supports.values())
    slowest = max(CATALOGUE.supports.values(), key=lambda support: support.minutes)
    assert slowest.id == "upblock"


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_a_drill_leads_to_a_check_and_both_ways_out(drill: Drill) -> None:
    assert set(drill.supports) <= set(CATALOGUE.checks[drill.check].supports)
    assert drill.if_gone != drill.if_stays
    groups = {kind.group for kind in CATALOGUE.part_kinds.values()}
    assert {*drill.first_parts, *drill.second_parts} <= {*CATALOGUE.part_kinds, *groups}


def test_there_are_thirteen_drills() -> None:
    assert len(DRILLS) == 13


@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: limit.id)
def test_a_limit_gives_one_thing_and_leads_to_a_check(limit: Limit) -> None:
    check = CATALOGUE.checks[limit.check]
    watches = {watch.id for stroke in check.strokes for watch in stroke.watches}
    assert [limit.value_mm, limit.value, limit.condition].count(None) == 2
    assert limit.watch is None or limit.watch in watches
    assert (limit.watch is None) == (limit.compares is None)
    assert (limit.value is None) == (limit.unit is None)
    assert set(limit.supports) <= set(check.supports)


def test_every_kind_of_limit_is_there() -> None:
    assert {limit.status for limit in LIMITS} == {"law", "maker", "to be confirmed", "derived"}
    assert sum(limit.condition is not None for limit in LIMITS) > 80
    assert {limit.jurisdiction for limit in LIMITS} >= {"us-federal", "us-fmcsa", "us-wa", "us-md", "uk", "eu", "ca-qc"}


def test_a_derived_limit_shows_its_arithmetic() -> None:
    derived = [limit for limit in LIMITS if limit.status == "derived"]
    assert len(derived) == 8
    assert all(limit.arithmetic and "=" in limit.arithmetic for limit in derived)


def test_the_same_limit_in_two_files_is_refused(tmp_path: Path) -> None:
    folder = broken_copy(tmp_path, "limits/us-wa.toml", 'id = "us-wa-toe"', 'id = "us-570-7d-toe"')
    with pytest.raises(InputError, match=r'^limits: limit id must stand once, found "us-570-7d-toe" twice\.$'):
        read_catalogue(folder)


@pytest.mark.parametrize("name", ["limits", "checks"])
def test_a_missing_folder_is_refused(tmp_path: Path, name: str) -> None:
    folder = broken_copy(tmp_path, "places.toml", "", "")
    (folder / name).rename(folder / "elsewhere")
    with pytest.raises(InputError, match=rf"^{name}: must be a readable folder of TOML files, found: "):
        read_catalogue(folder)
