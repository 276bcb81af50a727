"""The customer's one page: it stays one page, whatever is found, and says where the rest is."""

from __future__ import annotations

import dataclasses
import datetime
import io
import re

import pytest
from pypdf import PdfReader

from looseends.inspection.types import ConditionSeen, Finding, Grounds, Judgement, Reading
from looseends.language import ENGLISH, Language, Speech
from looseends.report import Enclosures, OwnerDecision, handover_html, handover_pdf
from looseends.report.findings_content import finding_text
from looseends.report.paper import Sheet
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan

LONG = "steering knuckle to relay lever intermediate connecting rod "
PAGES = [("en", "a4"), ("es", "a4"), ("en", "letter"), ("es", "letter")]


def with_findings(copies: int, name: str = "") -> Judgement:
    """The sample with its three graver findings so many times over, each under a name of its own."""
    judgement = yard_pickup_judgement()
    many = [
        dataclasses.replace(f, part=f"{f.part}-{i}", name=f"{name}{f.name} no. {i}")
        for i in range(copies)
        for f in judgement.findings[:3]
    ]
    return dataclasses.replace(judgement, findings=(*many, *judgement.findings[3:]))


def pages(judgement: Judgement, speech: Speech | None = None, sheet: Sheet = "a4", **enclosed: object) -> list[str]:
    enclosures = Enclosures(**enclosed)  # type: ignore[arg-type]
    file = handover_pdf(judgement, yard_pickup_plan(), VOCABULARY, speech or Speech(), enclosures, sheet)
    # A name may be broken at its hyphen.
    return [" ".join(page.extract_text().split()).replace("- ", "-") for page in PdfReader(io.BytesIO(file)).pages]


@pytest.mark.parametrize(("language", "sheet"), PAGES)
@pytest.mark.parametrize("copies", [1, 3, 8])
def test_the_page_stays_one_page_and_is_signed(copies: int, language: str, sheet: Sheet) -> None:
    judgement = with_findings(copies, LONG)
    complaint = dataclasses.replace(judgement.visit, complaint="It knocks and wanders. " * 80, place=LONG * 4)
    first, second, *_ = pages(dataclasses.replace(judgement, visit=complaint), Speech(language), sheet)  # type: ignore[arg-type]
    signed, seen_from_below = {
        "en": ("Received by (owner or driver), date", "seen from below"),
        "es": ("Recibió (dueño o conductor), fecha", "visto desde abajo"),
    }[language]
    assert signed in first and signed not in second
    assert seen_from_below in second


def with_unproven(copies: int, of: str = "") -> Judgement:
    """The sample with its sound parts alone, and its unproven ones so many times over, each under a name of its own."""
    judgement = yard_pickup_judgement()
    many = [
        dataclasses.replace(u, part=f"{u.part}{of}", name=f"{u.name} no. {i}")
        for i in range(copies)
        for u in judgement.unproven
    ]
    sound = tuple(f for f in judgement.findings if f.verdict == "sound")
    return dataclasses.replace(judgement, findings=sound, unproven=tuple(many))


@pytest.mark.parametrize(("language", "words"), [("en", "seen from below"), ("es", "visto desde abajo")])
def test_the_words_are_set_closer_for_the_plan_to_stand_on_the_first_page_in_either_language(
    language: Language, words: str
) -> None:
    where = [[words in page for page in pages(with_unproven(n), Speech(language))[:2]] for n in (1, 40, 90)]
    assert where == [[True, False], [True, False], [False, True]]


@pytest.mark.parametrize("language", ["en", "es"])
def test_where_the_plan_stands_elsewhere_the_words_are_as_large_as_the_page_has_room_for(language: Language) -> None:
    few, many = (letters_pt(with_unproven(n, "-not-on-the-plan"), Speech(language)) for n in (1, 90))
    assert (few, many) == (13.5, 10.0)


def test_a_browser_that_prints_the_page_has_the_words_and_the_signatures_before_the_plan() -> None:
    body = handover_html(yard_pickup_judgement(), yard_pickup_plan(), VOCABULARY)
    order = [
        body.index(f"{words}</h2>") for words in ("What is sound", "Signed", "Where it is", "how to read the verdicts")
    ]
    assert order == sorted(order)
    assert '<section class="where">' in body and ".where { break-inside: avoid; }" in body


def letters_pt(judgement: Judgement, speech: Speech) -> float:
    """The size in which most letters of the first page are set."""
    counted: dict[float, int] = {}

    def seen(words: str, _outer: object, line: list[float], _font: object, size: float) -> None:
        points = round(abs(size * line[3]), 2)
        counted[points] = counted.get(points, 0) + len(words.strip())

    file = handover_pdf(judgement, yard_pickup_plan(), VOCABULARY, speech)
    PdfReader(io.BytesIO(file)).pages[0].extract_text(visitor_text=seen)
    return max(counted, key=lambda points: counted[points])


def test_findings_that_do_not_fit_are_named_and_stand_in_full_on_the_page_that_is_told() -> None:
    first, *others = pages(with_findings(8))
    told = re.search(r"The rest is on page (\d+)\.", first)
    assert told is not None
    rest = others[int(told[1]) - 2 :]
    assert "What needs doing, continued" in rest[0]
    whole = [finding for finding in with_findings(8).findings if finding.verdict in ("unsafe", "replace")]
    in_front = [f for f in whole if f"{f.verdict}: {f.name} {f.summary}" in first]
    assert 0 < len(in_front) < len(whole)
    assert {f.verdict for f in in_front} == {"unsafe"}  # the gravest first
    for finding in whole:
        assert finding.name in first, finding.name
        assert finding in in_front or f"{finding.verdict}: {finding.name} {finding.summary}" in " ".join(rest)


