"""A command that is asked in Spanish refuses in Spanish; one that is asked in English, in English."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.command_line import refusal

CUT = 'format = 1\nvehicle = "yard-pickup"\n'


@pytest.mark.parametrize("command", ["judge", "next", "ledger", "handover -o ."])
def test_a_visit_file_is_refused_in_the_language_that_was_asked_for(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "visit.toml"
    file.write_text(CUT, encoding="utf-8")
    assert refusal(capsys, *command.split(), str(file), "--language", "es").startswith(f"{file}: technician debe ser")
    assert refusal(capsys, *command.split(), str(file)).startswith(f"{file}: technician must be")


def test_a_comparison_and_a_route_are_refused_in_spanish(capsys: pytest.CaptureFixture[str]) -> None:
    assert refusal(capsys, "compare", "one.toml", "--language", "es").startswith("compare: se encontró una visita;")
    said = refusal(capsys, "route", "yard-pickup", "--minutes", "2 bolts", "--language", "es")
    assert said.endswith('debe ser un número finito sin más en min; se encontró "2 bolts"; por ejemplo 15.')


def test_the_language_of_a_whole_shop_holds_for_refusals_too(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOOSEENDS_LANGUAGE", "es")
    assert refusal(capsys, "judge", "gone.toml") == "gone.toml no existe: nombre un archivo de visita que exista."
