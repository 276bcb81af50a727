"""The check sheet and the underside plan on a tablet: recorded by touch, without a connection, by two at once."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.web.advice import AdvisingStub
from tests.web.bay import browser, faults, reach, served_bay, tablet

pytestmark = pytest.mark.browser
expect.set_options(timeout=20_000)

MOST_TOUCHES, LEAST_OBSERVATIONS = 60, 8
PICTURES = os.environ.get("LOOSEENDS_PICTURES")
"""A folder for pictures of every page, for whoever wants to look at them."""
RECORDED = {"en": "Recorded", "es": "Anotado"}
WAITING = """async () => (await (await import("/static/bay/kept.js")).waiting()).map(record => record.id)"""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all tests here."""
    with browser() as found:
        yield found


@pytest.fixture(scope="module")
def bay(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Any]]:
    """The address of a served demo bay, and the cookies of somebody who is signed in."""
    os.environ.setdefault("LOOSEENDS_CACHE", str(tmp_path_factory.mktemp("tables")))
    with served_bay(tmp_path_factory.mktemp("bay"), AdvisingStub()) as link:
        context = tablet(chromium)
        page = context.new_page()
        page.goto(link)
        yield page.url.rstrip("/"), context.storage_state()
        context.close()


@pytest.fixture
def device(chromium: Browser, bay: tuple[str, Any]) -> Iterator[BrowserContext]:
    """A tablet that holds nothing yet, in the hands of somebody signed in."""
    context = tablet(chromium, has_touch=True, storage_state=bay[1], base_url=bay[0])
    yield context
    context.close()


@pytest.fixture
def page(device: BrowserContext) -> Iterator[Page]:
    """A page that must tell of no fault, but that there is no connection."""
    found = device.new_page()
    told: list[str] = []
    found.on("pageerror", lambda error: told.append(str(error)))
    yield found
    assert told == []


def new_visit(page: Page, language: str = "en", plate: str = "TAB 1") -> str:
    """The address of a pickup that was taken in with a complaint and may be raised."""
    page.goto("/intake")
    page.locator("details.menu summary").click()
    page.locator(f'button[name="language"][value="{language}"]').click()
    page.wait_for_load_state()
    page.locator("#vehicle").select_option("yard-pickup")
    page.locator("#complaint").fill("It wanders and knocks on small bumps")
    page.locator("#plate").fill(plate)
    page.locator("button.main").click()
    page.locator('button[name="found"][value="sound"]').click()
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


def held(page: Page, visit: str) -> None:
    """Wait until the device holds the visit's pages, and the worker that gives them."""
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    path = visit[visit.index("/visits") :] + "/plan"
    page.wait_for_function("async path => Boolean(await caches.match(path))", arg=path)


def all_sent(page: Page) -> None:
    expect(page.locator("details.outbox")).to_be_hidden()
    page.wait_for_function(f"async () => !(await ({WAITING})()).length")


