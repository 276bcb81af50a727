"""Every command says what it does, prints JSON when asked, and stands in docs/cli.md as it is."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from typing import get_type_hints

import pytest

from looseends.cli.application import APPLICATION, COMMANDS, RECORDS
from looseends.cli.document import command_line_page
from tests.cli.command_line import run

ALL = COMMANDS | APPLICATION | RECORDS
PAGE = Path(__file__).resolve().parents[2] / "docs" / "cli.md"


def test_the_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == command_line_page(), "python -m looseends.cli.document > docs/cli.md"


@pytest.mark.parametrize("name", ALL)
def test_every_command_has_help_of_more_than_a_line(name: str) -> None:
    words = inspect.getdoc(ALL[name])
    assert words is not None
    assert words.splitlines()[0].endswith(".")
    assert len(words.split("\n\n")) > 1


@pytest.mark.parametrize("name", ALL)
def test_every_argument_and_option_has_help(name: str) -> None:
    hints = get_type_hints(ALL[name], include_extras=True)
    for parameter in inspect.signature(ALL[name]).parameters:
        assert hints[parameter].__metadata__[0].help, parameter


@pytest.mark.parametrize("name", COMMANDS | RECORDS)
def test_every_command_prints_json_when_asked(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "--json" in run(capsys, name, "--help").out


@pytest.mark.parametrize("name", ALL)
def test_the_list_of_commands_gives_the_first_sentence_whole(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    sentence = (inspect.getdoc(ALL[name]) or "").splitlines()[0]
    assert sentence in run(capsys, "--help").out


def test_help_does_not_wait_for_the_numeric_libraries() -> None:
    slow = ("numpy", "scipy", "typst", "jinja2", "sqlalchemy")
    code = f"import sys, looseends.cli; print([n for n in {slow} if n in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "[]"
