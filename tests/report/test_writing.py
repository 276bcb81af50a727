"""Writing a handover: both files, named after vehicle and day, nothing lost in silence."""

import dataclasses
from pathlib import Path

import pytest

from looseends.errors import InputError
from looseends.report import write_handover
from looseends.report.writing import handover_stem
from tests.report.handover_sample import yard_pickup_judgement, yard_pickup_plan


def test_both_files_are_written_and_nothing_else(tmp_path: Path) -> None:
    page, paper = write_handover(yard_pickup_judgement(), yard_pickup_plan(), tmp_path / "out" / "today")
    assert page.name == "handover-yard-pickup-2026-10-14.html" and paper.name == "handover-yard-pickup-2026-10-14.pdf"
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>") and paper.read_bytes().startswith(b"%PDF-")
    assert sorted(page.parent.iterdir()) == [page, paper]


def test_writing_again_leaves_the_same_files_alone(tmp_path: Path) -> None:
    page, _ = write_handover(yard_pickup_judgement(), yard_pickup_plan(), tmp_path)
    stamp = page.stat().st_mtime_ns
    write_handover(yard_pickup_judgement(), yard_pickup_plan(), tmp_path)
    assert page.stat().st_mtime_ns == stamp


def test_a_different_handover_is_kept_unless_replacing_is_asked_for(tmp_path: Path) -> None:
    page, paper = write_handover(yard_pickup_judgement(), yard_pickup_plan(), tmp_path)
    before = page.read_bytes(), paper.read_bytes()
    other = dataclasses.replace(yard_pickup_judgement(), vehicle_name="Other pickup")
    with pytest.raises(InputError, match="says something else is already there"):
        write_handover(other, yard_pickup_plan(), tmp_path)
    assert (page.read_bytes(), paper.read_bytes()) == before
    write_handover(other, yard_pickup_plan(), tmp_path, replace=True)
    assert b"Other pickup" in page.read_bytes()


def test_a_directory_that_is_a_file_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "taken"
    place.write_text("x")
    with pytest.raises(InputError, match="taken: found a file; accepted is a directory"):
        write_handover(yard_pickup_judgement(), yard_pickup_plan(), place)
    with pytest.raises(InputError, match="it cannot be made"):
        write_handover(yard_pickup_judgement(), yard_pickup_plan(), place / "below")


@pytest.mark.parametrize(
    ("vehicle", "stem"),
    [("yard-pickup", "yard-pickup"), ("my cars/Réd Truck.toml", "r-d-truck"), ("../..", "vehicle"), ("", "vehicle")],
)
def test_the_name_is_safe_whatever_the_vehicle_is_called(vehicle: str, stem: str) -> None:
    visit = dataclasses.replace(yard_pickup_judgement().visit, vehicle=vehicle)
    assert handover_stem(visit) == f"handover-{stem}-2026-10-14"
