"""What the owner decides about each unsafe part: one by one or all in a touch, and until when the first page asks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from litestar import Litestar

from looseends.inspection.types import Judgement
from looseends.web.accounts.access import ACCESS, ROLES, Role
from tests.report.handover_sample import yard_pickup_judgement
from tests.web.cast import Client, JudgingOfStored, form_token, send, signed_in, taken_in, words_of

BOTH = "unsafe: the owner decides about 2 parts"
ONE = "unsafe: the owner decides"
DECIDED = "Every unsafe part is decided about."


def two_unsafe() -> tuple[Judgement, list[str]]:
    """The sample with a second finding that is unsafe, and the two parts."""
    sample = yard_pickup_judgement()
    (first,) = [finding.part for finding in sample.findings if finding.verdict == "unsafe"]
    second = next(finding for finding in sample.findings if finding.verdict == "replace")
    findings = tuple(replace(f, verdict="unsafe") if f is second else f for f in sample.findings)
    return replace(sample, findings=findings), [first, second.part]


@pytest.fixture
def unsafe(app: Litestar) -> list[str]:
    """The parts that every visit of this shop finds unsafe."""
    judging = JudgingOfStored()
    judging.answer, parts = two_unsafe()
    app.state.judging = judging
    return parts


def signed_visit(client: Client) -> str:
    """A visit that was signed over the API."""
    visit = taken_in(client)
    basis = client.get(f"/api/visits/{visit}/sign-off").json()["basis"]
    assert post(client, f"/api/visits/{visit}/sign-off", {"basis": basis})[0] == 200
    return visit


def post(client: Client, address: str, body: object) -> tuple[int, Any]:
    """Status and JSON."""
    answer = client.post(address, json=body, headers={"x-csrftoken": form_token(client), "accept": "application/json"})
    return answer.status_code, answer.json()


def test_the_first_page_asks_until_each_unsafe_part_is_decided_about(technician: Client, unsafe: list[str]) -> None:
    visit = signed_visit(technician)
    assert BOTH in words_of(technician.get("/").text)
    page = words_of(send(technician, f"/visits/{visit}/decision", part=unsafe[0], decision="repair")[1])
    assert "1 unsafe part is not decided about yet." in page and "all of them" not in page
    day = words_of(technician.get("/").text)
    assert ONE in day and BOTH not in day
    page = words_of(send(technician, f"/visits/{visit}/decision", part=unsafe[1], decision="leave")[1])
    assert DECIDED in page
    assert ONE not in words_of(technician.get("/").text)


def test_one_touch_decides_about_all_that_are_left_and_about_no_other(technician: Client, unsafe: list[str]) -> None:
    visit = signed_visit(technician)
    assert 'id="all-at-once"' in technician.get(f"/visits/{visit}/handover").text
    status, page = send(technician, f"/visits/{visit}/decision", part="", decision="drive")
    assert status == 400 and "tick that the owner was told" in words_of(page).split("The same for all of them")[1]
    status, page = send(technician, f"/visits/{visit}/decision", part="", decision="repair")
    assert status == 200 and DECIDED in words_of(page)
    decisions = technician.get(f"/api/visits/{visit}/sign-off").json()["decisions"]
    assert {(made["part"], made["decision"]) for made in decisions} == {(part, "repair") for part in unsafe}
    assert send(technician, f"/visits/{visit}/decision", part="", decision="leave")[0] == 400
    document = words_of(technician.get(f"/visits/{visit}/handover/document").text)
    assert document.count("Written down by Tom Orrin.") == 2


def test_over_the_api_a_decision_is_of_one_part_or_of_all_that_are_left(technician: Client, unsafe: list[str]) -> None:
    visit = signed_visit(technician)
    address = f"/api/visits/{visit}/decisions"
    told = post(technician, address, {"part": unsafe[1], "decision": "drive", "caution_told": True})[1]
    assert (told["undecided"], len(told["decisions"])) == ([unsafe[0]], 1)
    told = post(technician, address, {"decision": "leave"})[1]
    assert told["undecided"] == [] and {made["part"]: made["decision"] for made in told["decisions"]} == {
        unsafe[0]: "leave",
        unsafe[1]: "drive",
    }
    status, said = post(technician, address, {"decision": "leave"})
    assert status == 400 and said["detail"].startswith("Everything unsafe is decided about already")


@pytest.mark.parametrize("role", ROLES)
def test_who_decides_is_the_tables_business_for_all_parts_too(app: Litestar, unsafe: list[str], role: Role) -> None:
    with signed_in(app, "technician") as technician:
        visit = signed_visit(technician)
    with signed_in(app, role) as client:
        client.get("/")
        status = post(client, f"/api/visits/{visit}/decisions", {"decision": "leave"})[0]
    assert (status == 403) == ("decide" not in ACCESS[role])
