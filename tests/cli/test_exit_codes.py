"""How a command ends: 0 done, 1 failure, 2 bad input; a sentence, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

import looseends.vehicle.shake
from looseends.errors import MechanicsError
from tests.cli.command_line import SHAKE, refusal, run


def test_no_argument_and_unknown_command_are_bad_input(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys).code == 2
    wrong = run(capsys, "vehicels")
    assert wrong.code == 2
    assert "vehicels" in wrong.err
    assert "vehicles" in wrong.err


@pytest.mark.parametrize("arguments", [("shake", "yard-pickup"), ("parts",), ("vehicles", "--no-such"), ("judge",)])
def test_usage_errors_are_bad_input(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *arguments)
    assert (done.code, done.out) == (2, "")
    assert "Traceback" not in done.err


@pytest.mark.parametrize("command", ["parts", "checks", "prepare"])
def test_an_unknown_vehicle_is_answered_with_the_nearest(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    sentence = refusal(capsys, command, "yardpickup")
    assert sentence.startswith(f'looseends {command}: vehicle "yardpickup" is not known; did you mean "yard-pickup"')


def test_a_mechanism_that_cannot_be_solved_is_a_failure(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def falls_apart(*_: object, **__: object) -> None:
        raise MechanicsError("the mechanism falls apart")

    monkeypatch.setattr(looseends.vehicle.shake, "prepare_check", falls_apart)
    done = run(capsys, *SHAKE)
    assert (done.code, done.out, done.err) == (1, "", "the mechanism falls apart\n")


@pytest.mark.parametrize("command", ["judge", "next"])
def test_a_visit_file_that_is_not_there_is_bad_input(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "visit.toml"
    assert refusal(capsys, command, str(path)) == f"{path} does not exist: name a visit file that is there."
