"""One command run in this process, as a terminal would run it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import pytest

from looseends.cli import main


@dataclass(frozen=True)
class Done:
    """Exit code and what went to both outputs."""

    code: int
    out: str
    err: str

    def json(self) -> Any:
        """Standard output read as JSON, which knows no infinity."""
        return json.loads(self.out, parse_constant=pytest.fail)


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> Done:
    """`looseends` with these arguments."""
    capsys.readouterr()
    with pytest.raises(SystemExit) as left:
        main(arguments)
    shown = capsys.readouterr()
    code = left.value.code
    return Done(code if isinstance(code, int) else 0 if code is None else 1, shown.out, shown.err)


SHAKE = ("shake", "yard-pickup", "--check", "bj-axial", "--support", "arm", "--side", "L")


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The sentence of a command that must be refused as bad input."""
    done = run(capsys, *arguments)
    assert (done.code, done.out) == (2, "")
    assert done.err.count("\n") == 1
    return done.err.removesuffix("\n")
