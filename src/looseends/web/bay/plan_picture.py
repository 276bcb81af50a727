"""The underside plan of a vehicle as a picture that can be touched, and where on it everything is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from looseends.catalogue.types import VerdictWord
from looseends.language import Speech
from looseends.report.marks import PAPER, VERDICT_ORDER, mark
from looseends.report.plan import plan_layout, plan_words
from looseends.report.plan_drawing import Sheet, document_svg, foot_svg, part_svg, structure_svg, wheel_svg
from looseends.report.plan_geometry import Point
from looseends.report.vehicle_plan import plan_geometry
from looseends.vehicle.loading import load_vehicles


@dataclass(frozen=True)
class PlanPicture:
    """The drawing as SVG, and in its units the sheet and the marks' places by part id.

    Every mark is drawn as unproven; the marks of all verdicts lie among its definitions, for a script to put them in.
    """

    svg: str
    sheet: Sheet
    places: Mapping[str, Point]


@lru_cache(maxsize=64)
def plan_picture(vehicle_id: str, speech: Speech) -> PlanPicture:
    """The picture of a known vehicle in the reader's language and units."""
    vehicle = load_vehicles()[vehicle_id]
    geometry = plan_geometry(vehicle).said(speech)
    # room for the largest mark at every part, so that none moves when a verdict comes
    roomy: Mapping[str, VerdictWord] = dict.fromkeys(vehicle.parts, "unsafe")
    layout = plan_layout(geometry, roomy, labels=False, speech=speech)
    sheet, places = layout.sheet, layout.places
    marks = "".join(f'<g id="mark-{verdict}">{mark(verdict, 0, 0)}</g>' for verdict in VERDICT_ORDER)
    body = [
        f"<defs>{marks}</defs>",
        f'<rect class="paper-fill" width="100%" height="100%" fill="{PAPER}"/>',
        '<g class="turned">',
        *(wheel_svg(wheel, sheet) for wheel in geometry.wheels),
        structure_svg(geometry, sheet),
        *(part_svg(part, "unproven", places[part.id], sheet, ringed=False) for part in geometry.parts),
        "</g>",
        foot_svg(sheet, ()),
        '<g class="overlay"></g>',
    ]
    return PlanPicture(document_svg(sheet, speech.words(plan_words(geometry, {})), "\n".join(body)), sheet, places)
