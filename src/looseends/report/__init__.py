"""The report room: the underside plan and the handover as a page and as a PDF."""

from looseends.report.enclosures import ClipStill, Enclosures, OwnerDecision
from looseends.report.page import handover_html
from looseends.report.paper import handover_pdf
from looseends.report.plan import plan_svg, plan_words
from looseends.report.plan_geometry import PlanGeometry, PlanLine, PlanPart, PlanWheel
from looseends.report.vocabulary import Vocabulary
from looseends.report.writing import write_handover

__all__ = [
    "ClipStill",
    "Enclosures",
    "OwnerDecision",
    "PlanGeometry",
    "PlanLine",
    "PlanPart",
    "PlanWheel",
    "Vocabulary",
    "handover_html",
    "handover_pdf",
    "plan_svg",
    "plan_words",
    "write_handover",
]
