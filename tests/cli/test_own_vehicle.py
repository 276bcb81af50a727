"""A vehicle of one's own: made by tape, checked, and known to every command."""

from __future__ import annotations

import inspect
import io
import shutil
from pathlib import Path

import pytest

from looseends.cli.application import COMMANDS, OWN_VEHICLE
from looseends.diagnosis.tables.prepare import _worker
from looseends.diagnosis.tables.store import TableStore, code_hash
from looseends.errors import LooseEndsError
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FILE_VARIABLE, FOLDER_VARIABLE
from looseends.vehicle.setup import Setup
from tests.cli.command_line import refusal, run
from tests.diagnosis.verdicts.test_verdict_doubt import WORN, judgement
from tests.vehicle.tape_answers import answers_of

IDLER = ("--check", "idler", "--support", "frame")


def answers_file(folder: Path, **more: object) -> Path:
    path = folder / "answers.toml"
    given = {**answers_of(), **more}
    path.write_text("".join(f"{k} = {v!r}\n".replace("'", '"') for k, v in given.items()), encoding="utf-8")
    return path


@pytest.fixture
def truck(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """The file of a vehicle that `vehicle new` wrote."""
    path = tmp_path / "own" / "ramp-truck.toml"
    assert run(capsys, "vehicle", "new", "--answers", str(answers_file(tmp_path)), "-o", str(path)).code == 0
    return path


def test_a_new_vehicle_is_written_checked_and_its_unknown_shafts_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.toml"
    done = run(capsys, "vehicle", "new", "--answers", str(answers_file(tmp_path)), "-o", str(path))
    assert (done.code, done.err) == (0, "")
    assert "66 parts, stands at its height" in done.out
    assert "Not known: the direction of the idler's shaft." in done.out
    record = run(capsys, "vehicle", "check", str(path), "--json").json()
    assert [shaft["group"] for shaft in record["unknown_shafts"]] == ["idler-shaft", "steering-box"]


def test_measured_shafts_are_no_longer_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = answers_file(
        tmp_path, idler_forward_deg=3.0, idler_left_deg=0.0, sector_forward_deg=3.0, sector_left_deg=0.0
    )
    done = run(capsys, "vehicle", "new", "--answers", str(answers), "-o", str(tmp_path / "x.toml"), "--json")
    assert done.json()["unknown_shafts"] == []


def test_a_file_is_not_overwritten_unasked(truck: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    again = ("vehicle", "new", "--answers", str(answers_file(tmp_path)), "-o", str(truck))
    assert refusal(capsys, *again).endswith("is there already; --replace overwrites it, -o names another file.")
    assert run(capsys, *again, "--replace").code == 0


def test_a_wrong_identification_number_never_blocks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number, said, kept in (
        ("1M8GDM9A5KP042788", 'position 9 is "5" and should be "X"', True),
        ("1M8GDM9AXKP04278O", "It was left out.", False),
    ):
        path = tmp_path / "x.toml"
        answers = answers_file(tmp_path, vin=number)
        done = run(capsys, "vehicle", "new", "--answers", str(answers), "-o", str(path), "--replace")
        assert done.code == 0
        assert said in done.err
        assert (number in path.read_text()) == kept


def test_us_units_of_numbers_without_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    inches = {"wheelbase_mm": 144, "front_track_mm": 66, "rear_track_mm": 66, "front_height_mm": 12}
    answers = answers_file(tmp_path, **inches, front_axle_kg=3000, rear_axle_kg=2100)
    path = tmp_path / "x.toml"
    assert run(capsys, "vehicle", "new", "--answers", str(answers), "--units", "us", "-o", str(path)).code == 0
    assert "wheelbase_mm = 3657.6" in path.read_text()
    assert "front_corner_kg = 680.3886" in path.read_text()


def test_the_questions_on_the_terminal_ask_again_until_an_answer_is_accepted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Enter takes the default of what the layout tells; 20 mm is no wheelbase; the rest is left out.
    typed = ["ramp-truck", "bar-linkage-leaf", "", "", "", "20", "144 in", "1680", "1700", "265/75R16", "1400", "950"]
    typed += ["310", *[""] * 40]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(typed) + "\n"))
    path = tmp_path / "x.toml"
    done = run(capsys, "vehicle", "new", "-o", str(path))
    assert done.code == 0, done.err
    assert "wheelbase_mm must be from 1500 to 7000 mm" in done.err
    assert "wheelbase_mm = 3657.6" in path.read_text()


