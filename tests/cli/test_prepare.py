"""`looseends prepare` without its extra."""

from __future__ import annotations

import sys

import pytest

from tests.cli.command_line import refusal


def test_without_the_extra_the_sentence_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    sentence = refusal(capsys, "prepare", "yard-pickup", "--cluster", "tcp://127.0.0.1:8786")
    assert '"fleet"' in sentence and 'pip install "looseends[fleet]"' in sentence
