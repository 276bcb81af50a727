"""The day and the intake in a real browser: by touch, by keys, in both languages, legible and reachable."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect

from tests.web.bay import SIZES, browser, faults, reach, served_bay, tablet

pytestmark = pytest.mark.browser

WORDS = {
    "en": ("What waits", "Take in a vehicle", "First: the lift points", "Sound: it may be raised", "Next check"),
    "es": (
        "Lo que espera",
        "Recibir un vehículo",
        "Primero: los puntos de apoyo",
        "Sanos: se puede levantar",
        "Siguiente prueba",
    ),
}
PICTURES = os.environ.get("LOOSEENDS_PICTURES")
"""A folder for pictures of every page, for whoever wants to look at them."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all tests here."""
    with browser() as found:
        yield found


@pytest.fixture(scope="module")
def device(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[BrowserContext]:
    """A tablet that is signed in at the demo bay."""
    os.environ.setdefault("LOOSEENDS_CACHE", str(tmp_path_factory.mktemp("tables")))
    with served_bay(tmp_path_factory.mktemp("bay")) as link:
        context = tablet(chromium)
        page = context.new_page()
        page.goto(link)
        context.base = page.url  # type: ignore[attr-defined]
        yield context
        context.close()


@pytest.fixture
def page(device: BrowserContext) -> Iterator[Page]:
    """The first page, in English, metric, in the bright yard."""
    found = device.new_page()
    told: list[str] = []
    found.on("console", lambda message: told.append(message.text) if _is_fault(message) else None)
    found.on("pageerror", lambda error: told.append(str(error)))
    found.goto(device.base)  # type: ignore[attr-defined]
    choose(found, "language", "en")
    yield found
    assert told == []
    found.close()


def _is_fault(message: ConsoleMessage) -> bool:
    # a page that is asked for in vain is told as an error too
    return message.type in ("error", "warning") and not message.location["url"].endswith("/nothing")


def choose(page: Page, name: str, value: str) -> None:
    """Through the person's menu."""
    page.locator("details.menu summary").click()
    page.locator(f'button[name="{name}"][value="{value}"]').click()
    page.wait_for_load_state()


def picture(page: Page, name: str) -> None:
    """A picture of the whole page, where somebody wants one."""
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png", full_page=True)


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_vehicle_taken_in_waits_for_its_lift_points_and_a_name_of_80_letters_in_one_widens_no_page(
    page: Page, language: str
) -> None:
    day, take_in, first, sound, following = WORDS[language]
    choose(page, "language", language)
    expect(page.locator("h1")).to_have_text(day)
    page.locator(".search .main", has_text=take_in).click()
    expect(page.locator("h1")).to_have_text(take_in)
    page.locator("#vehicle").select_option("pilots-sedan")
    page.locator("#complaint").fill("It wanders and knocks on small bumps")
    expect(page.locator('#understood input[value="wanders"]')).to_be_checked()
    page.locator('#understood label:has(input[value="knock-small-bumps"])').click()
    page.locator("#plate").fill(f"TRY {language}")
    page.locator("#customer").fill("Ö" * 80)
    page.locator("#odometer").fill("96,300")
    page.locator("#vin").fill("1M8GDM9A5KP042788")
    page.locator("#vin").blur()
    expect(page.locator("#vin-remark .remark")).to_contain_text("5")
    page.locator("#tire-front-left").select_option("feathered")
    picture(page, f"intake-filled-{language}")
    page.locator("button.main").click()
    expect(page.locator("#first h2")).to_have_text(first)
    assert reach(page) == []
    expect(page.locator("h1")).to_contain_text(f"TRY {language}")
    picture(page, f"visit-first-{language}")
    page.get_by_role("button", name=sound).click()
    expect(page.locator("section h2").first).to_have_text(following)
    expect(page.locator("section .lead")).to_be_visible()
    picture(page, f"visit-next-{language}")
    page.locator(".strip .name").click()
    expect(page.locator(".line", has_text=f"TRY {language}")).to_be_visible()
    assert reach(page) == []


def test_search_narrows_the_list_while_it_is_typed_and_back_brings_it_again(page: Page) -> None:
    page.locator("#q").press_sequentially("slip 31")
    expect(page.locator(".line")).to_have_count(1)
    assert page.url.endswith("?q=slip+31") or page.url.endswith("?q=slip%2031")
    page.reload()
    expect(page.locator(".line")).to_have_count(1)


@pytest.mark.parametrize(("language", "theme"), [("en", "yard"), ("es", "bay")])
def test_pages_have_no_fault_for_a_screen_reader_and_everything_is_in_reach(
    page: Page, language: str, theme: str
) -> None:
    choose(page, "language", language)
    choose(page, "theme", theme)
    visits = page.locator(".line").evaluate_all("lines => lines.map(line => line.getAttribute('href'))")
    base = "/".join(page.url.split("/")[:3])
    person = "/people/" + page.request.get(f"{base}/api/people").json()[0]["id"]
    for name, address in {
        "day": "/",
        "day-nothing": "/?q=nothing+like+it",
        "intake": "/intake",
        "visit": visits[0],
        "visit-new": visits[1],
        "visit-not-raised": visits[3],
        "password": "/me/password",
        "people": "/people",
        "person": person,
        "keys": "/me/tokens",
        "failure": "/nothing",
    }.items():
        page.goto(base + address)
        page.wait_for_load_state("networkidle")
        page.locator("details.more").evaluate_all("all => all.forEach(closed => { closed.open = true; })")
        picture(page, f"{name}-{language}-{theme}")
        assert faults(page) == [], name
        assert reach(page) == [], name


def test_everything_on_the_first_page_is_reached_by_keys(page: Page) -> None:
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    page.keyboard.press("Tab")
    expect(page.locator("#q")).to_be_focused()
    for _ in range(3):
        page.keyboard.press("Tab")
    expect(page.locator(".line").first).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("SLIP 07")


def test_the_open_menu_has_no_fault_and_is_in_reach_at_twice_the_size_too(page: Page) -> None:
    page.locator("details.menu summary").click()
    expect(page.locator("details.menu .sheet")).to_be_visible()
    picture(page, "menu")
    assert faults(page) == []
    assert reach(page) == []
    for width, height in (SIZES["tablet at twice the size"], (384, 512)):
        page.set_viewport_size({"width": width, "height": height})
        page.locator('.menu button[name="language"]').first.click(trial=True, timeout=5000)
        page.get_by_role("button", name="Sign out").click(trial=True, timeout=5000)


def test_the_menu_closes_with_escape_and_gives_the_focus_back(page: Page) -> None:
    page.locator("details.menu summary").click()
    page.keyboard.press("Escape")
    expect(page.locator("details.menu .sheet")).to_be_hidden()
    expect(page.locator("details.menu summary")).to_be_focused()


def test_a_form_touched_twice_is_sent_once(page: Page) -> None:
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.url) if asked.method == "POST" else None)
    page.goto(page.url.rstrip("/") + "/intake")
    page.locator("#vehicle").select_option("stores-van")
    page.locator("#plate").fill("TWICE 2")
    page.locator("button.main").dblclick()
    expect(page.locator("h1")).to_contain_text("TWICE 2")
    assert len(sent) == 1
    page.go_back()
    page.locator(".strip .name").click()
    expect(page.locator(".line", has_text="TWICE 2")).to_have_count(1)


def test_the_first_page_is_small(device: BrowserContext) -> None:
    page = device.new_page()
    page.goto(device.base)  # type: ignore[attr-defined]
    page.wait_for_load_state("networkidle")
    sizes: list[int] = page.evaluate(
        "['navigation', 'resource'].flatMap(kind => performance.getEntriesByType(kind)).map(one => one.encodedBodySize)"
    )
    assert 20_000 < sum(sizes) <= 150_000
    page.close()
