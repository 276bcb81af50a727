"""The PDF as a screen reader gets it: read back from the file's structure tree."""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
from pypdf import PdfReader

from looseends.inspection.types import Unproven
from looseends.language import Language, Speech
from looseends.report import handover_pdf
from looseends.report.paper import Sheet
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan


def file_of(language: Language = "en", sheet: Sheet = "a4") -> PdfReader:
    file = handover_pdf(yard_pickup_judgement(), yard_pickup_plan(), VOCABULARY, Speech(language), sheet=sheet)
    return PdfReader(io.BytesIO(file))


def elements(node: Any) -> Iterator[Any]:
    """Every element below a node of the structure tree, in the order of reading."""
    node = node.get_object()
    if isinstance(node, dict):
        yield node
        below = node.get("/K", [])
        for child in below if isinstance(below, list) else [below]:
            yield from elements(child)


def tree(reader: PdfReader) -> list[Any]:
    root: Any = reader.trailer["/Root"]
    return list(elements(root["/StructTreeRoot"]))


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_document_names_its_language_and_its_title(language: Language) -> None:
    reader = file_of(language)
    root: Any = reader.trailer["/Root"]
    assert root["/Lang"] == language
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "pdfuaid:part" in root["/Metadata"].get_data().decode()


def test_headings_go_down_without_a_gap_and_the_customers_come_before_the_annex() -> None:
    reader = file_of()
    levels = [int(e["/S"][2:]) for e in tree(reader) if str(e.get("/S", "")).startswith("/H") and e["/S"][2:].isdigit()]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    outline: Any = reader.outline
    titles = [entry.title for entry in _flat(outline)]
    assert titles[0] == "Yard pickup: what we found"
    first_annex = next(i for i, title in enumerate(titles) if title.startswith("Annex"))
    for title in ("What needs doing", "What we could not prove", "What is sound", "Signed", "Where it is"):
        assert titles.index(title) < first_annex


def _flat(outline: Any) -> Iterator[Any]:
    for entry in outline:
        if isinstance(entry, list):
            yield from _flat(entry)
        else:
            yield entry


def test_every_table_has_heads_and_every_row_is_as_wide() -> None:
    tables = [e for e in tree(file_of()) if e.get("/S") == "/Table"]
    assert len(tables) >= 4
    for table in tables:
        rows = [[c.get("/S") for c in elements(row) if c.get("/S") in ("/TH", "/TD")] for row in _rows(table)]
        assert set(rows[0]) == {"/TH"} and all(len(row) == len(rows[0]) for row in rows)


def _rows(table: Any) -> list[Any]:
    return [element for element in elements(table) if element.get("/S") == "/TR"]


@pytest.mark.parametrize(
    ("language", "told"),
    [("en", "unsafe: right outer tie-rod end"), ("es", "inseguro: ")],
)
def test_the_plan_tells_its_verdicts_in_words(language: Language, told: str) -> None:
    alternatives = [e["/Alt"] for e in tree(file_of(language)) if "/Alt" in e]
    assert any(told in words for words in alternatives)


@pytest.mark.parametrize(("sheet", "millimetres"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_every_page_has_the_size_that_was_asked_for(sheet: Sheet, millimetres: tuple[float, float]) -> None:
    for page in file_of(sheet=sheet).pages:
        size = tuple(float(points) * 25.4 / 72 for points in (page.mediabox.width, page.mediabox.height))
        assert size == pytest.approx(millimetres, abs=0.1)


def test_unproven_parts_stand_under_the_reason_that_they_have_in_common() -> None:
    judgement = yard_pickup_judgement()
    others = tuple(
        Unproven(f"p{i}", f"part {i}", "nobody looked", "idler", "frame", f"check number {i}") for i in range(9)
    )
    file = handover_pdf(dataclasses.replace(judgement, unproven=others), yard_pickup_plan(), VOCABULARY)
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(file)).pages).split())
    assert said.count("Nobody looked.") == 1
    assert all(f"part {i} Check number {i}." in said for i in range(9))
