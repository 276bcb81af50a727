"""`looseends vehicles`, `parts` and `checks`: what is known, as text and as JSON."""

from __future__ import annotations

import pytest

from looseends.catalogue import load_catalogue
from looseends.catalogue.types import Check
from looseends.vehicle.loading import load_vehicles
from tests.cli.command_line import run


def test_vehicles_are_listed_by_id(capsys: pytest.CaptureFixture[str]) -> None:
    lines = run(capsys, "vehicles").out.splitlines()
    assert any(line.startswith("yard-pickup: yard pickup, body-on-frame 4x4 pickup") for line in lines)
    assert [entry["id"] for entry in run(capsys, "vehicles", "--json").json()] == list(load_vehicles())


def test_every_part_is_listed_with_its_axes_and_their_basis(capsys: pytest.CaptureFixture[str]) -> None:
    listed = {entry["id"]: entry for entry in run(capsys, "parts", "yard-pickup", "--json").json()}
    assert list(listed) == list(load_vehicles()["yard-pickup"].parts)
    joint = listed["lower-ball-joint-left"]
    figure = load_catalogue().joint_figures["ball-joint-carrier-compression"]
    assert (joint["kind"], joint["side"], joint["basis"]) == ("lower-ball-joint", "left", figure.basis)
    assert joint["axes"]["axial"] == {
        "measured": figure.axial.measured,
        "sound_mm": [figure.axial.sound_clearance.lo, figure.axial.sound_clearance.hi],
        "reject_mm": figure.axial.reject,
    }


def test_a_part_shows_only_the_axes_in_which_it_holds(capsys: pytest.CaptureFixture[str]) -> None:
    listed = {entry["id"]: entry for entry in run(capsys, "parts", "yard-pickup", "--json").json()}
    assert list(listed["steering-gear"]["axes"]) == ["radial"]
    assert listed["rebound-stop-left"]["axes"] == {}
    assert listed["rebound-stop-left"]["judged_by"] == "condition"


def test_the_table_of_parts_names_every_part(capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "parts", "yard-pickup").out
    assert [part for part in load_vehicles()["yard-pickup"].parts if part not in out] == []
    assert "over 1.3" in out


def listed_checks() -> list[Check]:
    """Checks of all kinds but those whose every stroke needs a body that a pickup with a solid rear axle has not."""
    not_there = {"drag-link", "inner-bellows", "kingpin", "link-pry", "rackmount", "strut", "trackbar"}
    return [check for check in load_catalogue().checks.values() if check.id not in not_there]


def test_a_check_of_condition_is_listed_with_what_to_look_for(capsys: pytest.CaptureFixture[str]) -> None:
    listed = {entry["id"]: entry for entry in run(capsys, "checks", "yard-pickup", "--json").json()}
    hose = load_catalogue().checks["hose"]
    assert (listed["hose"]["kind"], listed["hose"]["watches"], listed["hose"]["at_lock"]) == ("condition", [], True)
    assert listed["hose"]["look_for"] == list(hose.watch_words)
    out = " ".join(run(capsys, "checks", "yard-pickup").out.split())
    assert f"look for: {hose.watch_words[0]}" in out
    assert "also with the steering turned to each lock" in out


def test_what_the_vehicle_has_not_is_not_watched(capsys: pytest.CaptureFixture[str]) -> None:
    listed = {entry["id"]: entry for entry in run(capsys, "checks", "yard-pickup", "--json").json()}
    watches = [watch["id"] for watch in listed["wheel39"]["watches"]]
    assert "pitman-ball" in watches
    assert "rack-inner-end-SIDE" not in watches
    assert "lower-ball-joint-SIDE.axial" not in [watch["id"] for watch in listed["bj-radial"]["watches"]]


def test_checks_are_listed_with_what_to_do_and_the_caution_beside_it(capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(run(capsys, "checks", "yard-pickup").out.split())
    for check in listed_checks():
        assert f"{check.id}: {check.name} ({check.minutes:g} min" in out
        assert f"do: {check.do} caution: {check.caution}" in out


def test_checks_as_json_have_their_watches_and_supports(capsys: pytest.CaptureFixture[str]) -> None:
    listed = {entry["id"]: entry for entry in run(capsys, "checks", "yard-pickup", "--json").json()}
    assert list(listed) == [check.id for check in listed_checks()]
    assert listed["idler"]["sided"] is False
    assert "idler-end" in [watch["id"] for watch in listed["idler"]["watches"]]
    assert listed["bj-axial"]["supports"] == ["arm", "frame", "ride", "wheels", "one-wheel", "axle", "upblock"]
    assert listed["bj-axial"]["watches"][0]["id"] == "lower-ball-joint-SIDE"
