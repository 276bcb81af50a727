"""The HTTP API: keys, idempotent writing, sentences for what is wrong, judgements, and what answers tell a browser."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar

from looseends.store.ids import time_ordered_id
from looseends.web.accounts.access import Role
from looseends.web.judged.preparing import Progress
from tests.web.cast import Client, form_token, send, sign_in_as, signed_in, taken_in

SEEN = {
    "part": "outer-tie-rod-end-left",
    "condition": "torn-boot",
    "observer": "Tom Orrin",
    "note": "",
    "present": True,
}
BODY = {"kind": "condition", "payload": SEEN, "device_time": "2026-11-26T09:00:00+00:00"}


SHORT = re.compile(r"\{\w+\}")
"""Where an address has an id; the table of the docs writes ID."""


def put(client: Client, address: str, body: object) -> tuple[int, Any]:
    """Status and JSON of a record that a page's own script sends."""
    answer = client.put(address, json=body, headers={"x-csrftoken": form_token(client)})
    return answer.status_code, answer.json()


def key_of(client: Client) -> str:
    """A new key, read off the page that shows it once."""
    page = send(client, "/me/tokens", purpose="gauge on the bench")[1]
    return page.split('id="new-key">')[1].split("<")[0]


def test_an_observation_sent_again_is_stored_once(technician: Client) -> None:
    visit = taken_in(technician)
    address = f"/api/visits/{visit}/observations/{time_ordered_id()}"
    first, second = put(technician, address, BODY), put(technician, address, BODY)
    assert first[0] == second[0] == 200
    assert (first[1]["new"], second[1]["new"]) == (True, False)
    assert first[1]["sequence"] == second[1]["sequence"]
    assert len(technician.get(f"/api/visits/{visit}/observations").json()) == 1


def test_the_same_id_with_other_content_is_refused_and_the_first_stays(technician: Client) -> None:
    visit = taken_in(technician)
    address = f"/api/visits/{visit}/observations/{time_ordered_id()}"
    put(technician, address, BODY)
    status, said = put(technician, address, BODY | {"payload": SEEN | {"note": "changed"}})
    assert status == 400
    assert "is stored already with other content" in said["detail"]
    (stored,) = technician.get(f"/api/visits/{visit}/observations").json()
    assert stored["payload"]["note"] == ""


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (BODY | {"kind": "rumour"}, 'kind "rumour" is not known'),
        (BODY | {"payload": SEEN | {"present": "yes"}}, 'present: must be true or false, found "yes"'),
        (BODY | {"device_time": "2026-11-26T09:00:00"}, "device_time must tell its time zone"),
        (BODY | {"supersedes": "nothing"}, "must be an earlier observation of the same visit"),
        ({"kind": "condition"}, "payload"),
        ([], ""),
    ],
)
def test_a_wrong_observation_is_told_in_a_sentence(technician: Client, body: object, sentence: str) -> None:
    visit = taken_in(technician)
    status, said = put(technician, f"/api/visits/{visit}/observations/{time_ordered_id()}", body)
    assert status == 400
    assert sentence in str(said)


def test_ids_that_no_device_makes_are_refused(technician: Client) -> None:
    visit = taken_in(technician)
    assert put(technician, f"/api/visits/{visit}/observations/1", BODY)[0] == 400
    assert put(technician, "/api/visits/1", {"vehicle": "yard-pickup", "date": "2026-11-26"})[0] == 400
    assert put(technician, f"/api/visits/{time_ordered_id()}/observations/{time_ordered_id()}", BODY)[0] == 404


def test_a_visit_sent_again_is_opened_once(technician: Client) -> None:
    address = f"/api/visits/{time_ordered_id()}"
    body = {"vehicle": "stores-van", "date": "2026-11-26", "plate": "SLIP 31", "complaint": "wanders"}
    assert put(technician, address, body) == put(technician, address, body)
    (only,) = technician.get("/api/visits").json()
    assert (only["plate"], only["state"]) == ("SLIP 31", "open")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("vehicle", "hovercraft"),
        ("odometer_km", -1),
        ("odometer_km", 1e300),
        ("plate", "\u0000"),
        ("plate", 5),
        ("extra", 1),
    ],
)
def test_a_wrong_visit_is_refused(technician: Client, field: str, value: object) -> None:
    body: dict[str, object] = {"vehicle": "stores-van", "date": "2026-11-26"}
    status, said = put(technician, f"/api/visits/{time_ordered_id()}", body | {field: value})
    assert status == 400
    assert field in str(said)


def test_a_key_does_what_its_person_may_and_nothing_after_it_is_taken_back(app: Litestar, technician: Client) -> None:
    visit, key = taken_in(technician), key_of(technician)
    ending = technician.get("/me/tokens").text.split('action="/me/tokens/')[1].split('"')[0]
    cookies = dict(technician.cookies)
    technician.cookies.clear()
    bearer = {"authorization": f"Bearer {key}"}
    address = f"/api/visits/{visit}/observations/{time_ordered_id()}"
    assert technician.get("/api/me", headers=bearer).json()["name"] == "Tom Orrin"
    assert technician.put(address, json=BODY, headers=bearer).status_code == 200
    assert technician.get("/people", headers=bearer).status_code == 403
    technician.cookies.update(cookies)
    assert send(technician, f"/me/tokens/{ending}")[0] == 200
    assert technician.get("/api/me", headers=bearer).status_code == 401


