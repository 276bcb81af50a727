"""`looseends next --minutes`, `--by` and `--policy`: what is asked of the diagnosis, and how it is told."""

from __future__ import annotations

from importlib.resources import as_file
from pathlib import Path
from typing import Any

import pytest

import looseends.diagnosis
from looseends.diagnosis import next_step
from looseends.diagnosis.inference import diagnose
from looseends.diagnosis.next_step import Enough, Step
from looseends.inspection import EXAMPLE_VISIT, Setup
from looseends.inspection.types import NextCheck
from tests.cli.command_line import refusal, run

ARM = Setup("bj-axial", "arm", "left", "held", "off", 0.0)
STEP = Step(
    NextCheck(ARM, ("lower-ball-joint-left",), 11.0, 0.61, (), "It alone shows the carrier."),
    0.8,
    (Setup("wheel126", "arm", "left", "held", "off", 0.0),),
    9.0,
    ("lower-ball-joint-left", "idler-arm"),
)
ENOUGH = Enough("decided", "Enough is known to act; nothing stays unproven.", (), ())


@pytest.fixture
def visit_file(tmp_path: Path) -> str:
    """The example visit as a file of its own."""
    with as_file(EXAMPLE_VISIT) as path:
        (tmp_path / "visit.toml").write_bytes(path.read_bytes())
    return str(tmp_path / "visit.toml")


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What the diagnosis is asked; `answer` is what it says. Its tables are not computed."""
    asked: dict[str, Any] = {"answer": STEP}

    def planned(found: object, minutes: float, policy: object, by: str) -> Step | Enough:
        asked.update(minutes=minutes, policy=policy, by=by)
        return asked["answer"]  # type: ignore[no-any-return]

    def judge_visit(visit: object, vehicle: object, *, policy: object, by: str, **_: object) -> object:
        asked.update(policy=policy, by=by)
        return type("Told", (), {"next_checks": (STEP.check,)})

    monkeypatch.setattr(diagnose, "diagnose", lambda *_, **__: None)
    monkeypatch.setattr(next_step, "next_step", planned)
    monkeypatch.setattr(looseends.diagnosis, "judge_visit", judge_visit)
    return asked


def test_a_step_is_told_with_its_caution_what_follows_and_what_is_left(
    visit_file: str, asked: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    out = " ".join(run(capsys, "next", visit_file, "--minutes", "20").out.split())
    assert (asked["minutes"], asked["by"], asked["policy"].name) == (20.0, "hand", "")
    assert "Next: Lift the wheel with a bar (bj-axial), held under the lower arms (arm), left side" in out
    assert "caution:" in out and "left after it: 9 min" in out
    assert "then, as planned now: shake the wheel at 12 and 6 o'clock, held under the lower arms, left" in out
    assert "still open: 2 parts, what matters most first: left lower ball joint, idler arm" in out


def test_when_to_stop_is_told_in_one_sentence(
    visit_file: str, asked: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    asked["answer"] = ENOUGH
    assert run(capsys, "next", visit_file, "--minutes", "0").out == f"{ENOUGH.words}\n"
    told = run(capsys, "next", visit_file, "--minutes", "5", "--json").json()
    assert told["step"] is None and told["enough"]["because"] == "decided"


def test_json_has_the_step_whole(visit_file: str, asked: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    told = run(capsys, "next", visit_file, "--minutes", "20", "--json").json()
    assert told["enough"] is None
    assert told["step"]["check"]["setup"]["check"] == "bj-axial"
    assert told["step"]["minutes_left"] == 9.0 and len(told["step"]["open_parts"]) == 2


@pytest.mark.parametrize("arguments", [(), ("--minutes", "20")])
def test_observer_and_policy_are_handed_on(
    arguments: tuple[str, ...], visit_file: str, asked: dict[str, Any], tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    shop = tmp_path / "shop.toml"
    shop.write_text("[next]\ncomplaint_weight = 7\n")
    run(capsys, "next", visit_file, "--by", "gauge", "--policy", str(shop), *arguments)
    assert (asked["by"], asked["policy"].next.complaint_weight) == ("gauge", 7.0)
    monkeypatch.setenv("LOOSEENDS_POLICY", str(shop))
    run(capsys, "next", visit_file, *arguments)
    assert (asked["by"], asked["policy"].name) == ("hand", "shop.toml")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--minutes", "soon"), "looseends next: --minutes must be a plain finite number in min"),
        (("--minutes", "-1"), "looseends next: --minutes must be from 0 to 1000 min, found -1."),
        (("--by", "ear"), 'looseends next: --by "ear" is not known'),
        (("--policy", "nowhere.toml"), "nowhere.toml: must be a readable policy file"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence(
    arguments: tuple[str, ...], sentence: str, visit_file: str, asked: dict[str, Any],
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    assert sentence in refusal(capsys, "next", visit_file, *arguments)


@pytest.mark.parametrize("command", ["judge", "handover"])
def test_a_policy_that_is_wrong_is_refused_wherever_it_counts(
    command: str, visit_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("[verdict]\nworn_at_least = 2\n")
    more = ("-o", str(tmp_path / "out")) if command == "handover" else ()
    sentence = refusal(capsys, command, visit_file, "--policy", str(shop), *more)
    assert sentence.startswith("shop.toml, verdict: worn_at_least must be a number from 0.8 to 0.999, found 2")
