"""Names and words as people write them: from right to left, with apostrophes, long, and what is then on each page."""

from __future__ import annotations

import html
from html.parser import HTMLParser

import pytest
from litestar import Litestar

from looseends.web.accounts.access import ROLES
from tests.web.cast import Client, JudgingOfStored, send, signed_in, taken_in

HEBREW = "נועם ברק (2)"
ARABIC = "لا يثبت في الطريق (150)"
LONG = "Wilhelmina-Alexandra Oyelaran-Featherstonehaugh, Saltmarsh Slip harbour provisio"
APOSTROPHES = 'Siobhán O\'Dell-D’Arcy & "Sons" <i>'
PAGES = ("", "/sheet", "/plan", "/findings", "/handover", "/handover/document", "/compare", "/erase")
_VOID = ("area", "br", "col", "hr", "img", "input", "link", "meta", "path", "rect", "circle", "use")


class Around(HTMLParser):
    """Where words stand on a page: what is around each place, outermost first, and whether it keeps its direction."""

    def __init__(self, words: str) -> None:
        super().__init__(convert_charrefs=True)
        self.words = words
        self.open: list[tuple[str, bool]] = []
        self.places: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        apart = tag == "bdi" or given.get("dir") == "auto"
        if self.words in (given.get("value") or ""):
            self.places.append((tag, apart))
        if tag not in _VOID:
            self.open.append((tag, apart))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self.words in data and not any(tag in ("title", "script") for tag, _ in self.open):
            isolated = f"⁨{self.words}⁩" in data
            self.places.append((self.open[-1][0], isolated or any(apart for _, apart in self.open)))


def places(page: str, words: str) -> list[tuple[str, bool]]:
    """Each place of the words on a page, and whether they keep their direction to themselves there."""
    around = Around(words)
    around.feed(page)
    return around.places


@pytest.fixture
def judged(app: Litestar) -> Litestar:
    """The shop, where everything is judged at once."""
    app.state.judging = JudgingOfStored()
    return app


@pytest.mark.parametrize("words", [HEBREW, ARABIC])
def test_a_name_from_right_to_left_turns_nothing_around_it_on_any_page(judged: Litestar, words: str) -> None:
    with signed_in(judged, "owner") as owner:
        visit = taken_in(owner, customer=words, complaint=words, plate=words[:4] + "7")
        assert send(owner, "/people", name=words, role=ROLES[1], password="four worn tires stacked")[0] == 200
        pages = {"/": owner.get("/").text, "/people": owner.get("/people").text}
        pages |= {page: owner.get(f"/visits/{visit}{page}").text for page in PAGES}
    found = {name: places(page, words) for name, page in pages.items()}
    assert {name for name, at in found.items() if at} >= {"/", "/people", "", "/handover/document", "/erase"}
    assert [(name, tag) for name, at in found.items() for tag, apart in at if not apart] == []


def test_a_technician_whose_name_runs_from_right_to_left_signs_without_turning_the_sentence(app: Litestar) -> None:
    from looseends.language import AsWritten, Speech, say

    sentence = say("Signed by {who}, {date}.", who=AsWritten(HEBREW), date="9")
    assert Speech("es").words(sentence).endswith(f"⁨{HEBREW}⁩, 9.")
    assert say("{who}", who=AsWritten("Tom Orrin")) == "Tom Orrin"


@pytest.mark.parametrize("name", [APOSTROPHES, LONG])
def test_a_name_of_80_characters_or_with_apostrophes_stands_whole_on_every_page(judged: Litestar, name: str) -> None:
    with signed_in(judged, "owner") as owner:
        visit = taken_in(owner, customer=name)
        for page in ("/", f"/visits/{visit}", f"/visits/{visit}/erase", f"/visits/{visit}/handover/document"):
            text = owner.get(page).text
            assert name in html.unescape(text), page
            assert "<i>" not in text


def test_a_long_name_is_kept_whole_and_a_longer_one_is_refused_not_cut(technician: Client) -> None:
    assert len(LONG) == 80
    status, page = send(technician, "/intake", vehicle="yard-pickup", customer="x" * 201, visit_id="")
    assert status == 400
    assert "x" * 201 in page or "200" in page
