"""`looseends route`: what is planned for what was asked, and the sheet to fill in.

What the tables say is the concern of the tests of diagnosis; here the ways are given.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import looseends.diagnosis.planning.ways
from looseends.catalogue import load_catalogue
from tests.cli.command_line import refusal, run
from tests.diagnosis.made_ways import WAYS

ROUTE = ("route", "yard-pickup")


@pytest.fixture(autouse=True)
def given_ways(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in for the tables."""
    monkeypatch.setattr(looseends.diagnosis.planning.ways, "vehicle_ways", lambda *_, **__: WAYS)


def words(out: str) -> str:
    """Output without its line breaks."""
    return " ".join(out.split())


def test_the_first_thing_told_is_to_look_at_the_lift_points(capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, *ROUTE).out
    assert out.index("0. Look at the lift points") < out.index("Held at the frame") < out.index("1. ")


def test_steps_stand_under_their_support_with_their_cautions_and_proofs(capsys: pytest.CaptureFixture[str]) -> None:
    catalogue = load_catalogue()
    out = words(run(capsys, *ROUTE).out)
    lift, arm = catalogue.checks["bj-axial"], catalogue.supports["arm"]
    start = out.index("Held under the lower arms (arm): 6 min to bring it there")
    parts = (f"caution: {arm.caution}", f"{lift.name} (bj-axial), left side (5 min)", f"do: {lift.do}")
    places = [out.index(text, start) for text in (*parts, f"caution: {lift.caution}", "Proves left lower ball joint")]
    assert places == sorted(places)
    assert "idler ball across its axis: steps 2, 4 between them, 92 %" in out
    assert "steering gear mesh across its axis: the best check shows it by gauge with a chance of 50 % only" in out
    assert "Proven shortest: of all routes that prove these parts, and look at the others where they show best" in out


def test_a_shops_policy_says_what_proves_and_how_long_a_support_takes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    policy = tmp_path / "shop.toml"
    policy.write_text(
        '[verdict]\nseen_at_least = 0.97\n[[support_change]]\nfrom = "wheels"\nto = "arm"\nminutes = 11\n',
        encoding="utf-8",
    )
    plain, own = (run(capsys, *ROUTE, "--json", *given).json()["route"] for given in ((), ("--policy", str(policy))))
    assert (plain["asked"], own["asked"]) == (0.9, 0.97)
    assert {leg["support"]: leg["minutes"] for leg in plain["legs"]}["arm"] == 6
    assert own["legs"] == [] or {leg["support"]: leg["minutes"] for leg in own["legs"]}.get("arm", 11) == 11


def test_json_has_the_route_with_its_bound(capsys: pytest.CaptureFixture[str]) -> None:
    found = run(capsys, *ROUTE, "--json").json()
    assert found["suspicion"] is None and found["files"] == []
    route = found["route"]
    assert route["bound"] == pytest.approx(route["minutes"], abs=1e-6)
    assert [leg["support"] for leg in route["legs"]] == ["frame", "arm"]
    assert run(capsys, *ROUTE, "--by", "eye", "--json").json()["route"]["by"] == "eye"


def test_a_complaint_has_fifteen_minutes_unless_told_otherwise(capsys: pytest.CaptureFixture[str]) -> None:
    found = run(capsys, *ROUTE, "--complaint", "It wanders", "--json").json()
    assert found["route"]["within"] == 15.0
    assert found["route"]["minutes"] <= 15.0
    first = found["route"]["legs"][0]["steps"][0]
    assert {proof["part"] for proof in first["proves"]} & set(found["suspicion"]["raised"])
    assert found["suspicion"]["complaints"][0] == load_catalogue().complaints["wanders"].name
    longer = run(capsys, *ROUTE, "--complaint", "It wanders", "--minutes", "40", "--json").json()
    assert longer["route"]["goal"] > found["route"]["goal"]


def test_a_complaint_is_told_as_it_was_taken_and_what_stays_unproven(capsys: pytest.CaptureFixture[str]) -> None:
    out = words(run(capsys, *ROUTE, "--complaint", "se va de lado a lado").out)
    assert f"The complaint is taken as: “{load_catalogue().complaints['wanders'].name}”." in out
    assert "left lower ball joint along its axis: not within 15 min" in out


def test_minutes_alone_prove_the_most_of_what_is_likely_by_kind(capsys: pytest.CaptureFixture[str]) -> None:
    found = run(capsys, *ROUTE, "--minutes", "20", "--json").json()
    assert found["route"]["within"] == 20.0 and found["suspicion"] is None


def test_the_blank_sheet_is_written_as_pdf_and_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *ROUTE, "--blank", "-o", str(tmp_path / "sheets"))
    paths = [Path(line) for line in done.out.splitlines()]
    assert [path.name for path in paths] == ["route-yard-pickup.pdf", "route-yard-pickup.txt"]
    assert paths[0].read_bytes().startswith(b"%PDF")
    assert "[ ] 1. " in paths[1].read_text(encoding="utf-8")
    again = refusal(capsys, *ROUTE, "--by", "hand", "--blank", "-o", str(tmp_path / "sheets"))
    assert "a route sheet that says something else is already there" in again
    replaced = run(capsys, *ROUTE, "--by", "hand", "--blank", "-o", str(tmp_path / "sheets"), "--replace", "--json")
    assert replaced.json()["files"] == [str(path) for path in paths]


def test_without_a_directory_the_sheet_goes_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    run(capsys, *ROUTE, "--blank")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["route-yard-pickup.pdf", "route-yard-pickup.txt"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--by", "hnd"), 'looseends route: --by "hnd" is not known; did you mean "hand"'),
        (("--minutes", "soon"), 'looseends route: --minutes must be a plain finite number in min, found "soon"'),
        (("--minutes", "0"), "looseends route: --minutes must be from 1 to 1000 min, found 0."),
        (
            ("--minutes", "4"),
            "looseends route: --minutes must be at least 7, for the lift points and the quickest check",
        ),
        (
            ("--complaint", "ice cream"),
            'looseends route: --complaint "ice cream" is like no complaint on file;',
        ),
        (("-o", "here"), "looseends route: --output belongs to --blank only, found it without."),
        (("--replace",), "looseends route: --replace belongs to --blank only, found it without."),
    ],
)
def test_what_cannot_be_planned_is_refused(
    given: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert refusal(capsys, *ROUTE, *given).startswith(said)


def test_words_like_no_complaint_are_refused_before_tables_are_computed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(
        looseends.diagnosis.planning.ways, "vehicle_ways", lambda *_, **__: pytest.fail("tables were asked for")
    )
    assert "nearest are" in refusal(capsys, *ROUTE, "--complaint", "ice cream")
