"""The handover as PDF: tagged, one page for the customer, the same facts as the page."""

import dataclasses
import io
from collections.abc import Iterator
from typing import Any

from pypdf import PdfReader

from looseends.inspection.types import Grounds, Judgement
from looseends.report import handover_pdf
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan


def read(judgement: Judgement) -> PdfReader:
    return PdfReader(io.BytesIO(handover_pdf(judgement, yard_pickup_plan(), VOCABULARY)))


def squeezed(text: str) -> str:
    return "".join(text.split()).replace("\u00a0", "").replace("-", "")


def squeezed_lines(text: str) -> str:
    return " ".join(text.split())


def test_every_finding_and_its_grounds_are_in_the_text() -> None:
    judgement = yard_pickup_judgement()
    said = squeezed("".join(page.extract_text() for page in read(judgement).pages))
    for finding in judgement.findings:
        for text in (finding.verdict, finding.name, finding.summary, *(g.words for g in finding.grounds)):
            assert squeezed(text) in said, text
    for text in (
        "Gap at the rebound stop: 4 mm",
        "1.4 mm, by gauge",
        "49 CFR 570.7(b)",
        "Received by (owner or driver), date",
        "stand 20 mm inboard of the ball joint",
        "dial foot on the knuckle",
        "The torsion bar is loaded",
    ):
        assert squeezed(text) in said, text


def test_the_customer_has_one_page_that_is_signed_and_the_plan_and_the_annex_start_on_the_next() -> None:
    first, second = (page.extract_text() for page in read(yard_pickup_judgement()).pages[:2])
    assert "What needs doing" in first and "What we could not prove" in first and "What is sound" in first
    assert "Received by (owner or driver), date" in squeezed_lines(first)
    assert "Annex" not in first and "Annex: how to read the verdicts" in second
    assert "vehicle’s left side" in second  # the plan


def test_the_file_is_tagged_titled_and_dated_by_the_visit() -> None:
    reader = read(yard_pickup_judgement())
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en"
    assert "pdfuaid" in root["/Metadata"].get_data().decode()
    info: Any = reader.metadata
    assert info.title == "Yard pickup: what we found" and info["/CreationDate"].startswith("D:20261014")


def structure(node: Any) -> Iterator[Any]:
    """Every element of a structure tree, from the top."""
    node = node.get_object()
    if isinstance(node, dict):
        yield node
        below = node.get("/K", [])
        for child in below if isinstance(below, list) else [below]:
            yield from structure(child)


def test_headings_tables_and_the_plan_are_tagged() -> None:
    root: Any = read(yard_pickup_judgement()).trailer["/Root"]
    elements = list(structure(root["/StructTreeRoot"]))
    kinds = [element.get("/S") for element in elements]
    assert kinds.count("/H1") == 1 and "/H2" in kinds and "/H3" in kinds and "/Table" in kinds and "/TH" in kinds
    alternatives = [element["/Alt"] for element in elements if "/Alt" in element]
    assert any("unsafe: right outer tie-rod end" in words for words in alternatives)
    assert alternatives.count("Warning") == 1


def test_typst_code_in_user_text_is_printed_and_not_run() -> None:
    code = '#panic("no") #pagebreak() $x$ \\ <script>alert(1)</script>'
    judgement = yard_pickup_judgement()
    ground = Grounds("model", code, None, code, code)
    judgement = dataclasses.replace(
        judgement,
        vehicle_name=code,
        visit=dataclasses.replace(judgement.visit, complaint=code, technician=code),
        findings=tuple(dataclasses.replace(f, name=code, summary=code, grounds=(ground,)) for f in judgement.findings),
        remarks=(ground,),
    )
    vocabulary = dataclasses.replace(
        VOCABULARY,
        how=dict.fromkeys(VOCABULARY.how, code),
        cautions=dict.fromkeys(VOCABULARY.cautions, code),
        names=dict.fromkeys(VOCABULARY.names, code),
    )
    reader = PdfReader(io.BytesIO(handover_pdf(judgement, yard_pickup_plan(), vocabulary)))
    said = squeezed("".join(page.extract_text() for page in reader.pages))
    assert said.count(squeezed(code)) > 30


def test_letters_that_no_type_face_has_are_spelled_out() -> None:
    judgement = yard_pickup_judgement()
    visit = dataclasses.replace(judgement.visit, customer="Reed \U000f0001\x00")
    judgement = dataclasses.replace(judgement, visit=visit)
    assert "Reed [U+F0001]" in read(judgement).pages[0].extract_text()


def test_the_same_visit_gives_the_same_bytes() -> None:
    judgement = yard_pickup_judgement()
    assert handover_pdf(judgement, yard_pickup_plan()) == handover_pdf(judgement, yard_pickup_plan())


def test_a_visit_without_findings_or_names_still_prints() -> None:
    judgement = yard_pickup_judgement()
    visit = dataclasses.replace(
        judgement.visit,
        technician="",
        plate="",
        odometer_km=None,
        customer="",
        complaint="",
        checks=(),
        conditions=(),
        not_checked=(),
    )
    bare = Judgement(visit, judgement.vehicle_name, (), (), (), (), (), (), ())
    assert "Nothing worn was found." in read(bare).pages[0].extract_text()


def test_many_unproven_parts_are_explained_in_the_annex() -> None:
    judgement = yard_pickup_judgement()
    entry = judgement.unproven[0]
    many = tuple(dataclasses.replace(entry, part=f"p{i}", name=f"part {i}", why=f"reason {i}") for i in range(9))
    front, *annex = (page.extract_text() for page in read(dataclasses.replace(judgement, unproven=many)).pages)
    assert "part 8" in front and "Reason 8" not in front
    assert "Reason 8." in "".join(annex)
