"""The first start compiles once and says so; later ones are silent."""

from __future__ import annotations

import pytest

from looseends.cli.first_start import compile_once
from looseends.mechanics.kernel import warm


@pytest.mark.parametrize("done", [False, True])
def test_it_says_that_it_compiles_only_when_it_does(
    done: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    called: list[bool] = []
    monkeypatch.setattr(warm, "is_compiled", lambda: done)
    monkeypatch.setattr(warm, "warm_up", lambda: called.append(True))
    compile_once()
    told = capsys.readouterr()
    assert told.out == ""
    assert ("compiling the mechanics once" in told.err) is not done
    assert called == [] if done else called == [True]
