"""A clip on the sheet: kept without a connection, sent once, played in the findings; or told why not."""

from __future__ import annotations

import base64
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from looseends.store.clip import kept_clip
from tests.store.films import film
from tests.web.bay import SIZES, faults, reach
from tests.web.sheet import WAITING, all_sent, held, look, new_visit, open_sheet, photos

pytestmark = pytest.mark.browser

PLAYED = """async video => {
  await video.play();
  await new Promise(done => video.addEventListener("ended", done, { once: true }));
  return [video.readyState >= 2, video.videoWidth, video.error];
}"""

BUSY = """() => {
  const start = MediaRecorder.prototype.start;
  MediaRecorder.prototype.start = function () { start.call(this); setTimeout(() => this.pause(), 100); };
}"""
"""A tablet that has something else to do, so that frames are lost."""

MADE = """async ([text, most]) => {
  const { madeShort } = await import("/static/bay/clips.js");
  const file = new Blob([Uint8Array.from(atob(text), letter => letter.charCodeAt(0))], { type: "video/webm" });
  try {
    const { clip } = await madeShort(file, most);
    return btoa(String.fromCharCode(...new Uint8Array(await clip.arrayBuffer())));
  } catch (error) { return error.key; }
}"""


def clip(content: bytes, name: str = "clip.webm") -> dict[str, Any]:
    """A clip as a camera's file."""
    return {"name": name, "mimeType": "video/webm", "buffer": content}


@pytest.fixture
def strict(chromium: Browser, bay: tuple[str, Any]) -> Any:
    """A tablet whose pages' policy holds for everybody."""
    width, height = SIZES["tablet"]
    context = chromium.new_context(
        viewport={"width": width, "height": height}, has_touch=True, storage_state=bay[1], base_url=bay[0]
    )
    yield context
    context.close()


def test_a_clip_taken_offline_is_held_once_after_a_reload_and_plays_on_the_sheet_and_in_the_findings(
    strict: Any,
) -> None:
    page: Page = strict.new_page()
    visit = new_visit(page, plate="CLIP 1")
    open_sheet(page, visit)
    held(page, visit)
    strict.set_offline(True)
    with page.expect_file_chooser() as chooser:
        page.locator("#take-clip").tap()
    chooser.value.set_files(clip(film(frames=20, width=640, height=480)))  # type: ignore[arg-type]
    expect(page.locator("#recorded")).to_have_text("Recorded: clip")
    assert page.locator("#thumbnails video").evaluate(PLAYED) == [True, 640, None]
    page.reload()
    expect(page.locator("details.outbox li")).to_have_text("clip")
    assert page.locator("#thumbnails video").evaluate(PLAYED) == [True, 640, None]
    look(page, "sheet-clip-offline")
    (waits,) = page.evaluate(WAITING)
    strict.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    (kept,) = photos(page, visit)
    assert (kept["id"], kept["width_px"], kept["clip_milliseconds"]) == (waits, 640, 2000)
    page.reload()
    assert page.locator("#thumbnails video").evaluate(PLAYED) == [True, 640, None]
    page.goto(f"{visit}/findings")
    assert page.locator(".photos video").evaluate(PLAYED) == [True, 640, None]
    look(page, "findings-clip")


def test_what_is_no_short_clip_is_told_at_once_and_nothing_waits(page: Page) -> None:
    visit = new_visit(page, plate="CLIP 2")
    open_sheet(page, visit)
    for content, said in (
        (film(frames=170, width=32, height=32), "A clip lasts at most 15 s, this one 17 s: take a shorter one."),
        (b"PK\x03\x04" + bytes(400), "cannot be played by this browser"),
    ):
        page.locator("#clip").set_input_files(clip(content))  # type: ignore[arg-type]
        expect(page.locator("#recorded")).to_contain_text(said)
    assert page.evaluate(WAITING) == []
    page.locator("#photo").set_input_files(clip(film(sound=True)))  # type: ignore[arg-type]
    expect(page.locator("#thumbnails video")).to_have_count(1)
    all_sent(page)
    assert [(one["width_px"], one["clip_milliseconds"]) for one in photos(page, visit)] == [(160, 1000)]
    assert page.locator("#thumbnails video").get_attribute("aria-label") == "Clip of 1 s, without sound"
    assert faults(page) == []
    assert reach(page) == []
    given = base64.b64encode(film(sound=True)).decode()
    # what is too large in pixels is recorded smaller, whole and silent, and the server takes what this browser records
    small = page.evaluate(MADE, [given, {"most_s": 15, "most_bytes": 1_000_000, "most_pixels": 400}])
    assert 500 <= kept_clip(base64.b64decode(small), "clip").milliseconds <= 2500
    assert page.evaluate(MADE, [given, {"most_s": 15, "most_bytes": 40, "most_pixels": 400}]) == "clip too large"
    page.evaluate(BUSY)
    assert page.evaluate(MADE, [given, {"most_s": 15, "most_bytes": 1_000_000, "most_pixels": 400}]) == "clip too large"
    page.evaluate("delete globalThis.MediaRecorder")
    assert page.evaluate(MADE, [given, {"most_s": 15, "most_bytes": 1_000_000, "most_pixels": 400}]) == "clip too large"
