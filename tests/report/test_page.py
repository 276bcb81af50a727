"""The handover page: everything said, nothing fetched, text stays text, legible in both schemes."""

import dataclasses
import itertools
import re
from html.parser import HTMLParser

import pytest

from looseends.inspection.types import Judgement
from looseends.report import PlanGeometry, PlanPart, handover_html
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan

HOSTILE = '<script>alert("x")</script> {{ 7*7 }} #panic("typst") $x$ & \x00 \ud800 ]]>'


class Outline(HTMLParser):
    """Tags, headings, attributes and text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.text: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def page(judgement: Judgement | None = None) -> str:
    return handover_html(judgement or yard_pickup_judgement(), yard_pickup_plan(), VOCABULARY)


def words(judgement: Judgement | None = None) -> str:
    return " ".join(" ".join(Outline(page(judgement)).text).split())


def test_every_finding_is_told_with_what_shows_it_and_what_to_do() -> None:
    said = words()
    for finding in yard_pickup_judgement().findings:
        assert finding.name in said
        for text in (finding.summary, finding.effect, finding.advice, *(g.words for g in finding.grounds)):
            assert text in said


def test_the_annex_holds_what_a_stranger_needs_to_repeat_it() -> None:
    said = words()
    for needed in (
        "Pry-bar lift of the lower ball joint",
        "lower arm on a stand",
        "stand 20 mm inboard of the ball joint",
        "Gap at the rebound stop: 4 mm",
        "1.4 mm, by gauge (read twice)",
        "Done by Ines Marlow",
        "common practice: confirm with the maker’s limit",
        "49 CFR 570.7(b)",
        "86 %",
        "above 99 %",
        "no road test",
        "could not show",
        "contradiction",
        "It is the only check that can show",
        "The torsion bar is loaded",
        "Received by (owner or driver), date",
    ):
        assert needed.lower() in said.lower(), needed


def test_the_gravest_comes_first_and_only_unsafe_carries_the_hazard_sign() -> None:
    body = page()
    assert body.index("is-unsafe") < body.index("finding is-replace") < body.index("finding is-plan")
    assert body.count('class="hazard"') == 1
    calm = dataclasses.replace(
        yard_pickup_judgement(),
        findings=tuple(f for f in yard_pickup_judgement().findings if f.verdict != "unsafe"),
    )
    assert 'class="hazard"' not in page(calm)
    assert "Do not drive it" in words() and "Do not drive it" not in words(calm)


def test_links_lead_to_what_is_on_the_page() -> None:
    outline = Outline(page())
    ids = [value for name, value in outline.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    targets = [value for name, value in outline.attributes if name == "href"]
    assert "#check-3" in targets and "#condition-1" in targets
    assert all(target[0] == "#" and target[1:] in ids for target in targets)


def test_nothing_is_fetched_and_nothing_runs() -> None:
    body = page()
    outline = Outline(body)
    assert not {"script", "link", "img", "iframe", "object", "form"} & set(outline.tags)
    assert not [name for name, _ in outline.attributes if name in ("src", "srcset", "action") or name[:2] == "on"]
    style = body[body.index("<style>") : body.index("</style>")]
    assert "@import" not in style
    assert set(re.findall(r"url\((\w+:)", style)) == {"data:"}
    assert set(re.findall(r"https?://[^\s\"']+", body)) == {"http://www.w3.org/2000/svg"}  # a name, not a fetch


def test_user_text_stays_text() -> None:
    judgement = yard_pickup_judgement()
    hostile = dataclasses.replace(
        judgement,
        vehicle_name=HOSTILE,
        visit=dataclasses.replace(judgement.visit, customer=HOSTILE, complaint=HOSTILE),
        findings=tuple(dataclasses.replace(f, summary=HOSTILE, name=HOSTILE) for f in judgement.findings),
    )
    body = page(hostile)
    assert "<script" not in body and "\x00" not in body
    body.encode()
    assert '<script>alert("x")</script> {{ 7*7 }} #panic("typst") $x$ &' in words(hostile)


def test_headings_descend_without_a_gap_and_the_language_is_named() -> None:
    outline = Outline(page())
    levels = [int(tag[1]) for tag in outline.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))
    assert ("lang", "en") in outline.attributes


def luminance(color: str) -> float:
    """Relative luminance of a hex color (WCAG 2.2)."""
    channels = (int(color[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_text_and_marks_have_the_contrast_in_both_schemes() -> None:
    schemes = re.findall(r"--ink: (#\w{6}); --paper: (#\w{6}); --accent: (#\w{6})", page())
    assert len(schemes) == 2
    for ink, paper, accent in schemes:
        assert contrast(ink, paper) >= 7
        assert contrast(accent, paper) >= 3  # the accent only underlines and outlines


def test_a_part_that_is_not_drawn_is_named_beside_the_plan() -> None:
    small = PlanGeometry((), (PlanPart("idler-arm", "idler arm bracket", (10, -330), "idler-arm"),), (), 1900, 1000)
    body = handover_html(yard_pickup_judgement(), small)
    assert re.search(r"Not on the drawing: [^<]*left lower ball joint", body)


@pytest.mark.parametrize("exceeded", [True, False])
def test_a_limit_of_the_whole_linkage_reaches_the_first_page_when_it_is_exceeded(exceeded: bool) -> None:
    judgement = yard_pickup_judgement()
    system = (dataclasses.replace(judgement.system_findings[0], exceeded=exceeded),)
    body = page(dataclasses.replace(judgement, system_findings=system))
    customer = body[: body.index('class="annex"')]
    assert ("Over the limit." in customer) == exceeded


def test_many_unproven_parts_are_named_in_front_and_explained_in_the_annex() -> None:
    judgement = yard_pickup_judgement()
    entry = judgement.unproven[0]
    many = tuple(dataclasses.replace(entry, part=f"p{i}", name=f"part {i}", why=f"reason {i}") for i in range(9))
    body = page(dataclasses.replace(judgement, unproven=many))
    customer, annex = body.split('<section class="annex">')
    assert "part 0, part 1, part 2" in customer and "reason 3" not in customer.lower()
    assert all(f"Reason {i}." in annex for i in range(9))
    assert "Nine parts are unproven" in customer
