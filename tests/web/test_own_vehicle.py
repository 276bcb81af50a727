"""A vehicle by tape on the spot: the questions of the command line, what is kept, what is told, what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar

from looseends.diagnosis.verdicts.unmeasured import JOINTS_AND_HAND, Doubt
from looseends.language import ENGLISH, say
from looseends.store.ids import time_ordered_id
from looseends.store.keep import vehicle_text
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.own_files import FOLDER_VARIABLE
from looseends.vehicle.reading import parse_vehicle
from looseends.vehicle.setup import Setup
from looseends.vehicle.tape import load_questions, read_answers, taped_vehicle
from looseends.vehicle.tape import vehicle_text as text_by_tape
from looseends.vehicle.vehicle import Vehicle
from looseends.web.judged.preparing import Progress
from looseends.web.own import keeping, told
from looseends.web.own.keeping import bring_back
from looseends.web.own.told import center_spreads, sharpest_words
from tests.web.cast import Client, form_token, send, signed_in, words_of

TAPED = {
    "name": "Ramp truck",
    "layout": "bar-linkage-leaf",
    "spring_arm": "lower",
    "stop_arm": "upper",
    "linkage": "behind",
    "wheelbase_mm": "3660",
    "front_track_mm": "168 cm",
    "rear_track_mm": "1700",
    "tire_size": "LT245/75R17",
    "front_axle_kg": "1400",
    "rear_axle_kg": "2100 lb",
    "front_height_mm": "310,5",
}
ANSWERS: dict[str, object] = {**TAPED, "name": "ramp-truck"}


class PreparingStub:
    """Computes nothing: says how far it is."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def ready(self, vehicle: object, setups: object = ()) -> bool:
        return False

    def progress(self, vehicle_id: str, setups: object = ()) -> Progress:
        self.asked.append(vehicle_id)
        return Progress(vehicle_id, 3, 52)

    def now(self) -> None:
        return None

    def stop(self) -> None:
        pass


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, app: Litestar, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of own vehicles; standing at a height and weighing of checks have their tests elsewhere."""
    made = tmp_path / "vehicles"
    monkeypatch.setenv(FOLDER_VARIABLE, str(made))
    keeping.use_folder(tmp_path / "elsewhere")
    monkeypatch.setattr(keeping, "carrying_preload", lambda vehicle, specimen: {})
    monkeypatch.setattr(told, "sharpest_words", lambda vehicle: say("Measure the idler's shaft."))
    app.state.preparing = PreparingStub()
    yield made


def described(client: Client, **changed: str) -> tuple[int, str]:
    """Status and page after the form was sent."""
    client.get("/own-vehicles/new")
    return send(client, "/own-vehicles", **{**TAPED, **changed})


def test_twelve_entries_make_a_vehicle_that_is_the_command_lines_to_the_letter(
    app: Litestar, technician: Client, folder: Path
) -> None:
    assert len(TAPED) == 12
    status, page = described(technician)
    assert status == 200 and "Ramp truck" in page
    made_by_hand = text_by_tape(taped_vehicle(read_answers({**ANSWERS, "front_height_mm": 310.5}, "answers.toml")))
    assert (folder / "ramp-truck.toml").read_text(encoding="utf-8") == made_by_hand
    with app.state.store.reading() as session:
        assert vehicle_text(session, "ramp-truck") == made_by_hand
    assert app.state.preparing.asked[0] == "ramp-truck"
    assert 'value="ramp-truck" selected' in technician.get("/intake?vehicle=ramp-truck").text
    visit = time_ordered_id()
    assert send(technician, "/intake", visit_id=visit, vehicle="ramp-truck")[0] == 200
    assert "ramp truck" in technician.get(f"/visits/{visit}/plan").text


def test_the_page_tells_every_spread_what_to_measure_first_and_how_far_the_tables_are(technician: Client) -> None:
    page = unescape(words_of(described(technician)[1]))
    centers = center_spreads(load_vehicles()["ramp-truck"])
    assert len(centers) > 15
    for center in centers:
        assert center.words in page and ENGLISH.words(center.spread) in page
    assert page.count("direction not known") == 2  # idler and sector shaft, which no inclinometer was laid on
    assert "3 of 52 tables are there." in page
    assert "Measure the idler" in technician.get("/own-vehicles/ramp-truck/now").text


def test_every_question_of_the_layout_is_asked_and_the_number_of_the_visit_is_not(technician: Client) -> None:
    page = technician.get("/own-vehicles/new").text + technician.get("/own-vehicles/built?layout=bar-linkage-leaf").text
    asked = {name for name in load_questions() if f'name="{name}"' in page}
    assert asked == set(load_questions()) - {"vin"}
    struts = technician.get("/own-vehicles/built?layout=strut-rack-twist-beam").text
    assert 'name="idler_arm_mm"' not in struts and 'value="strut" selected' in struts
    assert 'name="linkage"' not in technician.get("/own-vehicles/built?layout=hovercraft").text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("wheelbase_mm", "12", "wheelbase_mm must be from 1500 to 7000 mm (mm or cm or in)"),
        ("wheelbase_mm", "", "This is needed."),
        ("tire_size", "round", "tire_size"),
        ("name", "ramp/../truck", "name must be a name in lower case with hyphens"),
        ("name", "yard pickup", "a vehicle yard-pickup is known already; choose another name."),
        ("layout", "hovercraft", "hovercraft"),
        ("spring_arm", "upper", 'spring_arm of "bar-linkage-leaf" must be lower'),
        ("idler_forward_deg", "3", "idler_forward_deg needs idler_left_deg besides"),
    ],
)
def test_what_is_not_accepted_is_told_beside_its_field_and_the_rest_stays(
    technician: Client, folder: Path, field: str, typed: str, sentence: str
) -> None:
    status, page = described(technician, **{field: typed})
    assert status == 400
    beside = page.split(f'id="{field}-mistake">')[1].split("</p>")[0]
    assert sentence in beside.replace("&#34;", '"')
    assert 'value="168 cm"' in page
    assert list(folder.iterdir()) == []


def test_a_number_without_a_unit_is_in_inches_for_who_reads_inches(technician: Client) -> None:
    send(technician, "/me", units="us", back="/")
    inches = {"wheelbase_mm": "144", "rear_track_mm": "67", "front_axle_kg": "3100", "front_height_mm": "12.2"}
    assert described(technician, **inches)[0] == 200
    text = Path(keeping.use_folder(Path()) / "ramp-truck.toml").read_text(encoding="utf-8")
    assert "wheelbase_mm = 3657.6" in text and "front_axle_kg = 1406.1" in text


def test_sent_twice_one_vehicle_is_kept_and_another_of_its_name_is_refused(technician: Client, folder: Path) -> None:
    assert described(technician)[0] == described(technician)[0] == 200
    status, page = described(technician, wheelbase_mm="3700")
    assert status == 400 and "is known already; choose another name." in page
    assert [file.name for file in folder.iterdir()] == ["ramp-truck.toml"]


def test_a_file_that_was_lost_comes_back_from_the_records(app: Litestar, technician: Client, folder: Path) -> None:
    described(technician)
    file = folder / "ramp-truck.toml"
    text = file.read_text(encoding="utf-8")
    file.unlink()
    assert technician.get("/own-vehicles/ramp-truck").status_code == 404
    bring_back(app.state.store)
    assert file.read_text(encoding="utf-8") == text


def test_a_folder_that_cannot_be_written_keeps_nothing_in_the_records(
    app: Litestar, technician: Client, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder / "not" / "there"))
    monkeypatch.setattr(keeping, "load_vehicles", dict)
    status, page = described(technician)
    assert status == 400 and "cannot be written" in page
    with app.state.store.reading() as session:
        assert vehicle_text(session, "ramp-truck") is None


def test_the_measurement_that_most_of_the_doubt_hangs_on_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    taped = text_by_tape(taped_vehicle(read_answers({**ANSWERS, "front_height_mm": 310}, "answers.toml")))
    vehicle, looked_at = parse_vehicle(taped, "ramp-truck.toml"), []
    shares = {"idler-shaft": 0.5, "center-link": 0.2, JOINTS_AND_HAND: 0.3}

    def doubt(vehicle: Vehicle, setup: Setup, *more: object) -> tuple[Doubt, ...]:
        looked_at.append(setup)
        return (Doubt("tread-left", 1.0, 0.4, shares),)

    monkeypatch.setattr(told, "doubts", doubt)
    monkeypatch.setattr(told, "nominal_preload", lambda vehicle_id: {})
    words = sharpest_words(vehicle)
    assert "lay an inclinometer along the idler bracket's shaft" in words and "50 %" in words
    assert sorted(setup.check for setup in looked_at) == ["bj-axial", "idler", "wheel126", "wheel39"]
    assert "right" not in {setup.side for setup in looked_at}
    shares = {JOINTS_AND_HAND: 1.0}
    assert sharpest_words(vehicle).startswith("No single measurement would sharpen the readings much")


def put(client: Client, address: str, body: object) -> tuple[int, Any]:
    """Status and JSON of what a program sends."""
    answer = client.put(address, json=body, headers={"x-csrftoken": form_token(client), "accept": "application/json"})
    return answer.status_code, answer.json()


def test_a_program_describes_one_with_the_same_answers(technician: Client) -> None:
    answers = {name: typed for name, typed in ANSWERS.items() if name != "name"}
    address = "/api/vehicles/ramp-truck"
    status, made = put(technician, address, {"answers": answers})
    assert status == 200 and made["own"] and not made["tables_ready"] and len(made["centers"]) > 15
    assert put(technician, address, {"answers": answers}) == (200, made)
    assert technician.get(address).json() == made
    assert "ramp-truck" in [known["id"] for known in technician.get("/api/vehicles").json()]
    assert technician.get("/api/vehicles/hovercraft").status_code == 404
    status, said = put(technician, "/api/vehicles/yard-pickup", {"answers": answers})
    assert status == 400 and "is known already" in said["detail"]
    status, said = put(technician, address, {"answers": answers | {"vin": "1M8GDM9AXKP042788"}})
    assert status == 400 and "leave both out" in said["detail"]


def test_a_learner_describes_none_and_sees_what_is_known(app: Litestar, folder: Path) -> None:
    with signed_in(app, "learner") as learner:
        assert learner.get("/own-vehicles/new").status_code == 403
        assert send(learner, "/own-vehicles", **TAPED)[0] == 403
        assert learner.get("/api/vehicles/yard-pickup").status_code == 200
