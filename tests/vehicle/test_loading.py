"""Reading vehicles: each by itself, under the id that its file is named by."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from looseends.errors import InputError
from looseends.vehicle import loading
from looseends.vehicle.layout import load_layouts
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.vehicle import Vehicle


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The files that are read in a test, with nothing read before it."""
    files: list[str] = []

    def noted(text: str, file: str) -> Vehicle:
        files.append(file)
        return parse_vehicle(text, file)

    monkeypatch.setattr(loading, "parse_vehicle", noted)
    loading._shipped.cache_clear()
    yield files
    loading._shipped.cache_clear()


def test_asking_for_one_vehicle_reads_its_file_only_and_once(read: list[str]) -> None:
    vehicles = load_vehicles()
    assert "crew-van" in vehicles
    assert "no-such-van" not in vehicles
    assert len(list(vehicles)) == len(vehicles) > 10
    assert read == []
    assert vehicles["yard-pickup"] is load_vehicles()["yard-pickup"]
    assert read == ["yard-pickup.toml"]


def test_files_are_named_by_the_id_in_them() -> None:
    assert all(vehicle.id == name for name, vehicle in load_vehicles().items())
    assert all(layout.id == name for name, layout in load_layouts().items())


def test_a_broken_file_in_the_folder_keeps_no_other_vehicle_from_being_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "ramp-van.toml").write_text('id = "ramp-van"\nnames = "Ramp van"\n')
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path))
    vehicles = load_vehicles()
    assert vehicles["yard-pickup"].id == "yard-pickup"
    with pytest.raises(InputError, match=r'^ramp-van.toml: key "names" is not known'):
        vehicles["ramp-van"]
