"""The handover as one self-contained HTML file: inline style, embedded type, no script, nothing fetched."""

from __future__ import annotations

import base64
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.inspection.types import Judgement
from looseends.language import ENGLISH, Speech
from looseends.report.content import handover_content
from looseends.report.enclosures import NOTHING_ENCLOSED, Enclosures
from looseends.report.marks import PAPER, VERDICT_ORDER, hazard_triangle, mark_icon
from looseends.report.plan_geometry import PlanGeometry
from looseends.report.template_words import template_sayer
from looseends.report.vocabulary import Vocabulary

FACES = {400: "AtkinsonHyperlegibleNext-Regular.woff2", 700: "AtkinsonHyperlegibleNext-Bold.woff2"}


def handover_html(
    judgement: Judgement,
    geometry: PlanGeometry,
    vocabulary: Vocabulary | None = None,
    speech: Speech = ENGLISH,
    enclosures: Enclosures = NOTHING_ENCLOSED,
) -> str:
    """The handover page: what was found in plain words, the plan, and the annex with the grounds.

    Parameters
    ----------
    judgement : Judgement
        What was concluded; its texts are escaped and stay text.
    geometry : PlanGeometry
        The vehicle's underside in plan [mm].
    vocabulary : Vocabulary, optional
        Names, instructions and cautions by catalogue id.
    speech : Speech
        The reader's language and units.
    enclosures : Enclosures
        Consequences, verdicts before a repair, the owner's decisions, as far as they are there.

    Returns
    -------
    html : str
        A whole document, UTF-8 when written.
    """
    content = handover_content(judgement, geometry, vocabulary or Vocabulary(), PAPER, speech, enclosures)
    return (
        _environment()
        .get_template("handover.html.j2")
        .render(
            content=content,
            plan=Markup(content.plan),
            mark=lambda verdict: Markup(mark_icon(verdict)),
            hazard=Markup(hazard_triangle(speech)),
            language=speech.language,
            verdict_words={verdict: speech.words(VERDICT_WORDS[verdict]) for verdict in VERDICT_ORDER},
            say=template_sayer(speech),
            faces=_embedded_faces(),
            anchors={f"check-{check.number}" for check in content.checks}
            | {f"condition-{number}" for number, _ in content.conditions},
        )
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("looseends.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _embedded_faces() -> tuple[tuple[int, str], ...]:
    folder = files("looseends.report") / "fonts"
    return tuple((weight, base64.b64encode((folder / name).read_bytes()).decode()) for weight, name in FACES.items())
