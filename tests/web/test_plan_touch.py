"""The underside plan under a finger: every mark in the open, brought to the middle, moved, zoomed, turned over."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from looseends.language import ENGLISH
from looseends.vehicle.loading import load_vehicles
from looseends.web.bay.plan_picture import plan_picture
from tests.web.bay import SIZES
from tests.web.sheet import look, new_visit

pytestmark = pytest.mark.browser


def test_a_part_of_the_plan_opens_by_a_touch_near_its_mark_with_all_of_it_shown_or_brought_to_the_middle(
    page: Page,
) -> None:
    visit = new_visit(page)
    page.goto(f"{visit}/plan")
    expect(page.locator("#stand")).to_be_empty()
    expect(page.locator("#weigh button").first).to_be_attached()
    for part, size in (("lower-ball-joint-left", "tablet"), ("rear-shock-absorber-right", "tablet on its side")):
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        for brought in ("#whole", "#middle"):
            page.locator(brought).tap()
            box = page.locator(f'.picture g.part[data-part="{part}"] g.mark').bounding_box()
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] / 2 + 2, box["y"] + box["height"] / 2 - 2)
            expect(page.locator(f'#parts [data-part="{part}"]')).to_have_attribute("aria-pressed", "true")
            expect(page.locator("#part-known")).not_to_be_empty()
            page.evaluate("scrollTo(0, 0)")
        look(page, f"plan-part-{size}")
        page.locator("#parts button").last.tap()  # another one, before the next size


TOUCHED = """async ([drawing, places]) => {
  const { PlanView } = await import("/static/bay/plan-view.js"), wrong = [];
  document.querySelector(".picture").innerHTML = drawing;
  const svg = document.querySelector(".picture svg"), view = new PlanView(svg, places);
  const under = part => {
    const box = svg.querySelector(`g.part[data-part="${part}"] g.mark`).getBoundingClientRect();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    return svg.contains(document.elementFromPoint(x, y)) && view.touched(x, y)[0] === part;
  };
  for (const part of Object.keys(places)) {
    view.show(view.whole);
    if (!under(part)) wrong.push(`${part} in all of it`);
    view.frame([places[part]], 130);
    if (!under(part)) wrong.push(`${part} in the middle`);
  }
  return wrong;
}"""


def test_every_mark_of_every_vehicle_lies_in_the_open_where_a_finger_means_no_other(page: Page) -> None:
    page.goto(f"{new_visit(page)}/plan")
    expect(page.locator("#stand")).to_be_empty()
    for size in ("tablet", "tablet on its side"):
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        tools = page.locator(".tools").bounding_box()
        assert tools is not None and tools["y"] + tools["height"] <= height
        for vehicle_id in load_vehicles():
            picture = plan_picture(vehicle_id, ENGLISH)
            wrong = page.evaluate(TOUCHED, [picture.svg, {part: list(at) for part, at in picture.places.items()}])
            assert wrong == [], f"{vehicle_id}, {size}"


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
