"""Grounds of findings, on the findings page and in the handover's table: under their sort, with source and link."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from litestar import Litestar

from looseends.diagnosis.judge import finding_on, rules_of
from looseends.diagnosis.verdicts.policy_file import load_policy
from looseends.inspection.types import Grounds, Judgement
from looseends.language import Speech, say
from looseends.report import handover_html
from looseends.store.ids import time_ordered_id
from tests.diagnosis.made_visits import taken_in as recorded
from tests.diagnosis.made_visits import without_readings
from tests.diagnosis.planning.test_looks_again import BEARING, BINDS
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan
from tests.web.cast import Client, JudgingStub, send, words_of

Row = tuple[str, str]
"""What a ground says, its source behind it, and the address that it leads to, empty where there is none."""

SORTS = {
    "en": ("What was seen and read", "Limits, with their source", "What the model worked out", "And besides"),
    "es": ("Lo visto y lo leído", "Límites, con su fuente", "Lo que calculó el modelo", "Y además"),
}
COMMON = {
    "en": "common practice: confirm with the maker’s limit",
    "es": "práctica común: confirme con el límite del fabricante",
}
MAKER = {"en": "the vehicle maker’s figure", "es": "valor del fabricante del vehículo"}
LIFTED, ROLLS, OVER, ALONE, RULE = (
    Grounds("observation", "gauge 1.4 mm under a bar", None, "check", say("check {number}", number=3)),
    Grounds(
        "observation", "boot off, rust inside", "common practice", "rule book", say("condition {number}", number=1)
    ),
    Grounds("limit", "over the 0.5 mm that are allowed", "maker", "the maker's sheet", ""),
    Grounds("model", "only this part explains it", None, "its own tables", ""),
    Grounds("policy", "both sides are looked at", "common practice", "the shop", ""),
)


def opened(page: str, name: str) -> dict[str, list[Row]]:
    """The grounds of one finding by the heading that they stand under."""
    (body,) = (
        found
        for found in re.findall(r'<li><details class="more finding.*?</details></li>', page, re.DOTALL)
        if f'<b class="part">{name}</b>' in found
    )
    parts = re.split(r"<h3>(.*?)</h3>", body)[1:]
    return {
        unescape(title): [_row(entry) for entry in re.findall(r"<li>(.*?)</li>", rows, re.DOTALL)]
        for title, rows in zip(parts[::2], parts[1::2], strict=True)
    }


def _row(entry: str) -> Row:
    link = re.search(r'<a href="(#.*?)"', entry)
    return unescape(words_of(re.sub(r"<a .*?</a>", "", entry))), link[1] if link else ""


def shown(client: Client, app: Litestar, judgement: Judgement, language: str, vehicle: str = "yard-pickup") -> str:
    """The findings page of a visit that is judged so."""
    judging = JudgingStub()
    judging.answer = judgement
    app.state.judging = judging
    client.get("/")
    visit = time_ordered_id()
    send(client, "/intake", visit_id=visit, vehicle=vehicle)
    send(client, "/me", language=language)
    return client.get(f"/visits/{visit}/findings").text


@pytest.mark.parametrize("language", ["en", "es"])
def test_grounds_stand_under_their_sort_with_status_and_source_and_lead_to_what_they_rest_on(
    app: Litestar, technician: Client, language: str
) -> None:
    judgement = yard_pickup_judgement()
    told = replace(judgement.findings[0], grounds=(RULE, OVER, LIFTED, ALONE, ROLLS))
    page = shown(technician, app, replace(judgement, findings=(told, *judgement.findings[1:])), language)
    seen, limits, worked_out, besides = SORTS[language]
    assert opened(page, told.name) == {
        seen: [
            ("Gauge 1.4 mm under a bar.", "#check-3"),
            (f"Boot off, rust inside. {COMMON[language]}; rule book.", "#condition-1"),
        ],
        limits: [(f"Over the 0.5 mm that are allowed. {MAKER[language]}; the maker's sheet.", "")],
        worked_out: [("Only this part explains it. its own tables.", "")],
        besides: [(f"Both sides are looked at. {COMMON[language]}; the shop.", "")],
    }
    anchors = set(re.findall(r'id="((?:check|condition)-\d+)"', page))
    assert {link.removeprefix("#") for link in re.findall(r'href="(#(?:check|condition)-\d+)"', page)} <= anchors


def in_doubt() -> Judgement:
    """A strut's top bearing that binds to Ines Calder, and not to Tom Orrin."""
    nothing = replace(BINDS, number=2, observer="Tom Orrin", present=False)
    visit = recorded("harbour-runabout", conditions=(BINDS, nothing))
    found = without_readings("harbour-runabout", (BEARING,), visit, -3.0)
    finding = finding_on(found.vehicle.parts[BEARING], found, rules_of(found, load_policy()))
    return replace(yard_pickup_judgement(), visit=visit, findings=(finding,), suspects=(), unproven=(), remarks=())


@pytest.mark.parametrize(
    ("language", "nothing"),
    [("en", "Looked for by Tom Orrin and not there: "), ("es", "Tom Orrin buscó y no está: ")],
)
def test_a_part_in_doubt_shows_the_look_that_found_it_and_the_one_that_did_not(
    app: Litestar, technician: Client, language: str, nothing: str
) -> None:
    judgement = in_doubt()
    page = shown(technician, app, judgement, language, "harbour-runabout")
    (found, link), (not_found, other) = opened(page, Speech(language).words(judgement.findings[0].name))[  # type: ignore[arg-type]
        SORTS[language][0]
    ]
    assert "Ines Calder" in found and link == "#condition-1"
    assert not_found.startswith(nothing) and other == "#condition-2"
    assert 'id="condition-1"' in page and 'id="condition-2"' in page


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_handovers_table_has_a_row_for_each_ground(language: str) -> None:
    judgement = yard_pickup_judgement()
    told = replace(judgement.findings[0], grounds=(LIFTED, OVER, RULE))
    speech = Speech(language)  # type: ignore[arg-type]
    page = handover_html(replace(judgement, findings=(told,)), yard_pickup_plan(), VOCABULARY, speech)
    (table,) = re.findall(r'<table class="reasons">.*?</table>', page[page.index("annex") :], re.DOTALL)[:1]
    rows = [
        [unescape(words_of(cell)) for cell in re.findall(r"<td>(.*?)</td>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(<td>.*?)</tr>", table, re.DOTALL)
    ]
    sorts, check = {
        "en": (("seen", "limit", "rule"), "check 3"),
        "es": (("visto", "límite", "regla"), "prueba 3"),
    }[language]
    assert rows == [
        [sorts[0], "Gauge 1.4 mm under a bar.", check, ""],
        [sorts[1], "Over the 0.5 mm that are allowed.", "", f"{MAKER[language]}; the maker's sheet"],
        [sorts[2], "Both sides are looked at.", "", f"{COMMON[language]}; the shop"],
    ]
    assert '<a href="#check-3">' in table and 'id="check-3"' in page
