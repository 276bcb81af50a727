"""How long there is for a visit's checks: asked at taking in, changed later, and kept to by the advice."""

from __future__ import annotations

import datetime

import pytest
from litestar import Litestar
from playwright.sync_api import BrowserContext, Page, expect

from looseends.diagnosis.next_step import Enough
from looseends.inspection.types import Visit
from looseends.store.ids import time_ordered_id
from tests.web.cast import Client, JudgingStub, form_token, send, taken_in, words_of
from tests.web.sheet import all_sent, held, new_visit, observations, open_sheet

SET = "Time for the checks: "


def chosen(client: Client, visit: str) -> list[float | None]:
    """The minutes that were set in a visit, one after the other."""
    found = client.get(f"/api/visits/{visit}/observations").json()
    return [one["payload"]["minutes"] for one in found if one["kind"] == "minutes"]


def test_minutes_are_asked_at_taking_in_and_changed_on_the_visits_page(technician: Client) -> None:
    whole = taken_in(technician, time="whole", minutes="15")  # the field is there, but not chosen
    assert chosen(technician, whole) == []
    assert f"{SET}the whole route" in words_of(technician.get(f"/visits/{whole}").text)
    visit = taken_in(technician, time="some", minutes="25")
    assert chosen(technician, visit) == [25.0]
    assert f"{SET}25 min" in words_of(technician.get(f"/visits/{visit}").text)
    for time, minutes in (("some", "40"), ("some", "40"), ("whole", "40")):
        _, page = send(technician, f"/visits/{visit}/minutes", time=time, minutes=minutes)
    assert chosen(technician, visit) == [25.0, 40.0, None]  # the same again is nothing new
    assert f"{SET}the whole route" in words_of(page)


@pytest.mark.parametrize("typed", ["", "0", "601", "soon"])
def test_what_are_no_minutes_is_said_beside_the_field_and_nothing_is_kept(technician: Client, typed: str) -> None:
    sentence = f"Minutes: write a number from 1 to 600, such as 15, found {typed or '-'}."
    lost = time_ordered_id()
    fields = {"time": "some", "minutes": typed}
    status, page = send(technician, "/intake", visit_id=lost, vehicle="yard-pickup", **fields)
    assert status == 400 and sentence in words_of(page)
    assert technician.get(f"/visits/{lost}").status_code == 404
    visit = taken_in(technician)
    status, page = send(technician, f"/visits/{visit}/minutes", **fields)
    assert status == 400 and sentence in words_of(page)
    assert chosen(technician, visit) == []


def test_the_api_takes_minutes_too_and_refuses_those_that_no_visit_has(technician: Client) -> None:
    visit, now = time_ordered_id(), datetime.datetime.now(datetime.UTC).isoformat()
    headers = {"x-csrftoken": form_token(technician)}
    told = {"vehicle": "yard-pickup", "date": "2026-11-26", "minutes": 20}
    assert technician.put(f"/api/visits/{visit}", json=told, headers=headers).status_code == 200
    assert chosen(technician, visit) == [20.0]
    for minutes, status in ((0.5, 400), (1e9, 400), (None, 200)):
        body = {"kind": "minutes", "payload": {"minutes": minutes}, "device_time": now}
        address = f"/api/visits/{visit}/observations/{time_ordered_id()}"
        assert technician.put(address, json=body, headers=headers).status_code == status
    refused = technician.put(f"/api/visits/{time_ordered_id()}", json=told | {"minutes": 0}, headers=headers)
    assert refused.status_code == 400 and "minutes must be from 1 to 600" in refused.text


def test_the_next_check_on_the_visits_page_is_one_within_the_minutes(
    app: Litestar, technician: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[float] = []

    def step_within(_: JudgingStub, visit_id: str, visit: Visit, minutes_left: float) -> Enough:
        asked.append(minutes_left)
        return Enough("no time", "The time is used up.", (), ())

    monkeypatch.setattr(JudgingStub, "step_within", step_within)
    free, within = taken_in(technician), taken_in(technician, time="some", minutes="2")
    assert "The time is used up." not in words_of(technician.get(f"/visits/{free}/next-line").text)
    assert "The time is used up." in words_of(technician.get(f"/visits/{within}/next-line").text)
    assert asked == [2.0]


@pytest.mark.browser
def test_the_sheet_begins_with_the_minutes_of_taking_in_and_sets_others_without_a_connection_too(
    page: Page, device: BrowserContext
) -> None:
    visit = new_visit(page)
    page.locator("#time summary").click()
    page.get_by_text("So many minutes").click()
    page.locator("#minutes").fill("30")
    with page.expect_navigation():
        page.get_by_role("button", name="Set the time").click()
    asked: list[str] = []
    page.on("request", lambda request: "/answer" in request.url and asked.append(request.url))
    open_sheet(page, visit)
    expect(page.locator("#time-left")).to_have_text("(30 left)")
    assert asked and all(url.endswith("?minutes=30") for url in asked)
    held(page, visit)
    device.set_offline(True)
    page.locator("#time summary").click()
    page.locator("#minutes").fill("0")
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("#minutes-mistake")).not_to_be_empty()
    page.locator("#minutes").fill("12")
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("#recorded")).to_have_text("Recorded: 12 minutes for the checks")
    page.reload()
    expect(page.locator("#time-left")).to_have_text("(12 left)")
    device.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    set_so = [one["payload"]["minutes"] for one in observations(page, visit) if one["kind"] == "minutes"]
    assert set_so == [30, 12]
    page.goto(visit)
    expect(page.locator("#time summary")).to_have_text("Time for the checks: 12 min")
