"""Looks on the sheet (by eye, hand and wrench): their cards, what a touch records, and the advice that names them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from looseends.catalogue import load_catalogue
from looseends.diagnosis.judge import Standing
from looseends.diagnosis.observed.looked import load_looks
from looseends.diagnosis.shop import Shop
from looseends.diagnosis.tables.store import TableStore
from looseends.inspection.types import ConditionSeen, Suspect, Unproven
from looseends.language import ENGLISH, Speech
from looseends.vehicle.loading import load_vehicles
from looseends.vehicle.vehicle import Vehicle
from looseends.web.bay.answer import answer_of
from looseends.web.bay.cards import cards_of, setups_with_cards
from looseends.web.judged.judging import Judged, Judging
from looseends.web.judged.preparing import Preparing
from tests.diagnosis.made_visits import taken_in, without_readings
from tests.diagnosis.planning.test_looks import BEARING, REMEMBERS, absent
from tests.web.advice import LOOK_AGAIN_PLATE
from tests.web.bay import faults, reach, tablet
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
    monkeypatch.setattr("looseends.web.judged.judging.standing_of", lambda *_: Standing((), (), (prove,)))


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


def loose_clamp(page: Page, at: int) -> None:
    """The left clamp is found loose, in two touches."""
    said(page, at, "found").tap()
    page.locator('#seen [data-condition="u-bolt-insecure"]').tap()


def clamp_of(page: Page, speech: Speech = ENGLISH) -> int:
    """The clamp's place on the card."""
    name = speech.words(VEHICLES["yard-pickup"].parts[CLAMP].name)
    return page.locator("#watches .what b").all_inner_texts().index(name)


def looks_sent(page: Page, visit: str) -> list[tuple[int, bool]]:
    """Of every look at the clamp that stands: after how many of the same person, and whether something was found."""
    found = observations(page, visit)
    corrected = {one["supersedes"] for one in found}
    last = [one["payload"] for one in found if one["id"] not in corrected and one["kind"] == "condition"]
    return sorted({(one.get("again", 0), one["present"]) for one in last if one["part"] == CLAMP})


