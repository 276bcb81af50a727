"""`looseends detect`: the ways to see each part's wear, filtered, as text, JSON and CSV.

What the tables say is the concern of the tests of diagnosis; here the ways are given.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

import looseends.diagnosis.planning.ways
from looseends.diagnosis.planning.ways import Way
from looseends.vehicle.setup import Setup
from looseends.vehicle.vehicle import Vehicle
from tests.cli.command_line import refusal, run
from tests.diagnosis.made_ways import WAYS

DETECT = ("detect", "yard-pickup")


@pytest.fixture(autouse=True)
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Setup]:
    """Stands in for the tables; gives those of the made ways whose setup is asked for, and notes what is."""
    wanted: list[Setup] = []

    def vehicle_ways(
        vehicle: Vehicle, setups: Sequence[Setup], *, store: Any, progress: Any, beliefs: Any
    ) -> tuple[Way, ...]:
        progress("idler on frame", 0, 1)
        wanted[:] = setups
        return tuple(way for way in WAYS if way.setup in setups)

    monkeypatch.setattr(looseends.diagnosis.planning.ways, "vehicle_ways", vehicle_ways)
    return wanted


def rows(out: str, part: str) -> list[list[str]]:
    """The rows below a part's heading, in words."""
    lines = out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(part))
    below = []
    for line in lines[start + 1 :]:
        if not line.startswith("  "):
            break
        below += [line.split()] if line[2] != " " else []  # what goes on in a second line is the same row
    return below


def test_the_best_way_stands_first_with_what_it_adds_and_the_chances(capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *DETECT)
    assert done.code == 0
    assert "0 of 1" in done.err
    first, more = rows(done.out, "left lower ball joint, axial, rejected over 1.3 mm")
    assert first == [
        "bj-axial",
        "arm,",
        "left",
        "lower-ball-joint-left",
        "1.00",
        "1.25",
        "95",
        "%",
        "92",
        "%",
        "50",
        "%",
    ]
    assert " ".join(more) == "1 more with --all"
    assert [row[0] for row in rows(done.out, "pitman ball")] == ["dry-park", "wheel39"]


def test_all_lists_what_shows_nothing_too(capsys: pytest.CaptureFixture[str]) -> None:
    listed = rows(run(capsys, *DETECT, "--all").out, "left lower ball joint, axial")
    assert [row[0] for row in listed] == ["bj-axial", "wheel39"]


def test_what_no_check_shows_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    told = " ".join(run(capsys, *DETECT).out.split("Not shown by any of these checks")[1].split())
    assert "with a chance of 90 % or more, whoever looks:" in told
    assert "idler ball, radial: 80 % at best, by gauge in wheel39, arm, left, steer held." in told
    assert "left sway bar link: none of them shows it; follow the maker's procedure." in told
    assert "pitman ball" not in told


@pytest.mark.parametrize("part", ["outer-tie-rod-end-left", "outer-tie-rod-end"])
def test_one_part_or_a_kind_of_it_is_listed_alone(part: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, *DETECT, "--part", part).out
    assert len(rows(out, "left outer tie-rod end")) == 2
    assert "pitman ball" not in out
    assert ("right outer tie-rod end" in out) == (part == "outer-tie-rod-end")


def test_one_check_and_one_support_need_their_own_tables_only(
    asked: list[Setup], capsys: pytest.CaptureFixture[str]
) -> None:
    found = run(capsys, *DETECT, "--check", "wheel39", "--json").json()
    assert {way["setup"]["check"] for way in found["ways"]} == {setup.check for setup in asked} == {"wheel39"}
    found = run(capsys, *DETECT, "--support", "arm", "--json").json()
    assert {way["setup"]["support"] for way in found["ways"]} == {setup.support for setup in asked} == {"arm"}
    run(capsys, *DETECT, "--check", "bj-axial", "--support", "wheels")
    assert {(setup.check, setup.support) for setup in asked} == {("bj-axial", "wheels")}


