"""From findings to the signed handover in a real browser, in both languages, legible and reachable."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.web.bay import browser, faults, reach, served_bay, tablet
from tests.web.cast import JudgingOfStored

pytestmark = pytest.mark.browser

WORDS = {
    "en": ("Findings", "unsafe", "To the handover", "Sign as Ines Calder", "This visit is signed off", "Write it down"),
    "es": ("Hallazgos", "inseguro", "A la entrega", "Firmar como Ines Calder", "Esta visita está firmada", "Anotarlo"),
}
PICTURES = os.environ.get("LOOSEENDS_PICTURES")
"""A folder for pictures of every page, for whoever wants to look at them."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all tests here."""
    with browser() as found:
        yield found


@pytest.fixture(scope="module", params=["en", "es"])
def device(
    request: pytest.FixtureRequest, chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[BrowserContext]:
    """A tablet that is signed in at a demo bay of its own, in one of the languages."""
    os.environ.setdefault("LOOSEENDS_CACHE", str(tmp_path_factory.mktemp("tables")))
    with served_bay(tmp_path_factory.mktemp("bay"), JudgingOfStored()) as link:
        context = tablet(chromium)
        page = context.new_page()
        page.goto(link)
        page.locator("details.menu summary").click()
        page.locator(f'button[name="language"][value="{request.param}"]').click()
        page.wait_for_load_state()
        context.language = request.param  # type: ignore[attr-defined]
        context.visit = page.locator(".line", has_text="SLIP 07").first.evaluate("line => line.href")  # type: ignore[attr-defined]
        page.close()
        yield context
        context.close()


@pytest.fixture
def page(device: BrowserContext) -> Iterator[Page]:
    """The home of the tutorial's visit."""
    found = device.new_page()
    told: list[str] = []
    found.on("console", lambda message: told.append(message.text) if message.type in ("error", "warning") else None)
    found.on("pageerror", lambda error: told.append(str(error)))
    found.goto(device.visit)  # type: ignore[attr-defined]
    yield found
    # a form that was refused is told as an error by the browser itself
    assert [line for line in told if "400 (Bad Request)" not in line] == []
    found.close()


def looked_at(page: Page, name: str) -> None:
    """No fault for a screen reader, nothing out of reach, nothing wider than the screen."""
    page.wait_for_load_state("networkidle")
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png", full_page=True)
    assert faults(page) == [], name
    assert reach(page) == [], name


def test_findings_preview_sign_off_and_the_owners_decision(page: Page, device: BrowserContext) -> None:
    language: str = device.language  # type: ignore[attr-defined]
    findings, unsafe, to_handover, sign, signed, write_down = WORDS[language]
    page.locator(".ways a", has_text=findings).click()
    first = page.locator(".finding").first
    expect(first.locator(".verdict").first).to_have_text(unsafe)
    looked_at(page, f"f-findings-{language}")
    first.locator("summary").click()
    expect(first.locator(".grounds").first).to_be_visible()
    page.locator("details.more").evaluate_all("all => all.forEach(closed => { closed.open = true; })")
    looked_at(page, f"f-findings-open-{language}")

    page.get_by_role("link", name=to_handover).click()
    document = page.frame_locator("iframe.document")
    expect(document.locator("html")).to_have_attribute("lang", language)
    expect(document.locator("h1")).to_be_visible()
    looked_at(page, f"f-handover-{language}")
    with page.expect_download() as saved:
        page.locator("button[formaction]").click()
    assert Path(saved.value.path()).read_bytes().startswith(b"%PDF")

    page.get_by_role("button", name=sign).dblclick()
    expect(page.locator("#signed h2")).to_have_text(signed)
    page.locator('label:has(input[value="drive"])').first.click()
    page.get_by_role("button", name=write_down).first.click()
    expect(page.locator("#decisions .mistake")).to_be_visible()
    looked_at(page, f"f-caution-{language}")
    page.locator("label.tick").first.click()
    page.get_by_role("button", name=write_down).first.click()
    expect(page.locator("#decisions .mistake")).to_have_count(0)
    expect(page.locator("#decisions")).to_contain_text("Ines Calder")
    looked_at(page, f"f-signed-{language}")


def test_the_preview_is_shown_in_the_customers_language_whatever_the_technicians(page: Page) -> None:
    page.goto(page.url + "/handover")
    for language in ("es", "en"):
        page.locator(f'label:has(input[name="language"][value="{language}"])').click()
        page.locator("form[method=get] button").first.click()
        expect(page.frame_locator("iframe.document").locator("html")).to_have_attribute("lang", language)


def test_comparing_erasing_and_exporting(page: Page, device: BrowserContext) -> None:
    language: str = device.language  # type: ignore[attr-defined]
    visit = page.url
    page.goto(visit + "/compare")
    looked_at(page, f"f-compare-{language}")
    page.locator("nav.actions a").nth(1).click()
    expect(page.locator("#judged h2").first).to_be_visible()
    looked_at(page, f"f-compare-visits-{language}")
    page.goto(visit.split("/visits/")[0] + "/export")
    looked_at(page, f"f-export-{language}")
    page.goto(visit + "/erase")
    looked_at(page, f"f-erase-{language}")
    page.locator("label.tick").click()
    page.locator("main button.main").click()
    expect(page.locator("label.tick")).to_have_count(0)
    looked_at(page, f"f-erased-{language}")


def test_findings_open_without_a_script(device: BrowserContext, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False, storage_state=device.storage_state())
    page = context.new_page()
    page.goto(device.visit + "/findings")  # type: ignore[attr-defined]
    first = page.locator(".finding").first
    first.locator("summary").click()
    expect(first.locator(".grounds").first).to_be_visible()
    context.close()