def test_nobody_takes_back_the_key_of_another(app: Litestar, technician: Client) -> None:
    key = key_of(technician)
    ending = technician.get("/me/tokens").text.split('action="/me/tokens/')[1].split('"')[0]
    sign_in_as(app, technician, "owner")
    technician.get("/")
    send(technician, f"/me/tokens/{ending}")
    assert technician.get("/api/me", headers={"authorization": f"Bearer {key}"}).status_code == 200


@pytest.mark.parametrize("key", ["le_guessed", "", "é", "x" * 5000])
def test_a_guessed_key_is_refused_even_beside_a_good_session(technician: Client, key: str) -> None:
    answer = technician.get("/api/me", headers={"authorization": f"Bearer {key}".encode()})
    assert answer.status_code == 401


def test_a_session_without_the_pages_token_records_nothing(technician: Client) -> None:
    visit = taken_in(technician)
    answer = technician.put(f"/api/visits/{visit}/observations/{time_ordered_id()}", json=BODY)
    assert answer.status_code == 403
    assert technician.get(f"/api/visits/{visit}/observations").json() == []


def test_a_judgement_comes_as_json_and_waits_for_tables_with_their_progress(app: Litestar, technician: Client) -> None:
    visit = taken_in(technician)
    answer = technician.get(f"/api/visits/{visit}/judgement")
    assert answer.status_code == 200
    assert answer.json()["findings"]
    assert isinstance(technician.get(f"/api/visits/{visit}/next-check").json(), list)
    app.state.judging.answer = Progress("yard-pickup", 12, 53)
    waits = technician.get(f"/api/visits/{visit}/judgement")
    assert waits.status_code == 202
    assert waits.json() == {"vehicle": "yard-pickup", "done": 12, "total": 53, "failed": False}
    line = technician.get(f"/visits/{visit}/next-line").text
    assert "12 of 53 tables are there." in line and 'aria-valuenow="12"' in line


def test_openapi_names_every_address_and_its_key(stranger: Client) -> None:
    described = stranger.get("/schema/openapi.json").json()
    assert {
        "/api/complaints",
        "/api/me",
        "/api/me/tokens",
        "/api/me/tokens/{token_id}",
        "/api/export",
        "/api/me/password",
        "/api/motion",
        "/api/people",
        "/api/people/{account_id}",
        "/api/people/{account_id}/password-link",
        "/api/vehicles",
        "/api/vehicles/{vehicle_id}",
        "/api/vehicles/{vehicle_id}/measure-first",
        "/api/vin",
        "/api/vin-photo",
        "/api/tables",
        "/api/tablet",
        "/api/tape-questions",
        "/api/visits",
        "/api/visits/{visit_id}",
        "/api/visits/{visit_id}/answer",
        "/api/visits/{visit_id}/comparison",
        "/api/visits/{visit_id}/consequences",
        "/api/visits/{visit_id}/customer",
        "/api/visits/{visit_id}/decisions",
        "/api/visits/{visit_id}/handover",
        "/api/visits/{visit_id}/judgement",
        "/api/visits/{visit_id}/lift-points",
        "/api/visits/{visit_id}/lift-points/{observation_id}",
        "/api/visits/{visit_id}/sign-off",
        "/api/visits/{visit_id}/skips/{observation_id}",
        "/api/visits/{visit_id}/withdrawals/{observation_id}",
        "/api/visits/{visit_id}/next-check",
        "/api/visits/{visit_id}/clips/{clip_id}",
        "/api/visits/{visit_id}/photos",
        "/api/visits/{visit_id}/plan",
        "/api/visits/{visit_id}/supports",
        "/api/visits/{visit_id}/photos/{photo_id}",
        "/api/visits/{visit_id}/photos/{photo_id}/small",
        "/api/visits/{visit_id}/observations",
        "/api/visits/{visit_id}/observations/{observation_id}",
    } == set(described["paths"])
    assert described["components"]["securitySchemes"]["key"]["scheme"] == "bearer"
    told = (Path(__file__).parents[2] / "docs" / "application.md").read_text(encoding="utf-8")
    assert [path for path in described["paths"] if f"`{SHORT.sub('ID', path)}`" not in told] == []


@pytest.mark.parametrize(
    "address", ["/sign-in", "/static/app.js", "/fonts/OFL.txt", "/api/me", "/nothing", "/schema/openapi.json"]
)
def test_every_answer_forbids_scripts_but_ours_and_frames(stranger: Client, address: str) -> None:
    headers = stranger.get(address, headers={"accept": "application/json"}).headers
    policy = headers["content-security-policy"]
    assert "script-src 'self'" in policy and "'unsafe-inline'" not in policy.split("script-src")[1].split(";")[0]
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("address", ["/static/../settings.py", "/static/%2e%2e/settings.py", "/fonts/..%2fpage.py"])
def test_files_beside_the_static_ones_are_not_given_out(stranger: Client, address: str) -> None:
    assert "dataclass" not in stranger.get(address).text


def test_a_body_that_is_too_large_is_refused(technician: Client) -> None:
    status = technician.put(
        f"/api/visits/{time_ordered_id()}",
        content=b"{" + b" " * 3_000_000,
        headers={"x-csrftoken": form_token(technician)},
    ).status_code
    assert status == 413


@pytest.mark.parametrize("role", ["learner", "office"])
def test_a_refusal_says_so_in_the_readers_language(app: Litestar, role: Role) -> None:
    with signed_in(app, role) as client:
        send(client, "/me", language="es", back="/")
        said = client.get("/people", headers={"accept": "application/json"}).json()
    assert said["detail"].startswith("Su función no hace esto")
