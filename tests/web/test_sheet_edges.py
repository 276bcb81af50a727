"""Slips and odd circumstances at the sheet: a stale tab, clocks apart, many photos at once, a clip."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.web.bay import tablet
from tests.web.sheet import WAITING, all_sent, grade, new_visit, observations, open_sheet, photos

pytestmark = pytest.mark.browser

FIVE_HOURS_SLOW = """const there = Date; Date = class extends there {
  constructor(...given) { given.length ? super(...given) : super(there.now() - 5 * 3600e3); }
  static now() { return there.now() - 5 * 3600e3; } };"""
COUNT_PHOTOS = """() => { const ask = fetch; let now = 0; mostAtOnce = 0;
  fetch = async (...asked) => {
    const photo = asked[1]?.method === "PUT" && String(asked[0]).includes("/photos/");
    now += photo; mostAtOnce = Math.max(mostAtOnce, now);
    try { return await ask(...asked); } finally { now -= photo; }
  }; }"""
KEY = "bj-axial.arm.left.held.off"


def small_photo(n: int) -> dict[str, Any]:
    made = io.BytesIO()
    Image.new("RGB", (60, 40), (5 * n, 90, 90)).save(made, "JPEG")
    return {"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": made.getvalue()}


def test_a_stale_tab_corrects_what_another_tab_recorded_meanwhile_and_doubles_nothing(
    page: Page, device: BrowserContext
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, KEY)
    stale = device.new_page()
    open_sheet(stale, visit, KEY)
    grade(page, 0, "slight")
    all_sent(page)
    expect(stale.locator("#watches li .found").first).to_contain_text("slight")  # told by the other tab
    stale.locator("#watches li").first.locator('[data-grade="gross"]').tap()
    expect(stale.locator("#watches li .found").first).to_contain_text("gross")
    all_sent(stale)
    expect(page.locator("#watches li .found").first).to_contain_text("gross")
    found = observations(page, visit)
    assert [(one["kind"], one["supersedes"] is not None) for one in found] == [
        ("check", False),
        ("reading", False),
        ("reading", True),
    ]
    stale.close()


def test_a_correction_by_a_tablet_whose_clock_is_hours_behind_holds_on_both_and_so_does_taking_it_back(
    page: Page, chromium: Browser, bay: tuple[str, Any]
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, KEY)
    grade(page, 0, "slight")
    all_sent(page)
    slow = tablet(chromium, has_touch=True, storage_state=bay[1], base_url=bay[0])
    slow.add_init_script(FIVE_HOURS_SLOW)
    second = slow.new_page()
    open_sheet(second, visit, KEY)
    second.locator("#watches li").first.locator('[data-grade="gross"]').tap()
    expect(second.locator("#watches li .found").first).to_contain_text("gross")
    all_sent(second)
    page.reload()
    expect(page.locator("#watches li .found").first).to_contain_text("gross")
    second.locator("#undo").tap()
    expect(second.locator("#watches li .found").first).to_contain_text("slight")
    all_sent(second)
    page.reload()
    expect(page.locator("#watches li .found").first).to_contain_text("slight")
    times = [one["device_time"] for one in observations(page, visit)]
    assert times[2] < times[0]  # the clocks were apart
    slow.close()


def test_fifty_photos_at_once_are_kept_with_progress_and_sent_one_after_another_and_a_clip_is_told_of(
    page: Page, device: BrowserContext
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, KEY)
    device.set_offline(True)
    page.locator("#photo").set_input_files([small_photo(n) for n in range(50)])  # type: ignore[arg-type]
    expect(page.locator("#recorded")).to_contain_text("of 50")
    expect(page.locator("#thumbnails li")).to_have_count(50, timeout=90_000)
    expect(page.locator("details.outbox summary")).to_contain_text("50 records wait")
    device.set_offline(False)
    page.evaluate(COUNT_PHOTOS)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    assert (len(photos(page, visit)), page.evaluate("mostAtOnce")) == (50, 1)
    clip = {"name": "a.mp4", "mimeType": "video/mp4", "buffer": b"0000ftyp"}
    page.locator("#photo").set_input_files(clip)  # type: ignore[arg-type]
    expect(page.locator("#recorded")).to_contain_text("clip cannot be played")
    assert page.evaluate(WAITING) == []
