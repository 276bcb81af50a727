"""A part that was replaced: as found, as left, and the same checks side by side."""

from __future__ import annotations

import dataclasses
import io
import re

import pytest
from pypdf import PdfReader

from looseends.inspection.types import CheckDone, Finding, Grounds, Judgement, Reading, Repair, Replaced
from looseends.report import Enclosures, handover_html, handover_pdf
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan

JOINT = "left-lower-ball-joint"


def repaired(proven: bool, reading_mm: float = 0.1) -> Judgement:
    """The sample after its lower ball joint was replaced, and lifted with the bar again."""
    judgement = yard_pickup_judgement()
    lift = judgement.visit.checks[2]
    again = dataclasses.replace(lift, number=4, readings=(Reading("stud-up-down", "gauge", reading_mm, None, ""),))
    event = Replaced(1, JOINT, 3, "Tom Reed", "new joint, pressed in")
    words = "The left lower ball joint was replaced and showed nothing since."
    proof = "" if proven else "bj-axial, held under the lower arms, left"
    visit = dataclasses.replace(judgement.visit, checks=(*judgement.visit.checks, again), replaced=(event,))
    repair = Repair(JOINT, "left lower ball joint", 3, proven, 0.95 if proven else 0.2, words, proof)
    return dataclasses.replace(judgement, visit=visit, repairs=(repair,))


def as_found() -> Finding:
    return next(finding for finding in yard_pickup_judgement().findings if finding.part == JOINT)


def html(judgement: Judgement, found: tuple[Finding, ...] = ()) -> str:
    body = handover_html(judgement, yard_pickup_plan(), VOCABULARY, enclosures=Enclosures(as_found=found))
    return " ".join(re.sub(r"<style>.*?</style>", "", body, flags=re.S).split())


def test_the_page_says_what_was_found_who_replaced_it_and_that_it_is_proven() -> None:
    body = html(repaired(proven=True), (as_found(),))
    assert "Replace: It moved 1.4 mm up and down; the limit is 0.5 mm." in body
    assert "After check 3, by Tom Reed (new joint, pressed in)." in body
    assert "Proven. The left lower ball joint was replaced and showed nothing since." in body
    assert "Not proven." not in body and "This check would prove it" not in body
    assert "One part was replaced." in body


def test_a_repair_that_nothing_proves_says_so_and_names_the_check() -> None:
    body = html(repaired(proven=False), (as_found(),))
    assert "Not proven." in body
    assert "This check would prove it: bj-axial, held under the lower arms, left." in body


def test_without_a_finding_from_before_it_was_unproven() -> None:
    assert "Unproven: nothing done until then could have shown wear." in html(repaired(proven=True))


def test_what_was_found_on_the_old_part_is_no_longer_to_do() -> None:
    customer = html(repaired(proven=True)).split('class="annex"')[0]
    assert "It moved 1.4 mm up and down" not in customer and "What was replaced" in customer


def test_a_new_part_that_shows_play_again_is_to_do() -> None:
    judgement = repaired(proven=False, reading_mm=1.2)
    again = Grounds("observation", "Gauge reading 1.2 mm.", None, "", "check 4")
    findings = tuple(
        dataclasses.replace(f, grounds=(*f.grounds, again)) if f.part == JOINT else f for f in judgement.findings
    )
    customer = html(dataclasses.replace(judgement, findings=findings)).split('class="annex"')[0]
    assert "It moved 1.4 mm up and down" in customer


def test_the_same_check_before_and_after_stands_side_by_side() -> None:
    rows = re.findall(r"<tr>(.*?)</tr>", html(repaired(proven=True)))
    [row] = [row for row in rows if "1.4 mm, by gauge" in row]
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)
    assert cells[1:3] == ["1.4 mm, by gauge", "0.1 mm, by gauge"]
    assert cells[3].startswith("less (errors make up to 0.")


@pytest.mark.parametrize("proven", [True, False])
def test_the_pdf_says_the_same(proven: bool) -> None:
    file = handover_pdf(repaired(proven), yard_pickup_plan(), VOCABULARY, enclosures=Enclosures(as_found=(as_found(),)))
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(file)).pages).split())
    assert "Annex: as found and as left" in said and ("Not proven." in said) == (not proven)
    assert "by Tom Reed (new joint, pressed in)" in said and "less (errors make up to" in said


def test_a_visit_without_repairs_has_no_such_section() -> None:
    assert "as found" not in html(yard_pickup_judgement()).lower()


def test_checks_between_two_repairs_are_neither_before_nor_after() -> None:
    judgement = repaired(proven=True)
    checks = (*judgement.visit.checks, _renumbered(judgement.visit.checks[3], 5, 0.05))
    events = (*judgement.visit.replaced, Replaced(2, "idler-arm", 4, "Tom Reed", ""))
    repairs = (*judgement.repairs, Repair("idler-arm", "idler arm bracket", 4, True, 0.95, "Replaced.", ""))
    visit = dataclasses.replace(judgement.visit, checks=checks, replaced=events)
    body = html(dataclasses.replace(judgement, visit=visit, repairs=repairs))
    table = body[body.index("The same checks before the repair") : body.index("A gauge reading counts as changed")]
    assert "check 3" in table and "check 5" in table and "check 4" not in table


def test_a_check_between_two_repairs_alone_is_laid_beside_nothing() -> None:
    judgement = repaired(proven=True)
    events = (*judgement.visit.replaced, Replaced(2, "idler-arm", 4, "Tom Reed", ""))
    repairs = (*judgement.repairs, Repair("idler-arm", "idler arm bracket", 4, True, 0.95, "Replaced.", ""))
    visit = dataclasses.replace(judgement.visit, replaced=events)
    body = html(dataclasses.replace(judgement, visit=visit, repairs=repairs))
    assert "As found" in body and "The same checks before the repair" not in body


def _renumbered(check: CheckDone, number: int, mm: float) -> CheckDone:
    return dataclasses.replace(check, number=number, readings=(Reading("stud-up-down", "gauge", mm, None, ""),))
