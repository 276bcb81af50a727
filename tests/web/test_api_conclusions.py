"""The HTTP API beyond recording: lift points, skips, withdrawals, sign-off, decisions, handover, erasing, export."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest
from litestar import Litestar

from looseends.store.ids import time_ordered_id
from looseends.web.accounts.access import ACCESS, ROLES, Action, Role
from looseends.web.judged.preparing import Progress
from tests.report.handover_sample import yard_pickup_judgement
from tests.web.cast import Client, JudgingOfStored, form_token, put_photo, signed_in, taken_in

AT = "2026-11-26T09:00:00+00:00"
UNSAFE = next(finding.part for finding in yard_pickup_judgement().findings if finding.verdict == "unsafe")


@pytest.fixture
def judging(app: Litestar) -> JudgingOfStored:
    """A stub that the shop asks."""
    app.state.judging = JudgingOfStored()
    return app.state.judging  # type: ignore[no-any-return]


def asked(client: Client, method: str, address: str, body: object = None) -> tuple[int, Any]:
    """Status and what is answered, as JSON where it is."""
    headers = {"x-csrftoken": form_token(client), "accept": "application/json"}
    answer = client.request(method, address, json=body, headers=headers)
    is_json = answer.headers.get("content-type", "").startswith("application/json")
    return answer.status_code, answer.json() if is_json else answer.content


def test_the_look_at_the_lift_points_is_put_once_and_the_last_counts(technician: Client) -> None:
    visit = taken_in(technician)
    address = f"/api/visits/{visit}/lift-points"
    assert asked(technician, "GET", address) == (200, {"found": "not looked at", "note": ""})
    once = f"{address}/{time_ordered_id()}"
    body = {"sound": False, "note": "left rear flakes", "device_time": AT}
    assert [asked(technician, "PUT", once, body)[1]["new"] for _ in range(2)] == [True, False]
    assert asked(technician, "GET", address)[1] == {"found": "not sound", "note": "left rear flakes"}
    assert "Not to be raised" in technician.get(f"/visits/{visit}").text
    asked(technician, "PUT", f"{address}/{time_ordered_id()}", {"sound": True, "device_time": AT})
    assert asked(technician, "GET", address)[1]["found"] == "sound"


def test_a_check_is_left_out_and_the_reason_taken_back(technician: Client) -> None:
    visit, skip = taken_in(technician), time_ordered_id()
    left_out = {"check": "dry-park", "because": "no helper", "device_time": AT}
    assert asked(technician, "PUT", f"/api/visits/{visit}/skips/{skip}", left_out)[0] == 200
    status, said = asked(
        technician, "PUT", f"/api/visits/{visit}/skips/{time_ordered_id()}", left_out | {"check": "dri"}
    )
    assert status == 400 and "dri" in said["detail"]
    back = {"observation": skip, "because": "somebody came", "device_time": AT}
    assert asked(technician, "PUT", f"/api/visits/{visit}/withdrawals/{time_ordered_id()}", back)[0] == 200
    kept = asked(technician, "GET", f"/api/visits/{visit}/observations")[1]
    assert [entry["kind"] for entry in kept] == ["not-checked", "withdrawn"]
    assert kept[1]["supersedes"] == skip


def test_a_sign_off_freezes_what_its_basis_names_and_decisions_follow_it(
    judging: JudgingOfStored, technician: Client
) -> None:
    visit = taken_in(technician)
    address, decisions = f"/api/visits/{visit}/sign-off", f"/api/visits/{visit}/decisions"
    unsigned = asked(technician, "GET", address)[1]
    assert unsigned["by"] is None and unsigned["decisions"] == []
    driven = {"part": UNSAFE, "decision": "drive"}
    assert asked(technician, "POST", decisions, driven | {"caution_told": True})[0] == 404
    asked(technician, "PUT", f"/api/visits/{visit}/lift-points/{time_ordered_id()}", {"sound": True, "device_time": AT})
    status, said = asked(technician, "POST", address, {"basis": unsigned["basis"]})
    assert status == 400 and "Look at it again" in said["detail"]
    body = {"basis": asked(technician, "GET", address)[1]["basis"]}
    judging.answer, found = Progress("yard-pickup", 3, 40), judging.answer
    assert asked(technician, "POST", address, body)[0] == 202
    judging.answer = found
    status, signed = asked(technician, "POST", address, body)
    assert status == 200 and signed["by"] == "Tom Orrin" and signed["whole"] and signed["rests_on_all"]
    assert asked(technician, "POST", address, body)[1] == signed == asked(technician, "GET", address)[1]
    status, said = asked(technician, "POST", decisions, driven)
    assert status == 400 and "was told the caution" in said["detail"]
    decided = asked(technician, "POST", decisions, driven | {"caution_told": True})[1]["decisions"]
    assert [(made["part"], made["decision"], made["by"]) for made in decided] == [(UNSAFE, "drive", "Tom Orrin")]
    status, paper = asked(technician, "GET", f"/api/visits/{visit}/handover?language=es&sheet=letter")
    assert status == 200 and paper.startswith(b"%PDF")


def test_a_customer_and_a_photo_are_erased_and_everything_is_exported(owner: Client) -> None:
    visit, photo = taken_in(owner, customer="Hanna Ferris"), time_ordered_id()
    assert put_photo(owner, visit, photo) == 200
    assert asked(owner, "DELETE", f"/api/visits/{visit}/customer")[0] == 204
    assert asked(owner, "GET", f"/api/visits/{visit}")[1]["customer"] == ""
    assert [asked(owner, "DELETE", f"/api/visits/{visit}/photos/{photo}")[0] for _ in range(2)] == [204, 404]
    assert asked(owner, "DELETE", f"/api/visits/{taken_in(owner)}/customer")[0] == 404
    status, archive = asked(owner, "GET", "/api/export")
    assert status == 200
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        assert "tables/visits.jsonl" in packed.namelist()


ASKED: dict[tuple[str, str], Action] = {
    ("GET", "/api/visits/{visit}/lift-points"): "see visits",
    ("PUT", "/api/visits/{visit}/lift-points/{new}"): "record",
    ("PUT", "/api/visits/{visit}/skips/{new}"): "record",
    ("PUT", "/api/visits/{visit}/withdrawals/{new}"): "undo",
    ("GET", "/api/visits/{visit}/sign-off"): "see visits",
    ("POST", "/api/visits/{visit}/sign-off"): "sign off",
    ("POST", "/api/visits/{visit}/decisions"): "decide",
    ("GET", "/api/visits/{visit}/handover"): "hand over",
    ("DELETE", "/api/visits/{visit}/customer"): "erase a person",
    ("DELETE", "/api/visits/{visit}/photos/{new}"): "erase a person",
    ("GET", "/api/export"): "export everything",
}


@pytest.mark.parametrize("role", ROLES)
def test_each_address_asks_the_one_table(app: Litestar, judging: JudgingOfStored, role: Role) -> None:
    with signed_in(app, "technician") as technician:
        visit = taken_in(technician)
    with signed_in(app, role) as client:
        for (method, address), action in ASKED.items():
            status, _ = asked(client, method, address.format(visit=visit, new=time_ordered_id()), {})
            assert (status == 403) == (action not in ACCESS[role]), (method, address, status)


def test_every_address_that_takes_json_shows_an_example(stranger: Client) -> None:
    described = stranger.get("/schema/openapi.json").json()["paths"]
    taking = {
        (path, method): told["requestBody"]["content"]["application/json"]
        for path, methods in described.items()
        for method, told in methods.items()
        if "application/json" in told.get("requestBody", {}).get("content", {})
    }
    assert len(taking) >= 10
    assert [at for at, content in taking.items() if not content["schema"].get("examples")] == []
