"""What screens do beside recording, over the HTTP API: keys, language and units, intake, own vehicles, comparing."""

from __future__ import annotations

import html
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar

from looseends.diagnosis.consequences.account import account_of
from looseends.diagnosis.consequences.wear import PartWear, known
from looseends.vehicle.loading import load_vehicles
from looseends.web.accounts.access import ACCESS, ROLES, Action, Role
from looseends.web.judged.preparing import Progress
from looseends.web.tablets.certificates import make_certificates
from tests.report.handover_sample import yard_pickup_judgement
from tests.web.cast import NAMES, Client, JudgingOfStored, form_token, send, sign_in_as, signed_in, taken_in


def asked(client: Client, method: str, address: str, body: object = None, key: str = "") -> tuple[int, Any]:
    """Status and JSON, by the session or by a key."""
    headers = {"authorization": f"Bearer {key}"} if key else {"x-csrftoken": form_token(client)}
    answer = client.request(method, address, json=body, headers=headers | {"accept": "application/json"})
    is_json = answer.headers.get("content-type", "").startswith("application/json")
    return answer.status_code, answer.json() if is_json else answer.text


def test_a_key_is_made_listed_and_taken_back_and_shown_once(technician: Client) -> None:
    status, made = asked(technician, "POST", "/api/me/tokens", {"purpose": " gauge\x00 on the  bench "})
    assert status == 201 and made["purpose"] == "gauge on the bench"
    cookies = dict(technician.cookies)
    technician.cookies.clear()
    assert asked(technician, "GET", "/api/me", key=made["key"])[1]["name"] == NAMES["technician"]
    status, second = asked(technician, "POST", "/api/me/tokens", {}, key=made["key"])
    assert status == 201
    listed = asked(technician, "GET", "/api/me/tokens", key=made["key"])[1]
    assert [key["id"] for key in listed] == [second["id"], made["id"]] and "key" not in listed[0]
    assert asked(technician, "DELETE", f"/api/me/tokens/{made['id']}", key=second["key"])[0] == 204
    assert asked(technician, "GET", "/api/me", key=made["key"])[0] == 401
    assert asked(technician, "DELETE", f"/api/me/tokens/{made['id']}", key=second["key"])[0] == 404
    technician.cookies.update(cookies)
    assert second["id"] in technician.get("/me/tokens").text


def test_nobody_takes_back_the_key_of_another_over_the_api(app: Litestar, technician: Client) -> None:
    made = asked(technician, "POST", "/api/me/tokens", {})[1]
    sign_in_as(app, technician, "owner")
    technician.get("/")
    assert asked(technician, "DELETE", f"/api/me/tokens/{made['id']}")[0] == 404
    assert asked(technician, "GET", "/api/me/tokens")[1] == []
    assert asked(technician, "GET", "/api/me", key=made["key"])[0] == 200


def test_language_and_units_change_at_once_for_screens_and_refusals(technician: Client) -> None:
    assert asked(technician, "PATCH", "/api/me", {"language": "es"})[1]["units"] == "metric"
    assert asked(technician, "PATCH", "/api/me", {"units": "us"})[1]["language"] == "es"
    assert 'lang="es"' in technician.get("/").text
    assert asked(technician, "GET", "/api/visits/nothing")[1]["detail"] == "No hay nada en esta dirección."
    assert asked(technician, "PATCH", "/api/me", {"language": "fr"})[0] == 400
    assert asked(technician, "GET", "/api/me")[1]["language"] == "es"


def test_a_person_is_added_with_a_password_told_by_mouth_and_read_alone(owner: Client) -> None:
    body = {"name": "Nilo Varga", "role": "learner", "password": "five cold stub axles"}
    status, made = asked(owner, "POST", "/api/people", body)
    assert (status, made["has_password"]) == (201, True)
    assert asked(owner, "GET", f"/api/people/{made['id']}")[1] == made
    assert asked(owner, "POST", "/api/people", body | {"name": "Ada Moor", "password": "short"})[0] == 400
    assert send(owner, "/sign-out")[0] == 200
    owner.get("/sign-in")
    assert send(owner, "/sign-in", name="Nilo Varga", password=body["password"])[0] == 200


def test_words_numbers_and_the_tape_are_asked_about_as_at_the_intake(technician: Client) -> None:
    asked(technician, "PATCH", "/api/me", {"language": "es"})
    meant = {c["id"] for c in asked(technician, "GET", "/api/complaints?words=wanders on the road")[1] if c["meant"]}
    assert "wanders" in meant
    assert asked(technician, "GET", "/api/vin?vin=1M8GDM9AXKP042788")[1] == {"accepted": True, "remark": ""}
    wrong = asked(technician, "GET", "/api/vin?vin=1M8")[1]
    assert not wrong["accepted"] and wrong["remark"].startswith("Número de identificación")
    few, more = (asked(technician, "GET", f"/api/tape-questions?layout={name}")[1] for name in ("", "bar-linkage-leaf"))
    assert len(few) < len(more) and "wheelbase_mm" in {question["id"] for question in few}
    assert asked(technician, "GET", "/api/tables") == (200, [])
    assert asked(technician, "GET", "/api/vehicles/yard-pickup/measure-first")[0] == 404


