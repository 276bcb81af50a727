"""Takes the documents' pictures of the application anew: `python -m tests.web.draw_pictures`.

It opens a demo bay of its own, judged by the program itself, and does a visit there as docs/technician.md tells it. The
yard pickup's tables that are not there are computed first, minutes of work. Pictures go to docs/pictures/application.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Locator, Page, expect

from looseends.diagnosis import default_store, prepare_tables
from looseends.diagnosis.shop import Shop
from looseends.vehicle.loading import load_vehicles
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Preparing
from looseends.web.motion.presets import PRESETS
from tests.web.bay import SIZES, browser, served_bay, tablet

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "application"
SHADES = 32
"""One ink on paper and one accent, with what lies between at the edges of letters; the hazard keeps its yellow."""

_PATIENCE_MS = 120_000
"""A judgement takes seconds, on a busy computer more."""


def kept(name: str, picture: bytes) -> None:
    """Put a picture away, small."""
    with Image.open(io.BytesIO(picture)) as opened:
        image = opened.convert("RGB")
    few = image.quantize(SHADES, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    palette, paper = few.getpalette() or [], max(image.getcolors(image.width * image.height) or [])[1]
    at = 3 * max(few.getcolors() or [])[1]
    few.putpalette([*palette[:at], *paper, *palette[at + 3 :]])  # the paper keeps its exact shade
    few.save(FOLDER / f"{name}.png", optimize=True)


def screen(page: Page, name: str, height: int | None = None) -> None:
    """What the screen shows, or its upper part."""
    page.wait_for_timeout(400)  # fonts and drawings
    width, whole = SIZES["tablet"]
    kept(name, page.screenshot(clip={"x": 0, "y": 0, "width": width, "height": height or whole}))


def on_its_side(page: Page, name: str) -> None:
    """The same on a tablet that lies on its side; it stands up again behind it."""
    width, height = SIZES["tablet on its side"]
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("window.scrollTo(0, 0)")
    page.wait_for_timeout(600)
    kept(f"{name}-on-its-side", page.screenshot())
    width, height = SIZES["tablet"]
    page.set_viewport_size({"width": width, "height": height})


def part(locator: Locator, name: str) -> None:
    """A part of a page."""
    kept(name, locator.screenshot())


def taking_in(page: Page) -> None:
    """The day, a vehicle that comes in, and its lift points."""
    screen(page, "day", 860)
    page.locator(".search .main").click()
    page.locator("#vehicle").select_option("yard-pickup")
    page.locator("#complaint").fill("Wanders on the causeway and knocks on small bumps")
    expect(page.locator('#understood input[value="wanders"]')).to_be_checked()
    page.locator("#plate").fill("SLIP 23")
    page.locator("#odometer").fill("61,480")
    page.locator("#customer").fill("Breakwater crew")
    page.locator("#tire-front-left").select_option("feathered")
    screen(page, "intake", 980)
    page.locator("button.main").click()
    expect(page.locator("#first")).to_be_visible()
    screen(page, "lift-points", 660)
    page.locator('button[name="found"][value="sound"]').click()


def checking(page: Page, visit: str) -> None:
    """The check that is asked for, done and read; what is asked for then; the plan."""
    page.goto(f"{visit}/sheet#bj-axial.arm.left.held.off")
    expect(page.locator("#watches li").first).to_be_visible()
    expect(page.locator("#next-reason")).not_to_be_empty()
    expect(page.locator("#check-name")).to_contain_text("Lift the wheel with a bar")
    page.locator("#support").evaluate("details => { details.open = true; }")
    expect(page.locator("#support-picture > *").first).to_be_visible()
    screen(page, "check-sheet")
    on_its_side(page, "check-sheet")
    page.locator("#support").evaluate("details => { details.open = false; }")
    screen(page, "check-sheet-drawing", 860)
    page.locator('[data-way="gauge"]').click()
    page.locator("#watches li").first.get_by_role("button").first.click()
    for key in "1.9":
        page.locator(f'[data-key="{key}"]').click()
    part(page.locator("#pad"), "number-pad")
    page.locator("#pad .main").click()
    page.locator("#watches li", has_text="tread lift").get_by_role("button").first.click()
    for key in "2.3":
        page.locator(f'[data-key="{key}"]').click()
    page.locator("#pad .main").click()
    expect(page.locator("#next-suspects")).to_contain_text("Left lower ball joint: above")
    expect(page.locator("#next-how")).to_have_text("")
    page.locator("#next-why").evaluate("details => { details.open = true; }")
    part(page.locator("aside.bar"), "next-check")
    page.goto(f"{visit}/plan")
    expect(page.locator(".part-list button").first).to_be_visible()
    expect(page.locator("#stand")).to_have_text("")
    screen(page, "plan")
    on_its_side(page, "plan")


def concluding(page: Page, visit: str) -> None:
    """Findings down to their grounds, left beside right, and the handover."""
    page.goto(f"{visit}/findings")
    page.locator(".finding summary").first.click()
    screen(page, "findings")
    page.goto(f"{visit}/compare")
    expect(page.locator(".pairs").first).to_be_visible()
    screen(page, "compare", 820)
    page.goto(f"{visit}/handover")
    expect(page.frame_locator("iframe.document").locator("h1")).to_be_visible()
    screen(page, "handover")


def moving(page: Page, home: str) -> None:
    """A lesson in space, at the end of its stroke, on a wider screen."""
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(home.rstrip("/") + next(preset for preset in PRESETS if preset.id == "carrier-shown").address)
    expect(page.locator("[data-part='now']")).to_contain_text("mm of")
    page.locator("[data-part='last']").click()
    page.mouse.move(2, 2)
    page.wait_for_timeout(3000)  # the drawing in space
    page.evaluate("document.activeElement.blur(); window.scrollTo(0, 0)")
    page.wait_for_timeout(400)
    kept("motion-view", page.screenshot())


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    store = default_store()
    prepare_tables(load_vehicles()["yard-pickup"], store=store, progress=_told)
    judging = Judging(Preparing(store), Shop())
    with tempfile.TemporaryDirectory() as folder, served_bay(Path(folder), judging) as link, browser() as chromium:
        page = tablet(chromium).new_page()
        page.set_default_timeout(_PATIENCE_MS)
        expect.set_options(timeout=_PATIENCE_MS)
        page.goto(link)
        home = page.url
        visit = page.locator(".line", has_text="SLIP 07").first.evaluate("line => line.href")
        taking_in(page)
        checking(page, visit)
        concluding(page, visit)
        page.goto(f"{home}people")
        screen(page, "people", 900)
        moving(page, home)


def _told(words: str, done: int, total: int) -> None:
    sys.stdout.write(f"\r{words} {done} of {total}   ")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
