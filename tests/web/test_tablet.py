"""The check sheet and the underside plan on a tablet, by touch, in both languages."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.web.advice import AGAIN_PLATE
from tests.web.bay import faults, reach
from tests.web.sheet import (
    all_sent,
    grade,
    look,
    new_visit,
    observations,
    open_sheet,
    photo,
    photos,
)

pytestmark = pytest.mark.browser

MOST_TOUCHES, LEAST_OBSERVATIONS = 60, 8
RECORDED = {"en": "Recorded", "es": "Anotado"}


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
    touch(page.locator("#watches li").nth(4).locator('[data-grade="rust"]'))
    with page.expect_file_chooser() as chooser:
        touch(page.locator("#take-photo"))
    chooser.value.set_files(photo())  # type: ignore[arg-type]
    expect(page.locator("#recorded")).to_contain_text(RECORDED[language])
    expect(page.locator("#next-reason")).not_to_be_empty()
    touch(page.locator("#nothing-moved"))
    # all is passed by one touch, and the next check opens by itself
    for advised, way in (("bj-axial.arm.left", "by gauge"), ("bj-axial.arm.right", "none"), ("idler.arm", "all")):
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


def test_what_was_recorded_last_is_taken_back_after_a_reload_and_a_stub_of_it_stays(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.left.held.off")
    grade(page, 0, "clear")
    all_sent(page)
    page.goto(f"{visit}/sheet#wheel39.arm.left.held.off")
    page.reload()
    expect(page.locator("#recorded")).to_contain_text("clear")
    page.locator("#undo").tap()
    page.wait_for_url("**#bj-axial.arm.left*")  # the check that it belongs to
    expect(page.locator("#watches li").first.locator(".found")).to_be_empty()
    expect(page.locator("#undo")).to_be_hidden()
    all_sent(page)
    found = observations(page, visit)
    assert [one["kind"] for one in found] == ["check", "reading", "withdrawn", "withdrawn"]
    assert found[1]["payload"]["reading"]["grade"] == "clear"


def test_stop_hidden_part_and_condition_are_recorded_with_the_check_by_two_touches_each(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.locator('[data-stop="touching"]').tap()
    expect(page.locator("#stop-found")).to_contain_text("touches")
    page.locator('[data-stop="measured"]').tap()
    for key in ("1", "2", ".", "5"):
        page.locator(f'[data-key="{key}"]').tap()
    look(page, "sheet-stop")
    page.locator("#pad .main").tap()
    expect(page.locator("#stop-found")).to_contain_text("12.5 mm")
    for way, button in (("hidden", '[data-grade="grease"]'), ("seen", "button")):
        page.locator(f'[data-way="{way}"]').tap()
        page.locator("#watches li").nth(2).locator(button).tap()
    page.locator('#seen [data-condition="torn-boot"]').tap()
    expect(page.locator("#watches li .found").nth(2)).to_contain_text("torn")
    page.evaluate("location.hash = 'bj-axial.arm.left.held.off'")
    expect(page.locator("#stop-found")).to_contain_text("12.5 mm")  # the same stands stand there
    grade(page, 0, "slight")
    all_sent(page)
    found = {one["kind"]: one["payload"] for one in observations(page, visit)}
    gaps = [one["payload"]["stop_gap_mm"] for one in observations(page, visit) if one["kind"] == "check"]
    assert gaps == [0.0, 12.5, 12.5]
    assert found["hidden"]["hidden"]["by"] == "grease"
    assert found["condition"]["condition"] == "torn-boot"


def test_a_check_of_which_only_the_stop_was_looked_at_is_still_to_be_done(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.right.held.off")
    page.locator('[data-stop="open"]').tap()
    expect(page.locator("#stop-found")).to_contain_text("seen open")
    open_sheet(page, visit, "idler.arm.whole.held.off")
    expect(page.locator("#next-name")).not_to_be_empty()
    all_sent(page)
    (one,) = observations(page, visit)
    assert one["payload"]["stop_gap_mm"] is None and "not measured" in one["payload"]["note"]


def test_all_passed_by_one_touch_opens_the_next_check_by_itself_and_a_touch_meanwhile_stays(page: Page) -> None:
    visit = new_visit(page)
    open_sheet(page, visit)
    page.locator("#nothing-moved").tap()
    page.wait_for_url("**#bj-axial.arm.left*")
    page.locator("#watches li").first.locator('[data-grade="none"]').tap()
    page.locator("#check-name").tap()
    page.wait_for_timeout(2500)
    assert "#bj-axial.arm.left" in page.url


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


def test_what_is_seen_on_a_part_that_no_check_watches_is_recorded_on_the_plan(page: Page) -> None:
    visit = new_visit(page)
    page.goto(f"{visit}/plan")
    expect(page.locator("#stand")).to_be_empty()
    watched = {watch["part"] for view in handed(page)["cards"]["views"].values() for watch in view["watches"]}
    part = "center-link"
    assert part not in watched
    page.locator(f'#parts [data-part="{part}"]').tap()
    page.locator("#look").tap()
    look(page, "plan-seen")
    condition = page.locator("#seen [data-condition]").first.get_attribute("data-condition")
    page.locator(f'#seen [data-condition="{condition}"]').tap()
    expect(page.locator("#part-seen")).to_contain_text("seen: ")
    expect(page.locator("#recorded")).to_contain_text("Recorded: ")
    all_sent(page)
    look(page, "plan-seen-recorded")
    (one,) = observations(page, visit)
    seen = {"part": part, "condition": condition, "observer": one["payload"]["observer"], "note": "", "present": True}
    assert (one["kind"], one["payload"]) == ("condition", seen)
    page.locator("#look").tap()  # the same once more is nothing new
    page.locator(f'#seen [data-condition="{condition}"]').tap()
    page.context.set_offline(True)
    page.locator("#part-seen button").tap()
    expect(page.locator("#part-seen li")).to_have_count(0)
    expect(page.locator("#recorded")).to_contain_text("Taken back: ")
    page.context.set_offline(False)
    all_sent(page)
    found = observations(page, visit)
    assert [(again["kind"], again["supersedes"]) for again in found] == [("condition", None), ("withdrawn", one["id"])]


def handed(page: Page) -> dict[str, Any]:
    """What the page's script was given."""
    found: dict[str, Any] = page.evaluate("JSON.parse(document.getElementById('handed').textContent)")
    return found


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
    page.locator("#look").click()
    page.evaluate("scrollTo(0, 0)")  # no button half under the strip
    assert faults(page) == []
    page.locator("#seen [data-condition]").first.click()
    expect(page.locator("#part-seen button")).to_be_visible()
    page.evaluate("scrollTo(0, 0)")
    look(page, f"plan-seen-{language}")
    assert faults(page) == []
    assert reach(page) == []