def test_json_has_every_way_and_what_is_not_shown(capsys: pytest.CaptureFixture[str]) -> None:
    found = run(capsys, *DETECT, "--json").json()
    assert len(found["ways"]) == len(WAYS)
    first = next(way for way in found["ways"] if way["part"] == "lower-ball-joint-left")
    assert first["seen"]["gauge"] == {
        "watch": "lower-ball-joint-left", "chance": 0.95, "free_mm": 1.0, "all_mm": 1.25, "dead_zone": False,
    }  # fmt: skip
    hidden = {entry["part"]: entry["best"] for entry in found["not_shown"]}
    assert hidden["sway-bar-link-left"] is None
    assert hidden["idler-ball"]["seen"]["gauge"]["chance"] == 0.8


def test_csv_has_a_row_for_every_way(capsys: pytest.CaptureFixture[str]) -> None:
    table = list(csv.DictReader(io.StringIO(run(capsys, *DETECT, "--csv").out)))
    assert len(table) == len(WAYS)
    row = next(row for row in table if row["part"] == "idler-arm")
    assert (row["check"], row["support"], row["gauge_watch"], row["hand_chance"]) == (
        "idler",
        "frame",
        "idler-end",
        "0.95",
    )
    assert (row["gauge_added_free_mm"], row["gauge_added_mm"]) == ("1.0", "1.25")


def test_a_chance_is_never_rounded_up_to_what_proves(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from tests.diagnosis.made_ways import IDLER, way

    monkeypatch.setattr(
        looseends.diagnosis.planning.ways, "vehicle_ways", lambda *_, **__: (way("idler-arm", IDLER, 0.8999),)
    )
    out = run(capsys, *DETECT, "--part", "idler-arm").out
    assert "89 %" in out
    assert "idler arm, radial: 89 % at best" in out


def test_a_shop_may_ask_for_a_better_chance_before_it_calls_a_thing_shown(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from tests.diagnosis.made_ways import IDLER, way

    monkeypatch.setattr(
        looseends.diagnosis.planning.ways, "vehicle_ways", lambda *_, **__: (way("idler-arm", IDLER, 0.93),)
    )
    (tmp_path / "shop.toml").write_text("[verdict]\nseen_at_least = 0.95\n", encoding="utf-8")
    shown, not_shown = (
        run(capsys, *DETECT, "--part", "idler-arm", *given).out
        for given in ((), ("--policy", str(tmp_path / "shop.toml")))
    )
    assert "shown by some check with a chance of 90 %" in shown
    assert "chance of 95 % or more" in not_shown and "idler arm, radial: 93 % at best" in not_shown


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--part", "idler-am"), 'looseends detect: --part "idler-am" is not known; did you mean "idler-arm"'),
        (
            ("--part", "torsion-bar"),
            "looseends detect: --part must have a clearance, found torsion-bar, which is judged by",
        ),
        (("--check", "wheel40"), 'looseends detect: --check "wheel40" is not known; did you mean "wheel39"'),
        (("--support", "arms"), 'looseends detect: --support "arms" is not known; did you mean "arm"'),
        (
            ("--support", "one-wheel"),
            "looseends detect: --support must be one that a check is usually done under, found",
        ),
        (
            ("--check", "lash", "--support", "arm"),
            'looseends detect: --support of check "lash" must be one of wheels, found "arm".',
        ),
        (("--csv", "--json"), "looseends detect: --csv and --json must not stand together, found both."),
    ],
)
def test_a_filter_that_fits_nothing_is_refused(
    given: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert refusal(capsys, *DETECT, *given).startswith(said)


def test_a_check_that_moves_nothing_on_the_vehicle_is_refused(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(looseends.diagnosis.planning.ways, "usual_setups", lambda vehicle: ())
    said = refusal(capsys, *DETECT, "--check", "lash")
    assert said == 'looseends detect: --check must be one that moves a joint of yard-pickup, found "lash".'