def test_what_the_sheet_and_the_plan_show_comes_over_the_api(app: Litestar, technician: Client) -> None:
    visit = taken_in(technician)
    answered = asked(technician, "GET", f"/api/visits/{visit}/answer?minutes=30")[1]
    assert answered == technician.get(f"/visits/{visit}/answer?minutes=30").json()
    status, drawn = asked(technician, "GET", f"/api/visits/{visit}/plan")
    assert status == 200 and drawn.startswith("<svg") and "underside-plan" in drawn
    app.state.judging.answer = Progress("yard-pickup", 3, 40)
    assert asked(technician, "GET", f"/api/visits/{visit}/plan")[0] == 202


def test_what_worn_parts_do_comes_in_sentences_and_figures_and_once_signed_as_it_was_signed(
    app: Litestar, technician: Client
) -> None:
    app.state.judging = JudgingOfStored()
    visit = taken_in(technician)
    address = f"/api/visits/{visit}/consequences"
    nothing = {"signed": False, "said": None, "figures": None}
    assert asked(technician, "GET", address) == (200, nothing)
    app.state.judging.worn = account_of(
        load_vehicles()["yard-pickup"], known({"outer-tie-rod-end-left": PartWear(radial_mm=1.5)}), "us-federal"
    )
    status, told = asked(technician, "GET", address)
    assert status == 200 and "After replacing left outer tie-rod end" in told["said"]["in_short"]
    assert {place["place"] for place in told["figures"]["places"]} >= {"tread-left", "tread-right"}
    toes = [wheel["toe"]["added_deg"] for case in told["figures"]["road"] for wheel in case["wheels"]]
    assert max(toes) > 0.02
    asked(technician, "PATCH", "/api/me", {"language": "es", "units": "us"})
    spanish = asked(technician, "GET", address)[1]
    assert "Después de reemplazar" in spanish["said"]["in_short"] and spanish["figures"] == told["figures"]
    frozen = asked(technician, "GET", f"/api/visits/{visit}/sign-off")[1]["basis"]
    assert asked(technician, "POST", f"/api/visits/{visit}/sign-off", {"basis": frozen})[0] == 200
    app.state.judging.worn = None
    signed = asked(technician, "GET", address)[1]
    assert signed == {"signed": True, "said": spanish["said"], "figures": None}
    app.state.judging.answer = Progress("yard-pickup", 3, 40)
    assert asked(technician, "GET", f"/api/visits/{taken_in(technician)}/consequences")[0] == 202


def test_the_steps_of_getting_a_tablet_on_are_those_of_its_page(
    app: Litestar, technician: Client, tmp_path: Path
) -> None:
    bare = asked(technician, "GET", "/api/tablet")[1]
    assert (bare["certificate"], bare["fingerprint"], bare["steps"]) == (None, None, {})
    assert bare["address"].endswith("/tablet") and set(bare["needs"]) == {"trusted", "worker", "storage", "camera"}
    made = make_certificates(tmp_path / "certificates", ["192.168.7.20"])
    app.state.settings = replace(app.state.settings, authority=made.authority)
    asked(technician, "PATCH", "/api/me", {"language": "es"})
    told = asked(technician, "GET", "/api/tablet")[1]
    shown = html.unescape(technician.get("/tablet").text)
    assert told["fingerprint"] == made.fingerprint and set(told["steps"]) == {"iPadOS", "Android", "Windows"}
    assert all(step in shown for steps in told["steps"].values() for step in steps)
    assert all(need in shown for need in told["needs"].values())


def test_two_visits_of_a_plate_are_compared_and_no_others(app: Litestar, technician: Client) -> None:
    app.state.judging = JudgingOfStored()
    first, second = (taken_in(technician, plate="SLIP 41") for _ in range(2))
    stranger = taken_in(technician, plate="QUAY 9")
    address = f"/api/visits/{second}/comparison"
    assert asked(technician, "GET", address)[1]["between"] == "sides"
    assert asked(technician, "GET", f"{address}?other={first}")[1]["between"] == "visits"
    assert asked(technician, "GET", f"{address}?other={stranger}")[0] == 404
    app.state.judging.answer = replace(yard_pickup_judgement(), findings=())
    assert asked(technician, "GET", address)[1]["verdicts"] == []


ASKED: dict[tuple[str, str], Action] = {
    ("GET", "/api/me/tokens"): "keep own tokens",
    ("POST", "/api/me/tokens"): "keep own tokens",
    ("DELETE", "/api/me/tokens/{visit}"): "keep own tokens",
    ("GET", "/api/people/{visit}"): "keep people",
    ("GET", "/api/complaints"): "take in",
    ("GET", "/api/vin?vin=1"): "take in",
    ("GET", "/api/tape-questions"): "take in",
    ("GET", "/api/tables"): "see visits",
    ("GET", "/api/visits/{visit}/answer"): "see visits",
    ("GET", "/api/visits/{visit}/comparison"): "see visits",
    ("GET", "/api/visits/{visit}/consequences"): "see visits",
    ("GET", "/api/visits/{visit}/plan"): "see visits",
}


@pytest.mark.parametrize("role", ROLES)
def test_each_address_asks_the_one_table(app: Litestar, role: Role) -> None:
    with signed_in(app, "technician") as technician:
        visit = taken_in(technician)
    with signed_in(app, role) as client:
        client.get("/")
        for (method, address), action in ASKED.items():
            body = {} if method == "POST" else None
            status, _ = asked(client, method, address.format(visit=visit), body)
            assert (status == 403) == (action not in ACCESS[role]), (method, address, status)
