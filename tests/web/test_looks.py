"""Looks on the sheet (by eye, hand and wrench): their cards, what a touch records, and the advice that names them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from looseends.catalogue import load_catalogue
from looseends.diagnosis.judge import Standing
from looseends.diagnosis.looked import load_looks
from looseends.diagnosis.shop import Shop
from looseends.diagnosis.store import TableStore
from looseends.inspection.types import ConditionSeen, Suspect, Unproven
from looseends.language import ENGLISH, Speech
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.bay.answer import answer_of
from looseends.web.bay.cards import cards_of, setups_with_cards
from looseends.web.judging import Judged, Judging
from looseends.web.preparing import Preparing
from tests.diagnosis.made_visits import taken_in, without_readings
from tests.diagnosis.test_looks import BEARING, REMEMBERS, absent
from tests.web.bay import faults, reach
from tests.web.sheet import WAITING, all_sent, held, look, new_visit, observations, open_sheet, photo, photos

VEHICLES = load_vehicles()
RUNABOUT = VEHICLES["harbour-runabout"]
LEAF, FASTENERS = "leaf.wheels.left.held.off", "fasteners.wheels.whole.held.off"
CLAMP, SPRING, SHACKLE = "u-bolt-clamp-left", "leaf-spring-left", "leaf-shackle-left"


@pytest.mark.parametrize("vehicle", VEHICLES.values(), ids=VEHICLES.keys())
@pytest.mark.parametrize("speech", [ENGLISH, Speech("es")], ids=["en", "es"])
def test_every_look_of_every_vehicle_has_a_card_with_what_counts_and_what_may_be_found(
    vehicle: Vehicle, speech: Speech
) -> None:
    found, conditions = cards_of(vehicle.id, speech, (), False), load_catalogue().conditions
    kinds = {kind for one in load_looks() for kind in one.kinds if one.shows_on(load_catalogue().part_kinds[kind])}
    looked: set[str] = set()
    for card in (card for card in found.setups if not found.views[card.view].strokes):
        check, watches = found.checks[str(card.setup["check"])], found.views[card.view].watches
        assert check.look_for and check.do and check.sound_shows and check.caution and not card.asks_gap
        for watch in watches:
            assert watch.part == watch.id and watch.where
            assert {conditions[name].id for name in watch.sees} <= set(found.seen_on[watch.id])
        looked |= {watch.id for watch in watches}
    assert looked == {part.id for part in vehicle.parts.values() if part.kind.id in kinds}


@pytest.fixture
def without_tables(monkeypatch: pytest.MonkeyPatch) -> None:
    """No part's standing is worked out but that one is unproven, which takes tables."""
    prove = Unproven(BEARING, "left strut top bearing", "", "mount", "wheels", "Feel it.")
    monkeypatch.setattr("looseends.web.judging.standing_of", lambda *_: Standing((), (), (prove,)))


def judged(*recorded: ConditionSeen) -> Judged:
    """The runabout whose steering keeps its last turn, as the bay judges it."""
    visit = taken_in("harbour-runabout", REMEMBERS, conditions=recorded)
    found = without_readings("harbour-runabout", (BEARING,), visit)
    return Judging(Preparing(TableStore(Path("none"))), Shop())._judged_of(found)


@pytest.mark.usefixtures("without_tables")
def test_the_sheet_is_advised_to_lay_a_hand_on_the_spring_and_has_the_card() -> None:
    answer = answer_of(judged(), RUNABOUT, setups_with_cards(RUNABOUT), ENGLISH)
    keys = {card.key for card in cards_of(RUNABOUT.id, ENGLISH, (), False).setups}
    assert answer.advice[0].key == "mount.wheels.left.free.off"
    assert {advice.key for advice in answer.advice} <= keys
    assert "strut top bearing" in answer.advice[0].reason
    assert answer.parts[BEARING].prove_key == "mount.wheels.left.free.off"


@pytest.mark.usefixtures("without_tables")
def test_what_only_a_look_shows_is_among_the_suspects_until_it_was_looked_at() -> None:
    right, name = "strut-mount-bearing-right", "Right strut top bearing"
    before = answer_of(judged(), RUNABOUT, setups_with_cards(RUNABOUT), ENGLISH)
    after = answer_of(judged(absent(right, "mount-bearing-binds")), RUNABOUT, (), ENGLISH)
    assert any(said.startswith(name) for said in before.suspects) and before.parts[right].chance > 0.05
    assert not any(said.startswith(name) for said in after.suspects) and after.parts[right].chance == 0.0
    # beside a likelier one it stands behind it
    standing = Standing((), (Suspect(BEARING, "left strut top bearing", 0.9, 0.1),), ())
    both = answer_of(replace(judged(), standing=standing), RUNABOUT, (), ENGLISH)
    assert [said[:4] for said in both.suspects][:2] == ["Left", "Righ"]


def conditions_of(page: Page, visit: str) -> dict[tuple[str, str], bool]:
    """What the server's record says of each condition now, by part."""
    found = observations(page, visit)
    corrected = {one["supersedes"] for one in found}
    last = [one for one in found if one["id"] not in corrected and one["kind"] == "condition"]
    return {(one["payload"]["part"], one["payload"]["condition"]): one["payload"]["present"] for one in last}


