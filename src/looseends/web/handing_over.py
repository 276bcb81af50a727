"""The handover of a visit as a page or a PDF, with what the owner decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import cast

from looseends.inspection.types import Finding, Judgement
from looseends.language import LANGUAGES, UNITS, Speech, Text, say
from looseends.report.enclosures import Decision, Enclosures, OwnerDecision
from looseends.report.page import handover_html
from looseends.report.paper import PAPER_NAMES, Sheet, handover_pdf
from looseends.report.vehicle_plan import plan_geometry
from looseends.report.vehicle_words import vehicle_vocabulary
from looseends.report.writing import handover_stem
from looseends.web.concluded import Signed
from looseends.web.judging import Judging, vehicle_of

_PRINTED: Mapping[str, Decision] = {"repair": "repair now", "leave": "tow", "drive": "refused"}
CHOICES: Mapping[str, Text] = {
    "repair": say("Have it repaired"),
    "leave": say("Leave it undriven, or have it towed"),
    "drive": say("Drive it away against advice"),
}
"""What an owner decides about an unsafe part, as the store keeps it."""

SHEETS: Mapping[Sheet, Text] = {"a4": say("A4"), "letter": say("Letter")}


@dataclass(frozen=True)
class Manner:
    """How a handover is wanted: language, units and size of paper."""

    speech: Speech
    sheet: Sheet

    @property
    def query(self) -> str:
        """The same as the end of an address."""
        return f"language={self.speech.language}&units={self.speech.units}&sheet={self.sheet}"


def manner_wanted(own: Speech, language: str, units: str, sheet: str) -> Manner:
    """What was chosen; the reader's own, and their units' usual paper, where nothing that is known was."""
    speech = Speech(
        language if language in LANGUAGES else own.language,
        units if units in UNITS else own.units,
    )
    usual: Sheet = "letter" if speech.units == "us" else "a4"
    return Manner(speech, cast(Sheet, sheet) if sheet in PAPER_NAMES else usual)


def document(judgement: Judgement, manner: Manner, enclosures: Enclosures) -> str:
    """The handover as one HTML file."""
    vehicle = vehicle_of(judgement.visit)
    return handover_html(judgement, plan_geometry(vehicle), vehicle_vocabulary(vehicle), manner.speech, enclosures)


def paper(judgement: Judgement, manner: Manner, enclosures: Enclosures) -> bytes:
    """The handover as a PDF."""
    vehicle = vehicle_of(judgement.visit)
    return handover_pdf(
        judgement, plan_geometry(vehicle), vehicle_vocabulary(vehicle), manner.speech, enclosures, manner.sheet
    )


def file_name(judgement: Judgement, manner: Manner, signed: Signed | None) -> str:
    """What a saved PDF is called; one that nobody signed says so."""
    language = "" if manner.speech.language == "en" else f"-{manner.speech.language}"
    return f"{handover_stem(judgement.visit)}{language}{'' if signed else '-not-signed'}.pdf"


def enclosures_of(judging: Judging, visit_id: str, judgement: Judgement, signed: Signed | None) -> Enclosures:
    """Decisions, and verdicts on replaced parts by what was done before; judges in this thread, a worker's."""
    decisions = () if signed is None else signed.decisions
    return Enclosures(
        as_found=_as_found(judging, visit_id, judgement),
        decisions=tuple(
            OwnerDecision(made.part, _PRINTED[made.decision], "", made.by, made.at.astimezone().date())
            for made in decisions
        ),
    )


def _as_found(judging: Judging, visit_id: str, judgement: Judgement) -> tuple[Finding, ...]:
    visit = judgement.visit
    findings: list[Finding] = []
    for after in sorted({event.after_check for event in visit.replaced}):
        gone = {event.part for event in visit.replaced if event.after_check == after}
        earlier = tuple(event for event in visit.replaced if event.after_check < after)
        until = replace(visit, checks=visit.checks[:after], replaced=earlier)
        before = judging.judgement(f"{visit_id} until {after}", until)
        if isinstance(before, Judgement):
            findings += [finding for finding in before.findings if finding.part in gone]
    return tuple(findings)
