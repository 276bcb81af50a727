"""A tablet without a connection, signed out, refused, or beside another: nothing is lost, nothing comes twice."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.web.bay import tablet
from tests.web.sheet import (
    WAITING,
    all_sent,
    grade,
    held,
    look,
    new_visit,
    observations,
    open_sheet,
    photo,
    photos,
)

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("language", ["en", "es"])
def test_cut_off_after_the_third_check_and_loaded_again_each_record_comes_once(
    page: Page, device: BrowserContext, language: str
) -> None:
    visit = new_visit(page, language)
    for key in ("wheel39.arm.left.held.off", "wheel39.arm.right.held.off", "bj-axial.arm.left.held.off"):
        open_sheet(page, visit, key)
        grade(page, 0, "slight")
    all_sent(page)
    held(page, visit)
    device.set_offline(True)
    page.reload()
    expect(page.locator("#watches li").first).to_have_class("read")
    page.evaluate("location.hash = 'bj-axial.arm.right.held.off'")
    grade(page, 0, "none")
    expect(page.locator("#next-how")).to_contain_text("Sin conexión" if language == "es" else "No connection")
    page.locator("#photo").set_input_files(photo())  # type: ignore[arg-type]
    expect(page.locator("#thumbnails li")).to_have_count(1)
    look(page, f"sheet-offline-{language}")
    page.reload()
    page.goto(f"{visit}/plan")
    expect(page.locator("#parts button").first).to_be_visible()
    page.goto(f"{visit}/sheet#idler.arm.whole.held.off")
    page.locator("#nothing-moved").tap()
    expect(page.locator("#nothing-moved")).to_have_attribute("aria-pressed", "true")
    waited = page.evaluate(WAITING)
    assert len(waited) == 4  # a check and its reading, a photo, a group
    device.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    found = [one["id"] for one in (*observations(page, visit), *photos(page, visit))]
    assert sorted(found) == sorted(set(found))
    assert set(waited) <= set(found)
    assert len(found) == 6 + 4
    expect(page.locator("#next-how")).to_have_text("")


def test_an_answer_that_was_lost_makes_no_second_record(page: Page, device: BrowserContext) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    lost = []

    def lose(route: Any) -> None:
        # the server takes the record, and the device never hears of it
        route.fetch()
        lost.append(route.request.url)
        route.abort()

    device.route("**/observations/*", lose, times=2)
    grade(page, 1, "gross")
    page.wait_for_function("() => !document.querySelector('details.outbox').hidden")
    all_sent(page)
    assert len(lost) == 2
    assert [one["kind"] for one in observations(page, visit)] == ["check", "reading"]


def test_while_a_record_is_on_its_way_no_answer_counts_as_one_to_it(page: Page, device: BrowserContext) -> None:
    page.clock.install()
    visit = new_visit(page)
    open_sheet(page, visit)
    page.wait_for_load_state("networkidle")
    stopped: list[Route] = []
    device.route("**/observations/*", lambda route: stopped.append(route), times=1)
    grade(page, 0, "none")
    page.wait_for_function("() => document.getElementById('next-how').textContent")
    with page.expect_response("**/answer*"):
        page.clock.fast_forward(20_000)  # it looks round for what other tablets recorded
    page.wait_for_load_state("networkidle")
    expect(page.locator("#next-how")).not_to_have_text("")
    with page.expect_response("**/answer*"):
        for one in stopped:
            one.continue_()
    expect(page.locator("#next-how")).to_have_text("")
    assert [one["kind"] for one in observations(page, visit)] == ["check", "reading"]


def test_signed_out_in_between_the_record_is_kept_and_sent_after_signing_in(page: Page, device: BrowserContext) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.wait_for_load_state("networkidle")  # an answer on its way would bring the cookie back
    cookies = device.cookies()
    device.clear_cookies(name="looseends-session")
    grade(page, 0, "none")
    expect(page.locator("details.outbox")).to_contain_text("Sign in again")
    assert len(page.evaluate(WAITING)) == 2
    device.add_cookies(cookies)  # type: ignore[arg-type]
    page.locator("details.outbox button").tap()
    all_sent(page)
    assert len(observations(page, visit)) == 2


def test_a_record_that_is_refused_is_kept_with_the_reason_and_holds_up_no_other(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.evaluate(
        """async ([visit, id]) => {
          const { keep } = await import("/static/bay/kept.js");
          const me = await (await fetch("/api/me")).json();
          await keep([{ id, visit, account: me.id, kind: "condition", payload: { part: "no-such-field" },
            device_time: new Date().toISOString(), supersedes: null }]);
        }""",
        [visit.rsplit("/", 1)[1], "01a21000-0000-7000-8000-00000000abcd"],
    )
    grade(page, 0, "none")
    expect(page.locator("details.outbox li b")).to_contain_text("Not taken")
    expect(page.locator("details.outbox li")).to_have_count(1)
    assert [one["kind"] for one in observations(page, visit)] == ["check", "reading"]
    assert len(page.evaluate(WAITING)) == 1


def test_two_tablets_at_one_vehicle_see_what_each_recorded_and_lose_nothing(
    page: Page, chromium: Browser, bay: tuple[str, Any]
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    other = tablet(chromium, has_touch=True, storage_state=bay[1], base_url=bay[0])
    second = other.new_page()
    open_sheet(second, visit, "bj-axial.arm.right.held.off")
    grade(second, 0, "clear")
    grade(page, 0, "slight")
    all_sent(page)
    all_sent(second)
    page.reload()
    page.evaluate("location.hash = 'bj-axial.arm.right.held.off'")
    expect(page.locator("#watches li").first).to_have_class("read")
    assert sorted(one["kind"] for one in observations(page, visit)) == ["check"] * 2 + ["reading"] * 2
    other.close()


def test_a_visit_that_was_never_opened_here_is_told_of_without_a_connection(page: Page, device: BrowserContext) -> None:
    visit = new_visit(page, plate="HELD 1")
    open_sheet(page, visit)
    held(page, visit)
    device.set_offline(True)
    page.goto("/visits/01a21000-0000-7000-8000-00000000abcd/sheet")
    expect(page.locator("h1")).to_have_text("No connection")
    expect(page.locator("#kept-visits")).to_contain_text("HELD 1")
    page.goto("/visits/")
    expect(page.locator("h1")).to_have_text("No connection")
