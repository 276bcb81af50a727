"""Sketches of supports and the ways of the weight: from the settled model, in words too, and without a connection."""

from __future__ import annotations

import re

import pytest
from litestar import Litestar
from playwright.sync_api import BrowserContext, Page, expect

from looseends.language import ENGLISH, Speech
from looseends.mechanics.constants import GRAVITY
from looseends.vehicle.loading import load_vehicles
from looseends.web.bay.load_lines import standings
from looseends.web.bay.supports import supports_shown
from tests.web.cast import Client, taken_in
from tests.web.sheet import held, look, new_visit, open_sheet

PICKUP = load_vehicles()["yard-pickup"]


def test_on_its_wheels_the_way_of_the_weight_begins_at_each_tire_with_what_the_corner_weighs() -> None:
    standing = standings("yard-pickup")["wheels"]
    for side in ("left", "right"):
        floor = PICKUP.point(f"tire-contact-{side}")
        ends = [(line.force, place) for line in standing.lines for place in (line.start, line.end)]
        at_tire = [force for force, place in ends if abs(place - floor).max() < 60.0]
        assert max(at_tire) == pytest.approx(PICKUP.numbers["front_corner_kg"] * GRAVITY, rel=0.01)


def test_hanging_the_spring_shuts_both_ball_joints_and_under_the_arms_it_leaves_them_open() -> None:
    shown = supports_shown("yard-pickup", ENGLISH)
    assert {joint.free for joint in shown["frame"].joints} == {False}
    assert {joint.free for joint in shown["arm"].joints} == {True}
    lower = {joint.part: joint.words for joint in shown["frame"].joints}["lower-ball-joint-left"]
    assert "shut by the spring against the stop" in lower and "pressed in" in lower


def test_a_sketch_has_a_stand_with_what_it_carries_where_the_model_has_one_and_says_all_in_words() -> None:
    shown = supports_shown("yard-pickup", ENGLISH)
    carried = {key: len(re.findall(r"↑ [\d ,]+N", support.picture)) for key, support in shown.items()}
    assert carried == {"wheels": 0, "arm": 2, "axle": 2, "frame": 0, "ride": 2}
    assert (shown["axle"].end, shown["arm"].end) == ("rear", "front")
    for support in shown.values():
        assert all(joint.words in support.picture for joint in support.joints)
    spanish = supports_shown("yard-pickup", Speech("es", "us"))["arm"].picture
    assert "lbf" in spanish and "eje delantero" in spanish


def test_the_address_of_a_visits_supports_speaks_the_readers_language(app: Litestar, technician: Client) -> None:
    found = technician.get(f"/visits/{taken_in(technician)}/supports").json()
    assert found["arm"]["name"] == "Held under the lower arms"
    assert len(found["arm"]["lines"]) > 10


@pytest.mark.browser
def test_sketch_and_way_of_the_weight_come_without_a_connection(page: Page, device: BrowserContext) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, "bj-axial.arm.left.held.off")
    expect(page.locator("#support-picture > svg")).to_be_visible()
    expect(page.locator("#support-joints li")).to_have_count(2)
    held(page, visit)
    device.set_offline(True)
    page.reload()
    expect(page.locator("#support-picture > svg")).to_be_visible()
    page.goto(f"{visit}/plan")
    page.locator('#weigh [data-support="frame"]').tap()
    expect(page.locator(".overlay polygon.load").first).to_be_visible()
    expect(page.locator("#carried")).to_contain_text("shut by the spring")
    look(page, "plan-weight")
    page.locator('#weigh [data-support=""]').tap()
    expect(page.locator(".overlay .load")).to_have_count(0)
