"""The underside plan as SVG: to scale, front up, seen from below, verdict marks in one ink."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.errors import InputError
from looseends.language import ENGLISH, Speech, Text, Value, joined, refusal, say
from looseends.report.label_layout import LABEL_GAP, Label, LabelWish, PageSide, column_height, placed_column
from looseends.report.leaders import FIRST_RUN, clear_level, leader_points
from looseends.report.marks import PAPER, VERDICT_ORDER, mark_reach
from looseends.report.plain_text import escaped, text_for_xml
from looseends.report.plan_drawing import (
    PAGE_WIDTH,
    Sheet,
    document_svg,
    foot_svg,
    label_svg,
    leader_svg,
    part_svg,
    structure_svg,
    wheel_svg,
    words_around_svg,
)
from looseends.report.plan_geometry import PlanGeometry, PlanPart, Point

COLUMN_WIDTH = 192.0
COLUMN_GAP = 24.0
EDGE = 8.0
TALLEST = 900.0
BREAK_GAP = 16.0
TOP = 68.0
FOOT = 64.0
HEAD = 48.0
LABELLED: tuple[VerdictWord, ...] = ("unsafe", "replace", "plan")


@dataclass(frozen=True)
class PlanLayout:
    """Where everything stands on the sheet: marks by part id and labels, in drawing units."""

    sheet: Sheet
    places: Mapping[str, Point]
    labels: tuple[Label, ...]


def plan_svg(
    geometry: PlanGeometry,
    verdicts: Mapping[str, VerdictWord],
    *,
    labels: bool = True,
    highlight: Iterable[str] = (),
    paper: str = PAPER,
    speech: Speech = ENGLISH,
) -> str:
    """The underside plan as a self-contained SVG document.

    Parameters
    ----------
    geometry : PlanGeometry
        What to draw [mm].
    verdicts : Mapping[str, VerdictWord]
        Verdict per part id; a part without one is drawn as unproven.
    labels : bool
        Name the parts that are unsafe, to replace or to plan, and the highlighted ones, in the margins.
    highlight : Iterable[str]
        Parts that are being checked now: a heavy ring.
    paper : str
        Color of the sheet.
    speech : Speech
        Language of its words, and the units of its scale.

    Raises
    ------
    InputError
        If `verdicts` or `highlight` name a part that the geometry lacks.
    """
    ringed = frozenset(highlight)
    geometry = geometry.said(speech)
    layout = plan_layout(geometry, verdicts, labels=labels, highlight=ringed, paper=paper, speech=speech)
    sheet, places = layout.sheet, layout.places
    words = {part.id: verdicts.get(part.id, "unproven") for part in geometry.parts}
    body = [
        f'<rect class="paper-fill" width="{PAGE_WIDTH:.0f}" height="{sheet.height:.0f}" fill="{escaped(paper)}"/>',
        *(wheel_svg(wheel, sheet) for wheel in geometry.wheels),
        structure_svg(geometry, sheet),
        *(leader_svg(leader_points(label, list(places.values()))) for label in layout.labels),
        *(
            part_svg(part, words[part.id], places[part.id], sheet, ringed=part.id in ringed)
            for part in sorted(geometry.parts, key=lambda part: part.id in ringed)
        ),
        *(label_svg(label, words[label.part], sheet) for label in layout.labels),
        words_around_svg(speech),
        foot_svg(sheet, list(words.values())),
    ]
    return document_svg(sheet, speech.words(plan_words(geometry, verdicts)), "\n".join(body))


def plan_words(geometry: PlanGeometry, verdicts: Mapping[str, VerdictWord]) -> Text:
    """What the plan shows, in words, for a reader who does not see it."""
    said: list[Value] = [
        say("Underside seen from below, front at the top, the vehicle’s left side on the right of the page.")
    ]
    for verdict in VERDICT_ORDER:
        names = tuple(part.name for part in geometry.parts if verdicts.get(part.id, "unproven") == verdict)
        if names:
            said.append(say("{verdict}: {parts}.", verdict=VERDICT_WORDS[verdict], parts=names))
    return joined(said)


def plan_layout(
    geometry: PlanGeometry,
    verdicts: Mapping[str, VerdictWord],
    *,
    labels: bool = True,
    highlight: Iterable[str] = (),
    paper: str = PAPER,
    speech: Speech = ENGLISH,
) -> PlanLayout:
    """Sheet, mark places and label boxes of the plan; the same arguments and errors as `plan_svg`."""
    ringed = frozenset(highlight)
    _require_known(geometry, [*verdicts, *ringed])
    named = [part for part in geometry.parts if labels and (verdicts.get(part.id) in LABELLED or part.id in ringed)]
    columns = _columns(named)
    tallest = max(column_height([text_for_xml(part.name) for part in column], COLUMN_WIDTH) for column in columns)
    sheet = _sheet(geometry, tallest, labels, paper, speech)
    places = dict(
        zip(
            (part.id for part in geometry.parts),
            _apart(
                [sheet.point(part.center) for part in geometry.parts],
                [mark_reach(verdicts.get(part.id, "unproven")) for part in geometry.parts],
            ),
            strict=True,
        )
    )
    bottom = sheet.height - FOOT + LABEL_GAP
    starts = (EDGE, PAGE_WIDTH - EDGE - COLUMN_WIDTH)
    sides: tuple[PageSide, PageSide] = ("page-left", "page-right")
    placed = tuple(
        label
        for column, start, side in zip(columns, starts, sides, strict=True)
        for label in placed_column(_wishes(column, places, side), side, start, COLUMN_WIDTH, HEAD, bottom)
    )
    return PlanLayout(sheet, places, placed)


def _columns(named: Sequence[PlanPart]) -> tuple[list[PlanPart], list[PlanPart]]:
    """Parts to label by side of the page; one on the center line goes to the emptier column."""
    left = [part for part in named if part.center[1] < 0]
    right = [part for part in named if part.center[1] > 0]
    for part in named:
        if part.center[1] == 0:
            (left if len(left) < len(right) else right).append(part)
    return left, right


def _wishes(column: Sequence[PlanPart], places: Mapping[str, Point], side: PageSide) -> list[LabelWish]:
    edge = EDGE + COLUMN_WIDTH + FIRST_RUN if side == "page-left" else PAGE_WIDTH - EDGE - COLUMN_WIDTH - FIRST_RUN
    marks = list(places.values())
    return [
        LabelWish(part.id, text_for_xml(part.name), places[part.id], clear_level(edge, places[part.id], marks))
        for part in column
    ]


def _require_known(geometry: PlanGeometry, asked: Iterable[str]) -> None:
    known = [part.id for part in geometry.parts]
    for part in asked:
        if part not in known:
            near = difflib.get_close_matches(part, known) or known[:3]
            raise InputError(
                refusal(
                    'Underside plan: part "{part}" has no place; accepted are the parts drawn, such as {accepted}.',
                    part=part,
                    accepted=", ".join(near) or "none",
                )
            )


def _sheet(geometry: PlanGeometry, tallest_column: float, labels: bool, paper: str, speech: Speech) -> Sheet:
    windows = geometry.windows()
    length = sum(window.x_max - window.x_min for window in windows)
    breaks = BREAK_GAP * (len(windows) - 1)
    width = windows[0].y_max - windows[0].y_min
    margin = EDGE + COLUMN_WIDTH + COLUMN_GAP if labels else 60.0
    scale = min((PAGE_WIDTH - 2 * margin) / max(width, 1.0), (TALLEST - breaks) / max(length, 1.0))
    drawn = length * scale + breaks
    inner = max(drawn, tallest_column - (TOP - HEAD))
    tops = [TOP + (inner - drawn) / 2]
    for window in windows[:-1]:
        tops.append(tops[-1] + (window.x_max - window.x_min) * scale + BREAK_GAP)
    return Sheet(scale, (PAGE_WIDTH - width * scale) / 2, windows, tuple(tops), TOP + inner + FOOT, paper, speech)


def _apart(points: Sequence[Point], reaches: Sequence[float]) -> list[Point]:
    """The points pushed apart by the least needed, so that no mark covers another: a few mm on the vehicle."""
    spots = list(points)
    for _ in range(60):
        moved = False
        for i in range(len(spots)):
            for j in range(i + 1, len(spots)):
                gap = math.dist(spots[i], spots[j])
                lacking = reaches[i] + reaches[j] - gap
                if lacking <= 1e-6:
                    continue
                (ax, ay), (bx, by) = spots[i], spots[j]
                ux, uy = ((bx - ax) / gap, (by - ay) / gap) if gap > 1e-9 else (0.0, 1.0)
                push = lacking / 2
                spots[i], spots[j] = (ax - ux * push, ay - uy * push), (bx + ux * push, by + uy * push)
                moved = True
        if not moved:
            break
    return spots