def look(page: Page, name: str) -> None:
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}.png")


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_complaint_first_visit_takes_at_most_sixty_touches_from_the_list_to_enough(page: Page, language: str) -> None:
    visit = new_visit(page, language, f"SIXTY {language}")
    page.goto("/")
    touches = 0

    def touch(place: Locator) -> None:
        nonlocal touches
        place.tap()
        touches += 1

    touch(page.locator(".line", has_text=f"SIXTY {language}"))
    touch(page.locator('.ways a[href$="/sheet"]'))
    expect(page.locator("#check-name")).not_to_be_empty()
    look(page, f"sheet-first-{language}")
    touch(page.locator("#watches li").nth(2).locator('[data-grade="clear"]'))
    touch(page.locator('[data-way="gauge"]'))
    touch(page.locator("#watches li").nth(3).locator("button"))
    for key in ("0", ".", "4"):
        touch(page.locator(f'[data-key="{key}"]'))
    look(page, f"sheet-pad-{language}")
    touch(page.locator("#pad .main"))
    touch(page.locator('[data-way="hidden"]'))
    touch(page.locator("#watches li").nth(4).locator("button"))
    touch(page.locator("#hiders button").nth(1))
    touch(page.locator("#nothing-moved"))
    with page.expect_file_chooser() as chooser:
        touch(page.locator("#take-photo"))
    chooser.value.set_files(photo())  # type: ignore[arg-type]
    expect(page.locator("#recorded")).to_contain_text(RECORDED[language])
    for advised, way in (("bj-axial.arm.left", "by gauge"), ("bj-axial.arm.right", "none"), ("idler.arm", "all")):
        expect(page.locator("#next-reason")).not_to_be_empty()
        expect(page.locator("#next-how")).to_have_text("")
        touch(page.locator("#go"))
        page.wait_for_url(f"**#{advised}*")
        if way == "by gauge":
            touch(page.locator('[data-way="gauge"]'))
            touch(page.locator("#watches li").first.locator("button"))
            for key in ("1", ".", "8"):
                touch(page.locator(f'[data-key="{key}"]'))
            touch(page.locator("#pad .main"))
        elif way == "none":
            touch(page.locator("#watches li").first.locator('[data-grade="none"]'))
        touch(page.locator("#nothing-moved"))
        expect(page.locator("#nothing-moved")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#go")).to_be_hidden()
    expect(page.locator("#next-name")).not_to_be_empty()
    look(page, f"sheet-enough-{language}")
    all_sent(page)
    found = observations(page, visit)
    assert touches <= MOST_TOUCHES, touches
    assert len(found) >= LEAST_OBSERVATIONS
    assert [one["width_px"] for one in photos(page, visit)] == [2048]
    read = [one["payload"]["reading"] for one in found if one["kind"] == "reading"]
    assert [(one["by"], one["grade"], one["gauge_mm"]) for one in read] == [
        ("hand", "clear", None),
        ("gauge", None, 0.4),
        ("gauge", None, 1.8),
        ("hand", "none", None),
    ]


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


def test_a_double_tap_records_once(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.locator("#watches li").first.locator('[data-grade="slight"]').dblclick()
    page.locator("#nothing-moved").dblclick()
    expect(page.locator("#nothing-moved")).to_have_attribute("aria-pressed", "true")
    all_sent(page)
    assert [one["kind"] for one in observations(page, visit)] == ["check", "reading", "check"]


def test_another_grade_corrects_and_undo_takes_the_last_back_then_the_one_before(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    grade(page, 0, "slight")
    first = page.locator("#watches li").first
    first.locator('[data-grade="gross"]').tap()
    expect(first.locator(".found")).to_contain_text("gross")
    page.locator("#undo").tap()
    expect(first.locator(".found")).to_contain_text("slight")
    page.wait_for_timeout(700)
    page.locator("#undo").tap()
    expect(first.locator(".found")).to_be_empty()
    expect(page.locator("#undo")).to_be_hidden()
    all_sent(page)
    found = observations(page, visit)
    assert [one["kind"] for one in found] == ["check", "reading", "reading", "reading", "withdrawn", "withdrawn"]
    page.reload()
    expect(page.locator("#watches li").first.locator(".found")).to_be_empty()


def test_back_goes_to_the_check_before_with_what_was_recorded(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    grade(page, 2, "clear")
    name = page.locator("#check-name").inner_text()
    page.locator("#go").tap()
    expect(page.locator("#check-name")).not_to_have_text(name)
    page.go_back()
    expect(page.locator("#check-name")).to_have_text(name)
    expect(page.locator("#watches li").nth(2)).to_have_class("read")


@pytest.mark.parametrize(
    ("typed", "unit", "mm"), [("1,4", "mm", 1.4), ("0,055", "in", 1.397), (".06", "in", 1.524), ("2", "mm", 2.0)]
)
def test_a_reading_is_typed_with_comma_or_point_in_either_unit(page: Page, typed: str, unit: str, mm: float) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.left.held.off")
    page.locator('[data-way="gauge"]').tap()
    page.locator("#watches li").first.locator("button").tap()
    page.locator(f'[data-unit="{unit}"]').tap()
    page.locator("#pad-reading").fill(typed)
    page.locator("#pad .main").tap()
    expect(page.locator("#watches li").first).to_have_class("read")
    all_sent(page)
    (reading,) = [one["payload"]["reading"] for one in observations(page, visit) if one["kind"] == "reading"]
    assert reading["gauge_mm"] == pytest.approx(mm)


@pytest.mark.parametrize(("reading", "free", "said"), [("1.4.2", "", "number"), ("140", "", "25"), ("1", "2", "1 mm")])
def test_what_no_gauge_shows_is_not_recorded_and_the_pad_says_why(
    page: Page, reading: str, free: str, said: str
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.left.held.off")
    page.locator('[data-way="gauge"]').tap()
    page.locator("#watches li").first.locator("button").tap()
    page.locator("#pad-reading").fill(reading)
    page.locator("#pad-free").fill(free)
    page.locator("#pad .main").tap()
    expect(page.locator("#pad-mistake")).to_contain_text(said)
    assert observations(page, visit) == []


def test_a_check_that_is_left_out_asks_why_and_is_not_advised_again(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.locator("#leave-out").tap()
    look(page, "sheet-why")
    page.locator("#skip-words").fill("seat belt warden parked on it")
    page.locator("#skip .main").tap()
    expect(page.locator("#recorded")).to_contain_text("warden")
    all_sent(page)
    (one,) = observations(page, visit)
    assert (one["kind"], one["payload"]) == (
        "not-checked",
        {"part": "wheel39", "because": "seat belt warden parked on it"},
    )
    expect(page.locator("#next-name")).not_to_contain_text("3 and 9")


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
    assert [one["kind"] for one in observations(page, visit)] == ["check", "reading"] * 2
    other.close()


def test_every_part_of_the_plan_opens_by_a_touch_near_its_mark(page: Page) -> None:
    visit = new_visit(page)
    page.goto(f"{visit}/plan")
    expect(page.locator("#stand")).to_be_empty()
    for part in ("lower-ball-joint-left", "idler-arm", "rear-shock-absorber-right", "pitman-ball"):
        mark = page.locator(f'.picture g.part[data-part="{part}"]')
        if not mark.count():
            continue
        box = mark.bounding_box()
        assert box is not None
        page.touchscreen.tap(box["x"] + box["width"] / 2 + 3, box["y"] + box["height"] / 2 - 2)
        expect(page.locator(f'#parts [data-part="{part}"]')).to_have_attribute("aria-pressed", "true")
        expect(page.locator("#part-known")).not_to_be_empty()
        page.evaluate("scrollTo(0, 0)")
    look(page, "plan-part")


def test_the_plan_is_moved_and_zoomed_and_turned_over(page: Page) -> None:
    page.goto(f"{new_visit(page)}/plan")
    drawing = page.locator(".picture svg")
    whole = drawing.get_attribute("viewBox")
    page.locator("#nearer").tap()
    nearer = drawing.get_attribute("viewBox")
    assert nearer != whole
    box = drawing.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 200, box["y"] + 200)
    page.mouse.down()
    page.mouse.move(box["x"] + 260, box["y"] + 240, steps=4)
    page.mouse.up()
    assert drawing.get_attribute("viewBox") != nearer
    expect(page.locator("#part")).to_be_hidden()  # moving is no touch
    page.locator("#whole").tap()
    place = '.picture g.part[data-part="lower-ball-joint-left"]'
    below = page.locator(place).bounding_box()
    page.locator("#turn").tap()
    above = page.locator(place).bounding_box()
    assert below is not None and above is not None
    middle = box["x"] + box["width"] / 2
    assert below["x"] > middle > above["x"]
    expect(page.locator("#side-left")).to_have_text("vehicle’s left side")


@pytest.mark.parametrize("language", ["en", "es"])
def test_sheet_and_plan_have_no_fault_for_a_screen_reader_and_everything_is_in_reach(page: Page, language: str) -> None:
    visit = new_visit(page, language)
    open_sheet(page, visit)
    grade(page, 0, "clear")
    page.locator("#others summary").click()
    page.locator("#do summary").click()
    assert faults(page) == []
    assert reach(page) == []
    for opened, closed in (("#leave-out", "#skip [data-close]"),):
        page.locator(opened).click()
        assert faults(page) == []
        page.locator(closed).first.click()
    page.locator('[data-way="gauge"]').click()
    page.locator("#watches li").first.locator("button").click()
    assert faults(page) == []
    page.goto(f"{visit}/plan")
    page.locator("#parts button").first.click()
    expect(page.locator("#part-known")).not_to_be_empty()
    look(page, f"plan-{language}")
    assert faults(page) == []
    assert reach(page) == []


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
