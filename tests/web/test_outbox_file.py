"""What waits on a tablet saved to a file, and taken in elsewhere: once, by whoever recorded it, or refused in words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.store.films import film
from tests.web.bay import faults, reach, tablet
from tests.web.sheet import WAITING, all_sent, grade, held, look, new_visit, observations, open_sheet, photo, photos

pytestmark = pytest.mark.browser


def taken_in(page: Page, file: Path | dict[str, Any]) -> str:
    """What the page says of a file that is taken in."""
    page.goto("/visits/outbox")
    page.locator("#file").set_input_files(file)  # type: ignore[arg-type]
    expect(page.locator("#told")).not_to_be_empty()
    return page.locator("#told").inner_text()


def test_what_waits_saved_offline_is_taken_in_on_another_tablet_once_and_the_first_tablet_doubles_nothing(
    page: Page, device: BrowserContext, chromium: Browser, bay: tuple[str, Any], tmp_path: Path
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.left.held.off")
    held(page, visit)
    device.set_offline(True)
    grade(page, 0, "slight")
    page.locator("#photo").set_input_files(photo())  # type: ignore[arg-type]
    expect(page.locator("#thumbnails li")).to_have_count(1)
    page.locator("#clip").set_input_files({"name": "a.webm", "mimeType": "video/webm", "buffer": film()})
    expect(page.locator("#thumbnails video")).to_have_count(1)
    page.goto("/visits/outbox")  # comes without a connection
    expect(page.locator("details.outbox li")).to_have_count(4)
    look(page, "outbox")
    assert faults(page) == []
    assert reach(page) == []
    with page.expect_download() as saved:
        page.locator("#save").tap()
    file = tmp_path / "waits.json"
    saved.value.save_as(file)
    assert len(page.evaluate(WAITING)) == 4

    other = tablet(chromium, has_touch=True, storage_state=bay[1], base_url=bay[0])
    second = other.new_page()
    assert "4" in taken_in(second, file)
    all_sent(second)
    assert "Taken in: 0; here already: 4" in taken_in(second, file)
    kinds = [one["kind"] for one in observations(second, visit)]
    assert (kinds, [one["clip_milliseconds"] for one in photos(second, visit)]) == (["check", "reading"], [None, 1000])
    device.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    assert len(observations(second, visit)) == 2
    other.close()

    whole = json.loads(file.read_text())
    for broken, said in (
        ("no records", "holds no records"),
        (json.dumps({**whole, "format": 2}), "another version"),
        (json.dumps({**whole, "records": whole["records"][:1]}), "damaged"),
    ):
        sent = {"name": "a.json", "mimeType": "application/json", "buffer": broken.encode()}
        assert said in taken_in(page, sent)
    assert page.evaluate(WAITING) == []