def said(page: Page, at: int, what: str) -> Locator:
    return page.locator("#watches li").nth(at).locator(f'[data-look="{what}"]')


@pytest.mark.browser
def test_a_look_is_recorded_in_two_touches_taken_back_in_one_and_goes_on_without_a_connection(
    page: Page, device: BrowserContext
) -> None:
    visit = new_visit(page)
    open_sheet(page, visit, LEAF)
    expect(page.locator("#by")).to_be_hidden()
    expect(page.locator("#check-do")).to_be_visible()
    expect(page.locator("#strokes li").first).to_have_text("leaf cracked, broken, missing or shifted")
    expect(page.locator("#check-caution")).to_contain_text("stored energy")
    names = page.locator("#watches .what b").all_inner_texts()
    clamp = names.index("left U-bolt clamp")
    said(page, clamp, "found").tap()  # one
    expect(page.locator("#seen-title")).to_have_text("left U-bolt clamp")
    page.locator('#seen [data-condition="u-bolt-insecure"]').tap()  # two
    expect(page.locator("#recorded")).to_have_text("Recorded: left U-bolt clamp, seen: U-bolt loose, broken or missing")
    expect(said(page, clamp, "found")).to_have_attribute("aria-pressed", "true")
    page.locator("#photo").set_input_files(photo())  # type: ignore[arg-type]
    expect(page.locator("#thumbnails li")).to_have_count(1)
    all_sent(page)
    assert conditions_of(page, visit) == {(CLAMP, "u-bolt-insecure"): True}
    (seen,) = observations(page, visit)
    assert photos(page, visit)[0]["observation"] == seen["id"]

    held(page, visit)
    device.set_offline(True)
    page.reload()
    expect(said(page, clamp, "found")).to_have_attribute("aria-pressed", "true")
    page.locator("#nothing-moved").tap()  # all but what was found, in one touch
    expect(page.locator("#recorded")).to_have_text("Recorded: 2 parts: looked at, nothing found")
    expect(page.locator("#watches li.read")).to_have_count(3)
    assert len(page.evaluate(WAITING)) == 5
    page.locator("#undo").tap()
    expect(page.locator("#watches li.read")).to_have_count(1)
    said(page, names.index("left leaf spring"), "unseen").tap()
    expect(page.locator("#recorded")).to_have_text("Recorded: left leaf spring, could not be seen")
    said(page, names.index("left leaf spring"), "nothing").tap()  # seen after all
    expect(page.locator("#recorded")).to_have_text("Recorded: left leaf spring: looked at, nothing found")
    page.wait_for_timeout(700)  # a touch of the same button within 600 ms is the same finger
    page.locator("#undo").tap()
    expect(said(page, names.index("left leaf spring"), "unseen")).to_have_attribute("aria-pressed", "true")
    said(page, names.index("left leaf spring shackle"), "nothing").tap()
    look(page, "sheet-look-offline")
    device.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    found = conditions_of(page, visit)
    assert {part for part, _ in found if part == SPRING} == set()
    assert {present for (part, _), present in found.items() if part == SHACKLE} == {False}
    unseen = [one for one in observations(page, visit) if one["kind"] == "not-checked"]
    assert [(one["payload"]["part"], one["payload"]["because"]) for one in unseen][-1] == (SPRING, "could not be seen")


@pytest.mark.browser
def test_a_look_in_spanish_is_read_by_a_screen_reader_and_within_reach_of_a_thumb(page: Page) -> None:
    visit = new_visit(page, "es", "REV 1")
    open_sheet(page, visit, FASTENERS)
    expect(page.locator("#nothing-moved")).to_have_text("Se revisó todo esto, no se halló nada")
    page.locator("#nothing-moved").tap()
    expect(page.locator("#recorded")).to_have_text("Anotado: 7 piezas: se revisó, no se halló nada")
    said(page, 0, "found").tap()
    look(page, "sheet-look-es")
    assert faults(page) == []
    page.locator("#seen [data-close]").tap()
    assert faults(page) == [] and reach(page) == []


@pytest.mark.browser
def test_boots_looked_at_are_told_in_one_touch_and_a_torn_one_in_one_more(page: Page) -> None:
    visit = new_visit(page, plate="BOOT 1")
    open_sheet(page, visit, "boots.wheels.whole.held.off")
    boots = page.locator("#watches li").count()
    assert boots >= 10
    expect(page.locator('[data-look="unseen"]')).to_have_count(0)  # the joint itself may still be gripped
    page.locator("#nothing-moved").tap()
    expect(page.locator("#recorded")).to_have_text(f"Recorded: {boots} parts: looked at, nothing found")
    name = page.locator("#watches .what b").nth(1).inner_text()
    said(page, 1, "found").tap()
    expect(page.locator("#recorded")).to_have_text(f"Recorded: {name}, seen: boot torn or off")
    expect(page.locator("#seen")).to_be_hidden()
    look(page, "sheet-boots")
    all_sent(page)
    found = conditions_of(page, visit)
    assert len(found) == boots and list(found.values()).count(True) == 1
    assert faults(page) == [] and reach(page) == []
    page.goto(f"{visit}/plan")
    page.locator('#parts [data-part="outer-tie-rod-end-left"]').tap()
    page.locator("#part-known details summary").tap()
    expect(page.locator('#part-known a[href*="#boots."]').first).to_be_visible()
