"""A complaint-first visit of the example pickup with the real model, followed until the tool says enough."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import unquote

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from looseends.diagnosis import TableStore, prepare_tables
from looseends.diagnosis.shop import Shop
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.setup import Setup
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Preparing
from tests.web.bay import served_bay, tablet
from tests.web.sheet import all_sent, look, new_visit, observations, photo, photos

pytestmark = pytest.mark.browser

MOST_TOUCHES, LEAST_OBSERVATIONS = 60, 8
SETUPS = (
    Setup("bj-axial", "arm", "left", "held", "off", 0.0),
    Setup("bj-axial", "arm", "right", "held", "off", 0.0),
    Setup("wheel39", "arm", "left", "held", "off", 0.0),
)
"""As many as can be computed in a test's time; with all 52 usual ones it took 45 touches for 22 checks."""
LOOSE = "left outer tie-rod end"


@pytest.fixture(scope="module")
def real_bay(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A tablet at a bay that judges by real tables, as if these setups were all that are usual."""
    vehicle, tables = load_vehicles()["yard-pickup"], TableStore(tmp_path_factory.mktemp("real-tables"))
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("LOOSEENDS_CACHE", str(tmp_path_factory.mktemp("none")))
        for name in ("diagnosis.inference.in_common.usual_setups", "web.judged.preparing.usual_setups_of"):
            patched.setattr(f"looseends.{name}", lambda _: SETUPS)
        prepare_tables(vehicle, store=tables, setups=SETUPS)
        with served_bay(tmp_path_factory.mktemp("real"), Judging(Preparing(tables), Shop())) as link:  # type: ignore[arg-type]
            context = tablet(chromium, has_touch=True, base_url=link[: link.index("/", 8)])
            page = context.new_page()
            page.goto(link)
            yield page
            context.close()


def test_following_the_next_check_until_enough_takes_at_most_sixty_touches_with_eight_records_and_a_photo(
    real_bay: Page,
) -> None:
    page = real_bay
    visit = new_visit(page, plate="SIXTY REAL")
    page.goto("/")
    touches = 0

    def touch(place: Locator) -> None:
        nonlocal touches
        place.tap()
        touches += 1

    touch(page.locator(".line", has_text="SIXTY REAL"))
    touch(page.locator('.ways a[href$="/sheet"]'))
    expect(page.locator("#check")).to_be_visible()
    done: list[str] = []
    taken = False
    while True:
        expect(page.locator("#next-how")).to_have_text("")
        here = page.evaluate("location.href")  # page.url hears of it later
        done.append(here.split("#")[1])
        expect(page.locator("#check")).to_have_attribute("data-open", unquote(done[-1]))  # shown after it is named
        if page.locator("#stop").is_visible() and not page.locator("#stop-found").inner_text():
            touch(page.locator('[data-stop="measured"]'))
            for key in ("1", "2"):
                touch(page.locator(f'[data-key="{key}"]'))
            touch(page.locator("#pad .main"))
        looked = page.locator("#watches [data-look]").count() > 0
        if looked:
            pass  # one touch says that nothing was found on any of them
        elif page.locator("#watches li", has_text=LOOSE).count():
            touch(page.locator("#watches li", has_text=LOOSE).locator('[data-grade="clear"]'))
        else:
            touch(page.locator('[data-way="gauge"]'))
            touch(page.locator("#watches li button").first)
            for key in ("0", ".", "2"):
                touch(page.locator(f'[data-key="{key}"]'))
            touch(page.locator("#pad .main"))
        if not looked and not taken:
            taken = True
            with page.expect_file_chooser() as chooser:
                touch(page.locator("#take-photo"))
            chooser.value.set_files(photo())  # type: ignore[arg-type]
        touch(page.locator("#nothing-moved"))
        page.wait_for_function(
            "here => location.href !== here || !document.getElementById('next-how').textContent"
            " && document.getElementById('next-name').textContent.includes('nough')",
            arg=here,
        )
        if page.evaluate("location.href") == here:
            break
    look(page, "sheet-real-enough")
    expect(page.locator("#next-name")).to_contain_text("nough")
    all_sent(page)
    assert len(done) == len(set(done)) >= 3
    assert touches <= MOST_TOUCHES, touches
    assert len(observations(page, visit)) >= LEAST_OBSERVATIONS
    assert len(photos(page, visit)) == 1