def test_everything_that_fits_is_told_in_full_and_nothing_is_put_off() -> None:
    first = pages(yard_pickup_judgement())[0]
    assert "The rest is on page" not in first
    assert all(f.advice in first for f in yard_pickup_judgement().findings if f.advice)


def test_the_more_urgent_of_the_same_verdict_comes_first() -> None:
    judgement = yard_pickup_judgement()
    urgency = {"left-lower-ball-joint": "watch", "idler-arm": "now"}
    findings = tuple(
        dataclasses.replace(f, urgency=urgency[f.part]) if f.part in urgency else f  # type: ignore[arg-type]
        for f in judgement.findings
    )
    body = handover_html(dataclasses.replace(judgement, findings=findings), yard_pickup_plan(), VOCABULARY)
    assert body.index("idler arm bracket</h3>") < body.index("left lower ball joint</h3>")
    assert "Now, before it is driven again." in body and "It can wait: have it looked at again." in body


def test_a_long_complaint_is_cut_in_front_and_whole_in_the_annex() -> None:
    judgement = yard_pickup_judgement()
    words = " ".join(f"clunk{i}" for i in range(200))
    judgement = dataclasses.replace(judgement, visit=dataclasses.replace(judgement.visit, complaint=words))
    first, *annex = pages(judgement)
    assert "clunk5" in first and "…" in first and "clunk199" not in first
    assert "clunk199" in " ".join(annex)


def unsafe_part() -> Finding:
    return next(finding for finding in yard_pickup_judgement().findings if finding.verdict == "unsafe")


def test_an_unsafe_part_asks_for_the_owners_decision_with_a_caution() -> None:
    first = pages(yard_pickup_judgement())[0]
    for words in ("Owner’s decision", "Repair now", "Tow away", "Repair refused", "If the repair is refused"):
        assert first.count(words) == 1, words
    calm = dataclasses.replace(
        yard_pickup_judgement(),
        findings=tuple(f for f in yard_pickup_judgement().findings if f.verdict != "unsafe"),
    )
    assert "Owner’s decision" not in pages(calm)[0]


def test_a_decision_that_was_made_is_ticked_and_told_with_who_wrote_it_down() -> None:
    decision = OwnerDecision(
        unsafe_part().part, "refused", "I only drive it on the yard", "Ines Marlow", datetime.date(2026, 10, 15)
    )
    body = handover_html(
        yard_pickup_judgement(), yard_pickup_plan(), VOCABULARY, enclosures=Enclosures(decisions=(decision,))
    )
    assert '<li class="made">Repair refused</li>' in body and body.count('class="made"') == 1
    told = (
        "Owner’s decision, 15 October 2026: Repair refused. “I only drive it on the yard” Written down by Ines Marlow."
    )
    assert told in body
    assert told in pages(yard_pickup_judgement(), decisions=(decision,))[0]


def test_what_was_seen_twice_on_a_part_is_said_once_in_front() -> None:
    judgement = yard_pickup_judgement()
    first = ConditionSeen(1, "idler-arm", "cracked", "Tom Orrin", "")
    looks = (first, dataclasses.replace(first, number=2, again=1))
    visit = dataclasses.replace(judgement.visit, conditions=looks)
    grounds = tuple(Grounds("observation", "cracked", None, "", f"condition {seen.number}") for seen in looks)
    idler = next(finding for finding in judgement.findings if finding.part == "idler-arm")
    told = finding_text(dataclasses.replace(idler, grounds=grounds), visit, VOCABULARY, ENGLISH)
    assert told.shown_by == "Cracked."


def test_what_a_look_did_not_find_is_not_told_as_what_shows_it() -> None:
    judgement = yard_pickup_judgement()
    first = ConditionSeen(1, "idler-arm", "cracked", "Tom Orrin", "")
    looks = (first, dataclasses.replace(first, number=2, condition="boot-torn", present=False))
    visit = dataclasses.replace(judgement.visit, conditions=looks)
    grounds = tuple(Grounds("observation", "told", None, "", f"condition {seen.number}") for seen in looks)
    idler = next(finding for finding in judgement.findings if finding.part == "idler-arm")
    told = finding_text(dataclasses.replace(idler, grounds=grounds), visit, VOCABULARY, ENGLISH)
    assert told.shown_by == "Cracked."


def test_only_what_was_seen_on_the_part_itself_stands_beside_it_in_front() -> None:
    judgement = yard_pickup_judgement()
    readings = (Reading("tread", "gauge", 9.0, None, ""), Reading("idler-arm", "hand", None, "clear", ""))
    visit = dataclasses.replace(
        judgement.visit, checks=(dataclasses.replace(judgement.visit.checks[0], readings=readings),)
    )
    grounds = tuple(
        Grounds("observation", words, None, "", "check 1") for words in ("tread read 9 mm", "idler-arm by hand: clear")
    )
    idler = next(finding for finding in judgement.findings if finding.part == "idler-arm")
    own = finding_text(dataclasses.replace(idler, grounds=grounds), visit, VOCABULARY, ENGLISH)
    assert own.shown_by == "Idler arm: clear movement, felt by hand."
    elsewhere = finding_text(dataclasses.replace(idler, grounds=grounds[:1]), visit, VOCABULARY, ENGLISH)
    assert elsewhere.shown_by == "Tread: 9 mm, by gauge."
