"""What the sheet and the plan hand over: places from the model, an order without tables, answers, the worker."""

from __future__ import annotations

import json
import re

import pytest
from litestar import Litestar

from looseends.catalogue import load_catalogue
from looseends.diagnosis.tables.tabulate import usual_setups
from looseends.language import ENGLISH, Speech
from looseends.report.plan import plan_layout
from looseends.report.vehicle_plan import plan_geometry
from looseends.store.ids import time_ordered_id
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.bay.cards import cards_of, setup_key, setups_with_cards
from looseends.web.bay.plan_picture import plan_picture
from looseends.web.bay.records import Cards
from looseends.web.bay.route_order import by_catalogue, with_looks
from looseends.web.judged.preparing import Progress
from tests.web.advice import ADVISED, AdvisingStub
from tests.web.cast import Client, JudgingStub, taken_in
from tests.web.test_api import put

VEHICLES = load_vehicles()


def handed(client: Client, visit: str, page: str = "sheet") -> dict[str, object]:
    found = re.search(r'id="handed">(.*?)</script>', client.get(f"/visits/{visit}/{page}").text, re.DOTALL)
    assert found is not None
    block: dict[str, object] = json.loads(found[1])
    return block


def cards(vehicle: Vehicle, speech: Speech = ENGLISH) -> Cards:
    return cards_of(vehicle.id, speech, by_catalogue(vehicle), False)


@pytest.mark.parametrize("vehicle", VEHICLES.values(), ids=VEHICLES.keys())
def test_every_setup_of_every_vehicle_shows_where_to_grip_and_watch(vehicle: Vehicle) -> None:
    found = cards(vehicle)
    gripped = [card for card in found.setups if found.views[card.view].strokes]
    assert {card.key for card in gripped} == {setup_key(setup) for setup in usual_setups(vehicle)}
    for card in gripped:
        view = found.views[card.view]
        assert view.watches and all(stroke.grips for stroke in view.strokes), card.key
        assert {name for stroke in view.strokes for name in stroke.watches} == {watch.id for watch in view.watches}


def test_what_is_seen_can_be_told_of_every_part_that_no_check_watches_too(technician: Client) -> None:
    visit, found = taken_in(technician), cards(VEHICLES["yard-pickup"])
    watched = {watch.part for view in found.views.values() for watch in view.watches}
    alone = sorted(set(found.parts) - watched)
    assert len(alone) > 10 and set(found.places) == set(found.parts)
    for part in alone:
        seen = {"part": part, "condition": found.seen_on[part][0], "observer": "", "note": "", "present": True}
        body = {"kind": "condition", "payload": seen, "device_time": "2026-11-26T09:00:00+00:00"}
        assert put(technician, f"/api/visits/{visit}/observations/{time_ordered_id()}", body)[0] == 200, part


def test_a_grip_lies_where_the_model_has_it_and_points_as_the_drawing_is_turned() -> None:
    vehicle = VEHICLES["yard-pickup"]
    sheet = plan_layout(plan_geometry(vehicle), {}, labels=False).sheet
    for side, outward in (("left", 1.0), ("right", -1.0)):
        front, rear = cards(vehicle).views[f"wheel39.{side}"].strokes[0].grips
        assert (front.x, front.y) == pytest.approx(sheet.point(vehicle.points[f"tread-front-{side}"][:2]), abs=0.1)
        assert front.y < rear.y  # front is up
        # outboard first: to the right of the page on the vehicle's left, for it is seen from below
        assert (front.to[0], rear.to[0]) == (outward, -outward)


def test_grips_above_one_another_are_told_apart() -> None:
    top, bottom = cards(VEHICLES["yard-pickup"]).views["bearing.left"].strokes[0].grips
    assert (top.label, bottom.label) == ("top", "bottom")


def test_without_tables_the_order_begins_with_what_needs_no_raising() -> None:
    order = by_catalogue(VEHICLES["yard-pickup"])
    raised = [setup.support != "wheels" for setup in order]
    assert raised == sorted(raised) and raised[0] is False and raised[-1] is True