def test_a_reading_that_decides_is_asked_for_again_on_a_card_of_its_own_and_both_stand(page: Page) -> None:
    visit = new_visit(page, plate=AGAIN_PLATE)
    open_sheet(page, visit)
    name = page.locator("#watches li b").nth(3).inner_text()
    grade(page, 3, "clear")
    expect(page.locator("#next-reason")).to_have_text("Do it again: it decides")
    expect(page.locator("#next-how")).to_have_text("")
    page.locator("#go").tap()
    page.wait_for_url("**#wheel39.arm.left.held.off+1")
    expect(page.locator("#watches li b").first).to_have_text(name)
    expect(page.locator("#watches li.read")).to_have_count(0)
    expect(page.locator("#next-reason")).not_to_have_text("Do it again: it decides")  # it is done here
    look(page, "sheet-again")
    grade(page, 0, "none")
    expect(page.locator("#go")).to_be_hidden()
    all_sent(page)
    found = observations(page, visit)
    assert [one["kind"] for one in found] == ["check", "reading", "check", "reading"]
    assert [one["payload"]["reading"]["grade"] for one in found if one["kind"] == "reading"] == ["clear", "none"]
    assert [one["supersedes"] for one in found] == [None] * 4
    page.reload()
    expect(page.locator("#watches li.read")).to_have_count(1)
