"""The route as a sheet to print and fill in by hand, a tagged PDF."""

from __future__ import annotations

from dataclasses import asdict

from looseends.inspection.types import GRADES
from looseends.report.paper import typeset
from looseends.report.plain_text import cleaned
from looseends.report.route_content import RouteContent

FACTS = ("Vehicle, plate", "Odometer", "Date", "Technician", "Complaint, in the customer’s words")
"""What is filled in at the top."""


def route_pdf(content: RouteContent) -> bytes:
    """The sheet as a PDF/UA-1 file: boxes beside every step, its cautions with it; the same content, the same bytes."""
    data = asdict(cleaned(content)) | {"facts": FACTS, "grades": GRADES}
    return typeset("route.typ", data)