def test_every_command_takes_a_vehicle_file(truck: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in COMMANDS:
        assert "--vehicle-file" in run(capsys, name, "--help").out
    listed = run(capsys, "vehicles", "--vehicle-file", str(truck), "--json").json()
    assert listed[-1]["id"] == "ramp-truck"
    assert run(capsys, "parts", "ramp-truck", "--vehicle-file", str(truck)).code == 0
    assert run(capsys, "parts", "ramp-truck").code == 2, "the option must not outlive its command"


def test_a_folder_of_vehicles_is_known_without_it(
    truck: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER_VARIABLE, str(truck.parent))
    assert run(capsys, "parts", "ramp-truck").code == 0
    assert run(capsys, "parts", "ramp-truck", "--vehicle-file", str(truck)).code == 0
    shutil.copy(truck, truck.with_name("twice.toml"))
    assert refusal(capsys, "vehicles") == 'twice.toml: id "ramp-truck" is taken by another vehicle; choose another id.'


@pytest.mark.parametrize(
    ("variable", "sentence"),
    [
        (FOLDER_VARIABLE, 'LOOSEENDS_VEHICLES must name a folder of vehicle files, found "/nowhere".'),
        (FILE_VARIABLE, '--vehicle-file must name a vehicle file that is there, found "/nowhere".'),
    ],
)
def test_a_place_that_is_not_there_is_refused(
    variable: str, sentence: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(variable, "/nowhere")
    assert refusal(capsys, "vehicles") == sentence


def test_the_name_of_a_vehicle_that_ships_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = answers_file(tmp_path, name="yard-pickup")
    sentence = refusal(capsys, "vehicle", "new", "--answers", str(answers))
    assert sentence == 'answers.toml: name must be another than that of a vehicle that ships, found "yard-pickup".'


def test_a_shake_tells_how_far_it_hangs_on_the_tape(truck: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = ("shake", "ramp-truck", "--vehicle-file", str(truck), *IDLER)
    done = run(capsys, *own)
    assert done.code == 0
    assert "of the doubt hangs on what was not measured" in done.out
    assert "doubt" not in run(capsys, "shake", "yard-pickup", *IDLER, "--json").json()


def test_tables_of_an_own_vehicle_hang_on_its_file(
    truck: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER_VARIABLE, str(truck.parent))
    store, setup = TableStore(tmp_path), Setup("idler", "frame", None, "held", "off", 0.0)
    before, shipped = store._path("ramp-truck", setup), store._path("yard-pickup", setup)
    truck.write_text(truck.read_text() + "\n# measured anew\n")
    assert load_vehicles()["ramp-truck"].content
    assert store._path("ramp-truck", setup) != before
    assert store._path("yard-pickup", setup) == shipped


def test_a_worker_with_another_file_computes_nothing(truck: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(LooseEndsError, match="has no vehicle file of ramp-truck, or another one than this computer"):
        _worker("ramp-truck", (), code_hash() + "mark")
    monkeypatch.setenv(FOLDER_VARIABLE, str(truck.parent))
    with pytest.raises(LooseEndsError, match="or another one than this computer"):
        _worker("ramp-truck", (), code_hash() + "mark")
    assert _worker("ramp-truck", (), code_hash() + load_vehicles()["ramp-truck"].content) == []


@pytest.mark.parametrize("name", OWN_VEHICLE)
def test_the_commands_of_an_own_vehicle_have_help(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = inspect.getdoc(OWN_VEHICLE[name]) or ""
    assert len(words.split("\n\n")) > 1
    assert "--json" in run(capsys, "vehicle", name, "--help").out


def test_a_judgement_tells_how_far_its_verdicts_hang_on_the_tape(
    truck: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("looseends.cli.judged_visit.judged_visit", lambda visit, policy: judgement())
    monkeypatch.setenv(FOLDER_VARIABLE, str(truck.parent))
    out = run(capsys, "judge", "visit.toml").out
    assert f"By tape (1 sigma):\n  {WORN}: with the wear found, left outer tie-rod end moves" in out
    record = run(capsys, "judge", "visit.toml", "--json").json()
    assert [entry["part"] for entry in record["by_tape"]] == [WORN]
    assert "findings" in record
