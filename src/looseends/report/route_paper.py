"""The route as a sheet to print and fill in by hand, a tagged PDF."""

from __future__ import annotations

from dataclasses import asdict

from looseends.diagnosis.observed.words import GRADES
from looseends.inspection.types import GRADES as GRADE_IDS
from looseends.language import say
from looseends.report.paper import typeset
from looseends.report.plain_text import cleaned
from looseends.report.route_content import RouteContent

FACTS = (
    say("Vehicle, plate"),
    say("Odometer"),
    say("Date"),
    say("Technician"),
    say("Complaint, in the customer’s words"),
)
"""What is filled in at the top."""

LOOKED = (say("Found …"), say("Nothing found"), say("Could not see"))
"""What a look without movement came to."""


def route_pdf(content: RouteContent) -> bytes:
    """The sheet as a PDF/UA-1 file: boxes beside every step, its cautions with it; the same content, the same bytes."""
    speech = content.speech
    data = asdict(cleaned(content)) | {
        "facts": [speech.words(fact) for fact in FACTS],
        "grades": [speech.words(GRADES[grade]) for grade in GRADE_IDS],
        "looked": [speech.words(words) for words in LOOKED],
    }
    return typeset("route.typ", data, speech)