def test_the_order_without_advice_has_every_look_once_boots_before_anything_is_gripped() -> None:
    for vehicle in VEHICLES.values():
        order = with_looks(vehicle, by_catalogue(vehicle))
        gripped = [setup for setup in order if load_catalogue().checks[setup.check].kind == "movement"]
        assert gripped == list(by_catalogue(vehicle))
        looked = {(setup.check, setup.side) for setup in order} - {(setup.check, setup.side) for setup in gripped}
        assert looked == {(s.check, s.side) for s in setups_with_cards(vehicle)} - {(s.check, s.side) for s in gripped}
        assert len(order) == len(gripped) + len(looked)
        assert order[0].check == "boots"
        supports = [setup.support for setup in order]
        assert all(supports.index(one) + supports.count(one) > max(_places(supports, one)) for one in supports)


def _places(supports: list[str], one: str) -> list[int]:
    return [at for at, support in enumerate(supports) if support == one]


def test_a_look_that_asks_for_a_support_which_the_order_never_comes_to_is_left_out() -> None:
    pickup = VEHICLES["yard-pickup"]
    order = tuple(setup for setup in by_catalogue(pickup) if setup.support == "arm")
    assert "leaf" not in {setup.check for setup in with_looks(pickup, order)}
    assert "boots" in {setup.check for setup in with_looks(pickup, order)}


def test_marks_keep_clear_of_one_another_with_any_verdict() -> None:
    places = list(plan_picture("yard-pickup", ENGLISH).places.values())
    apart = [abs(complex(*one) - complex(*other)) for k, one in enumerate(places) for other in places[k + 1 :]]
    assert min(apart) > 2 * 1.35 * 7


def test_a_persons_words_end_no_block(technician: Client) -> None:
    visit = taken_in(technician, complaint="</script><b>knocks</b>")
    assert handed(technician, visit)["visit"] == visit


def test_the_sheet_speaks_the_persons_language(technician: Client) -> None:
    visit = taken_in(technician)
    technician.post("/me", data={"language": "es", "_csrf_token": technician.cookies["looseends-form"]})
    block = handed(technician, visit)
    assert isinstance(block["words"], dict) and block["words"]["hand"] == "A mano"
    checks = cards(VEHICLES["yard-pickup"], Speech("es")).checks
    assert checks["wheel39"].name != load_catalogue().checks["wheel39"].name


def test_an_answer_has_every_part_with_its_verdict_and_all_records(app: Litestar, technician: Client) -> None:
    app.state.judging = stub = AdvisingStub()
    visit = taken_in(technician, complaint="It wanders")
    found = technician.get(f"/visits/{visit}/answer").json()
    parts = found["answer"]["parts"]
    assert set(parts) == set(VEHICLES["yard-pickup"].parts)
    judged = {finding.part: finding.verdict for finding in stub.found.findings if finding.part in parts}
    assert len(judged) > 3 and {part: parts[part]["verdict"] for part in judged} == judged
    assert found["answer"]["advice"][0]["key"] == setup_key(ADVISED[0])
    assert {record["kind"] for record in found["records"]} == {"symptom"}


def test_while_tables_are_computed_the_answer_says_how_far_they_are(app: Litestar, technician: Client) -> None:
    stub: JudgingStub = app.state.judging
    stub.answer = Progress("yard-pickup", 3, 52)
    answer = technician.get(f"/visits/{taken_in(technician)}/answer").json()["answer"]
    assert (answer["state"], "3 of 52" in answer["words"]) == ("waits", True)


def test_the_worker_names_only_files_that_are_there(stranger: Client) -> None:
    worker = stranger.get("/visits/service-worker.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    shell = json.loads(re.search(r"SHELL = (\[.*?\]);", worker.text)[1])  # type: ignore[index]
    assert len(shell) > 20
    assert {name: stranger.get(name).status_code for name in shell if stranger.get(name).status_code != 200} == {}


def test_the_manifest_begins_in_the_workers_folder_with_icons_that_are_there(stranger: Client) -> None:
    manifest = stranger.get("/manifest.webmanifest").json()
    assert manifest["start_url"].startswith("/visits/")
    assert [stranger.get(icon["src"]).status_code for icon in manifest["icons"]] == [200, 200, 200]