@pytest.mark.browser
def test_a_look_that_leaves_doubt_is_taken_again_on_a_card_of_its_own_and_both_stand(
    page: Page, device: BrowserContext
) -> None:
    visit = new_visit(page, plate=LOOK_AGAIN_PLATE)
    open_sheet(page, visit, LEAF)
    expect(page.locator("#look-again")).to_be_hidden()
    loose_clamp(page, clamp_of(page))
    said(page, 1 - min(clamp_of(page), 1), "nothing").tap()  # of another part there is no doubt
    expect(page.locator("#next-reason")).to_contain_text("Look again (")
    page.locator("#go").tap()
    page.wait_for_url(f"**#{LEAF}+1")
    expect(page.locator("#watches .what b")).to_have_text(["left U-bolt clamp"])
    expect(page.locator("#watches li.read")).to_have_count(0)
    expect(page.locator("#look-again")).to_contain_text("let somebody else look")
    page.locator("#watches").scroll_into_view_if_needed()
    look(page, "sheet-look-again")
    assert faults(page) == [] and reach(page) == []
    page.locator("#nothing-moved").tap()  # one touch
    expect(page.locator("#recorded")).to_have_text("Recorded: left U-bolt clamp: looked at again, nothing found")
    all_sent(page)
    assert looks_sent(page, visit) == [(0, True), (1, False)]
    assert {one["supersedes"] for one in observations(page, visit)} == {None}

    page.goto(f"{visit}/sheet#{LEAF}+1")
    page.reload()
    expect(page.locator("#watches li.read .what b")).to_have_text(["left U-bolt clamp"])
    expect(said(page, 0, "nothing")).to_have_attribute("aria-pressed", "true")
    page.goto(f"{visit}/plan")
    page.locator(f'#parts [data-part="{CLAMP}"]').tap()
    expect(page.locator("#part-seen")).to_contain_text("seen by Ines Calder: U-bolt loose, broken or missing")
    expect(page.locator("#part-seen")).to_contain_text("looked for by Ines Calder (looked again) and not there: ")
    look(page, "plan-look-again")

    page.goto(f"{visit}/sheet#{LEAF}+1")
    loose_clamp(page, 0)  # another word about the same look corrects it
    expect(said(page, 0, "found")).to_have_attribute("aria-pressed", "true")
    page.locator("#undo").tap()
    expect(said(page, 0, "nothing")).to_have_attribute("aria-pressed", "true")
    page.wait_for_timeout(700)  # a touch of the same button within 600 ms is the same finger
    page.locator("#undo").tap()
    expect(page.locator("#watches li.read")).to_have_count(0)
    all_sent(page)
    assert looks_sent(page, visit) == [(0, True)]
    page.goto(f"{visit}/sheet#{LEAF}")
    expect(said(page, clamp_of(page), "found")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#next-reason")).to_contain_text("Look again (")

    held(page, visit)
    device.set_offline(True)
    page.reload()
    expect(page.locator("#next-how")).to_contain_text("No connection")
    expect(page.locator("#next-why")).to_be_hidden()
    page.locator("#go").tap()
    page.wait_for_url(lambda address: LEAF not in address and "+" not in address)
    device.set_offline(False)


@pytest.mark.browser
def test_somebody_else_is_asked_to_look_too_and_what_both_say_stands(page: Page, chromium: Browser) -> None:
    visit = new_visit(page, "es", LOOK_AGAIN_PLATE)
    open_sheet(page, visit, LEAF)
    loose_clamp(page, clamp_of(page, Speech("es")))
    expect(page.locator("#next-reason")).to_contain_text("Revise otra vez (")
    page.locator("#go").tap()
    expect(page.locator("#look-again")).to_contain_text("que revise otra persona")
    page.locator("#watches").scroll_into_view_if_needed()
    look(page, "sheet-look-again-es")
    all_sent(page)

    other = somebody_else(page, chromium)
    other.goto(f"{visit}/sheet")
    other.wait_for_url(f"**#{LEAF}+0")
    expect(other.locator("#watches .what b")).to_have_text(["left U-bolt clamp"])
    expect(other.locator("#watches li.read")).to_have_count(0)
    expect(other.locator("#look-again")).to_contain_text("by somebody else")
    loose_clamp(other, 0)  # the same as the first found
    expect(other.locator("#recorded")).to_contain_text("seen: U-bolt loose")
    expect(other.locator("#next-name")).to_have_text("Enough is known to act.")
    all_sent(other)
    found = [one for one in observations(page, visit) if one["payload"].get("present")]
    assert [one["payload"].get("again", 0) for one in found] == [0, 0]
    assert len({one["account"] for one in found}) == 2 and {one["supersedes"] for one in found} == {None}
    other.goto(f"{visit}/plan")
    other.locator(f'#parts [data-part="{CLAMP}"]').tap()
    expect(other.locator("#part-seen")).to_contain_text("seen by Ines Calder: ")
    expect(other.locator("#part-seen")).to_contain_text("seen by Nilo Varga: ")
    other.context.close()


def somebody_else(page: Page, chromium: Browser) -> Page:
    """A tablet in the hands of a technician who is new."""
    home, word = page.url[: page.url.index("/visits")], "five cold stub axles"
    token = next(one["value"] for one in page.context.cookies() if one["name"] == "looseends-form")
    person = {"name": "Nilo Varga", "role": "technician", "password": word}
    made = page.request.post(f"{home}/api/people", data=person, headers={"x-csrftoken": token})
    assert made.status == 201
    other = tablet(chromium, has_touch=True, base_url=home).new_page()
    other.goto("/sign-in")
    other.locator('[name="name"]').fill(person["name"])
    other.locator('[name="password"]').fill(word)
    with other.expect_navigation():
        other.locator("button.main").click()
    return other
