"""What tests do on a visit's sheet, and what they ask the device and the server."""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Locator, Page, expect

expect.set_options(timeout=20_000)

PICTURES = os.environ.get("LOOSEENDS_PICTURES")
"""A folder for pictures of every page, for whoever wants to look at them."""
WAITING = """async () => (await (await import("/static/bay/kept.js")).waiting()).map(record => record.id)"""


def new_visit(page: Page, language: str = "en", plate: str = "TAB 1") -> str:
    """The address of a pickup that was taken in with a complaint and may be raised."""
    page.goto("/intake")
    page.locator("details.menu summary").click()
    with page.expect_navigation():
        page.locator(f'button[name="language"][value="{language}"]').click()
    page.locator("#vehicle").select_option("yard-pickup")
    page.locator("#complaint").fill("It wanders and knocks on small bumps")
    page.locator("#plate").fill(plate)
    with page.expect_navigation():
        page.locator("button.main").click()
    page.locator('button[name="found"][value="sound"]').click()
    expect(page.locator('.ways a[href$="/sheet"]')).to_be_visible()  # the visit's own page, and no way to it
    page.wait_for_load_state()
    return page.url.removesuffix("/")


def open_sheet(page: Page, visit: str, key: str = "wheel39.arm.left.held.off") -> None:
    page.goto(f"{visit}/sheet#{key}")
    expect(page.locator("#watches li").first).to_be_visible()
    expect(page.locator("#next-how")).to_have_text("")


def row(page: Page, watch: str) -> Locator:
    return page.locator("#watches li", has=page.get_by_text(watch, exact=True))


def grade(page: Page, at: int, word: str) -> None:
    page.locator("#watches li").nth(at).locator(f'[data-grade="{word}"]').tap()
    expect(page.locator("#watches li").nth(at)).to_have_class("read")


def observations(page: Page, visit: str) -> list[dict[str, Any]]:
    """What the server holds of the sheet's records."""
    found: list[dict[str, Any]] = page.request.get(visit.replace("/visits/", "/api/visits/") + "/observations").json()
    return [one for one in found if one["kind"] != "symptom" and not str(one["payload"].get("note")).startswith("lift")]


def photos(page: Page, visit: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.request.get(visit.replace("/visits/", "/api/visits/") + "/photos").json()
    return found


def photo() -> dict[str, Any]:
    made = io.BytesIO()
    Image.effect_noise((2600, 1300), 40).convert("RGB").save(made, "JPEG")
    return {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": made.getvalue()}


def until(page: Page, script: str, argument: object = None) -> None:
    """Wait until a script's promise is kept with something true; the browser's own waiting does not look into it."""
    for _ in range(400):
        if page.evaluate(script, argument):
            return
        page.wait_for_timeout(50)
    raise AssertionError(script)


def held(page: Page, visit: str) -> None:
    """Wait until the device holds the visit's pages, and the worker that gives them."""
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    path = visit[visit.index("/visits") :] + "/plan"
    until(page, "async path => Boolean(await caches.match(path))", path)


def all_sent(page: Page) -> None:
    """Wait until nothing waits on the device."""
    until(page, f"async () => !(await ({WAITING})()).length")
    expect(page.locator("details.outbox")).to_be_hidden()


def look(page: Page, name: str) -> None:
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png")
