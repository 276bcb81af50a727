"""The handover as a tagged PDF, set by typst from the same content as the page; other sheets are set the same way."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from importlib.resources import as_file, files
from typing import Any, Literal

import typst

from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.inspection.types import Judgement
from looseends.language import ENGLISH, Speech
from looseends.report.content import handover_content
from looseends.report.enclosures import NOTHING_ENCLOSED, Enclosures
from looseends.report.marks import VERDICT_ORDER, hazard_triangle, mark_icon
from looseends.report.plain_text import cleaned, spelled_out, text_for_xml
from looseends.report.plan_geometry import PlanGeometry
from looseends.report.template_words import said_sentences
from looseends.report.vocabulary import Vocabulary

NO_SUCH_LETTER = "could not be displayed"
"""How typst says that no type face at hand has a letter, which PDF/UA-1 does not allow."""
Sheet = Literal["a4", "letter"]
PAPER_NAMES: Mapping[Sheet, str] = {"a4": "a4", "letter": "us-letter"}
"""Sizes of paper as the typesetter calls them."""

WHITE = "#ffffff"
"""Printed sheets are white; the ink brings no paper color of its own."""


def handover_pdf(
    judgement: Judgement,
    geometry: PlanGeometry,
    vocabulary: Vocabulary | None = None,
    speech: Speech = ENGLISH,
    enclosures: Enclosures = NOTHING_ENCLOSED,
    sheet: Sheet = "a4",
) -> bytes:
    """The handover as a PDF/UA-1 file (tagged, titled, the plan with alternative text).

    The same input gives the same bytes: the date in the file is the visit's. Texts reach the
    template as data only. `sheet` is the size of the paper. Letters that the shipped type lacks are
    taken from the type faces of the machine, or written as code points where those lack them too.
    Other arguments as for `handover_html`.
    """
    content = handover_content(judgement, geometry, vocabulary or Vocabulary(), WHITE, speech, enclosures)
    visit = cleaned(judgement.visit)
    data = asdict(content) | {
        "paper": PAPER_NAMES[sheet],
        "author": visit.technician,
        "year": visit.date.year,
        "month": visit.date.month,
        "day": visit.date.day,
        "footer": f"{_vehicle(judgement, speech)}{f', {visit.plate}' if visit.plate else ''}, {content.date}",
        "marks": {verdict: mark_icon(verdict, paper=WHITE) for verdict in VERDICT_ORDER},
        "plan_height_by_width": _height_by_width(content.plan),
        "hazard": hazard_triangle(speech),
        "verdict_words": {verdict: speech.words(VERDICT_WORDS[verdict]) for verdict in VERDICT_ORDER},
    }
    return typeset("handover.typ", data, speech)


def _vehicle(judgement: Judgement, speech: Speech) -> str:
    return text_for_xml(speech.words(judgement.vehicle_name))


def typeset(template: str, data: dict[str, Any], speech: Speech) -> bytes:
    """A template's PDF/UA-1 file with these texts, in the shipped type as far as it has their letters."""
    data = data | {"language": speech.language, "sentences": said_sentences(template, speech)}
    attempts = ((data, False), (data, True), (spelled_out(data), False))
    for texts, system_type in attempts[:-1]:
        try:
            return _compiled(template, texts, system_type=system_type)
        except typst.TypstError as problem:
            if NO_SUCH_LETTER not in str(problem):
                raise
    texts, system_type = attempts[-1]
    return _compiled(template, texts, system_type=system_type)


def _compiled(template: str, data: dict[str, Any], *, system_type: bool) -> bytes:
    with as_file(files("looseends.report")) as room:
        return typst.compile(
            str(room / "templates" / template),
            root=str(room / "templates"),
            font_paths=[str(room / "fonts")],
            ignore_system_fonts=not system_type,
            sys_inputs={"data": json.dumps(data)},
            format="pdf",
            pdf_standards=["ua-1"],
        )


def _height_by_width(svg: str) -> float:
    found = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
    return int(found[2]) / int(found[1]) if found else 1.0
