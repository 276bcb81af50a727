"""The strokes of the underside plan: members, wheels, marks, labels and the words around them, as SVG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from looseends.catalogue.types import VerdictWord
from looseends.diagnosis.observed.words import VERDICT_WORDS
from looseends.language import ENGLISH, Length, Speech, Units, say
from looseends.report.label_layout import LINE_HEIGHT, TEXT_SIZE, Label
from looseends.report.marks import INK, MARK_RADIUS, VERDICT_ORDER, mark
from looseends.report.plain_text import escaped
from looseends.report.plan_geometry import Bounds, PlanGeometry, PlanLine, PlanPart, PlanWheel, Point

PAGE_WIDTH = 1000.0
FONT = "'Atkinson Hyperlegible Next', 'Atkinson Hyperlegible', sans-serif"
_AFTER_FRONT, _LETTER = 14.0, 10.0
"""Room behind the word for front, and about the width of one of its bold letters [drawing units]."""
_BAR_MM: Mapping[Units, float] = {"metric": 500.0, "us": 20 * 25.4}
"""Length of the scale bar: a round number in either system."""
CUT_SLACK = 30.0
"""Room for round ends where the structure is not cut [drawing units]."""
THINNEST_BAND = 4.5
"""Below this width [drawing units] a member's two edges would run together: one line is drawn instead."""


@dataclass(frozen=True)
class Sheet:
    """How vehicle millimetres land on the page: the vehicle's left goes to the right, its front to the top.

    `windows` are the stretches drawn, front to rear; `tops` is where each begins on the page.
    """

    scale: float
    left: float
    windows: tuple[Bounds, ...]
    tops: tuple[float, ...]
    height: float
    paper: str
    speech: Speech = ENGLISH

    def point(self, center: Point) -> Point:
        """Page position of a vehicle point (x forward, y left) [mm]."""
        x, y = center
        inside = (pair for pair in zip(self.windows, self.tops, strict=True) if pair[0].x_min <= x)
        window, top = next(inside, (self.windows[-1], self.tops[-1]))
        return self.left + (y - window.y_min) * self.scale, top + (window.x_max - x) * self.scale


def structure_svg(geometry: PlanGeometry, sheet: Sheet) -> str:
    """All members within the drawn stretches, with a break line wherever they run on."""
    return "".join(
        _stretch(geometry, replace(sheet, windows=(window,), tops=(top,)), f"underside-plan-stretch-{number}")
        for number, (window, top) in enumerate(zip(sheet.windows, sheet.tops, strict=True), 1)
    )


def line_svg(line: PlanLine, sheet: Sheet) -> str:
    """A member with its true width: an inked band with a band of paper inside leaves its two edges."""
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(sheet.point, line.points))
    common = f'points="{points}" fill="none" stroke-linejoin="round"'
    width = line.width_mm * sheet.scale
    title = f"<title>{escaped(line.name)}</title>"
    if width < THINNEST_BAND:
        dash = ' stroke-dasharray="7 5"' if line.dashed else ""
        return f'<g>{title}<polyline class="ink-line" {common} stroke="{INK}" stroke-width="1.3"{dash}/></g>'
    band = f'{common} stroke-linecap="round"'
    edge = f'<polyline class="ink-line" {band} stroke="{INK}" stroke-width="{width:.1f}"/>'
    core = f'<polyline class="paper-line" {band} stroke="{sheet.paper}" stroke-width="{width - 3.0:.1f}"/>'
    return f"<g>{title}{edge}{core}</g>"


def wheel_svg(wheel: PlanWheel, sheet: Sheet) -> str:
    """A wheel seen from below with three grooves of its tread."""
    x, y = sheet.point(wheel.center)
    width, height = wheel.width_mm * sheet.scale, wheel.diameter_mm * sheet.scale
    grooves = "".join(
        f'<path class="ink-line" d="M{x + share * width:.1f} {y - height / 2 + 5:.1f}v{max(height - 10, 0):.1f}" '
        f'stroke="{INK}" stroke-width="0.8" stroke-dasharray="9 3"/>'
        for share in (-0.22, 0.0, 0.22)
    )
    return (
        f'<g><title>{escaped(wheel.name)}</title><rect class="paper-fill ink-line" x="{x - width / 2:.1f}" '
        f'y="{y - height / 2:.1f}" width="{width:.1f}" height="{height:.1f}" rx="7" fill="{sheet.paper}" '
        f'stroke="{INK}" stroke-width="1.3"/>{grooves}</g>'
    )


def part_svg(part: PlanPart, verdict: VerdictWord, place: Point, sheet: Sheet, *, ringed: bool) -> str:
    """A part's mark at its place; a heavy ring where it is being checked now."""
    x, y = place
    ring = (
        f'<circle class="ink-line highlight" cx="{x:.1f}" cy="{y:.1f}" r="{2.1 * MARK_RADIUS:.1f}" fill="none" '
        f'stroke="{INK}" stroke-width="3.4"/>'
    )
    return (
        f'<g class="part" data-part="{escaped(part.id)}"><title>'
        f"{_verdict(verdict, sheet.speech)}: {escaped(part.name)}</title>"
        f"{ring if ringed else ''}{mark(verdict, x, y, paper=sheet.paper)}</g>"
    )


def leader_svg(points: Sequence[Point]) -> str:
    """A thin leader line through `points`."""
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return f'<path class="ink-line leader" d="{path}" fill="none" stroke="{INK}" stroke-width="1.1"/>'


def label_svg(label: Label, verdict: VerdictWord, sheet: Sheet) -> str:
    """A label: its mark and verdict word first, the name below, set toward the plan."""
    on_left = label.side == "page-left"
    edge = label.x + label.width if on_left else label.x
    outward = -1 if on_left else 1
    anchor = "end" if on_left else "start"
    base = label.top + 0.82 * TEXT_SIZE
    names = "".join(_word(edge, base + LINE_HEIGHT * (i + 1), line, anchor) for i, line in enumerate(label.lines))
    return (
        f'<g class="label" data-part="{escaped(label.part)}">'
        f"{mark(verdict, edge + outward * 10, label.top + 0.55 * LINE_HEIGHT, radius=6.5, paper=sheet.paper)}"
        f"{_word(edge + outward * 27, base, _verdict(verdict, sheet.speech), anchor, bold=True)}{names}</g>"
    )


def words_around_svg(speech: Speech) -> str:
    """Front, left and right in words at the head of the sheet."""
    middle = PAGE_WIDTH / 2
    front, below = speech.words(say("front")), speech.words(say("seen from below"))
    right, left = speech.words(say("vehicle’s right side")), speech.words(say("vehicle’s left side"))
    start = middle - 104
    return (
        f'<path class="ink-line" d="M{middle - 118:.0f} 32V10m-7 9 7-10 7 10" fill="none" stroke="{INK}" '
        f'stroke-width="2"/>{_word(start, 28, front, "start", bold=True)}'
        f"{_word(start + _AFTER_FRONT + _LETTER * len(front), 28, below, 'start')}"
        f"{_word(8, 28, right, 'start', bold=True)}"
        f"{_word(PAGE_WIDTH - 8, 28, left, 'end', bold=True)}"
    )


def foot_svg(sheet: Sheet, shown: Sequence[VerdictWord]) -> str:
    """Scale bar and the key of the marks that occur."""
    base, bar_mm = sheet.height - 20, _BAR_MM[sheet.speech.units]
    length, reads = bar_mm * sheet.scale, sheet.speech.words(Length(bar_mm))
    bar = (
        f'<path class="ink-line" d="M8 {base - 6:.1f}v6h{length:.1f}v-6" fill="none" stroke="{INK}" '
        f'stroke-width="1.6"/>{_word(8 + length / 2, base - 10, reads, "middle")}'
    )
    words = [verdict for verdict in VERDICT_ORDER if verdict in shown]
    said = {verdict: _verdict(verdict, sheet.speech) for verdict in words}
    x = PAGE_WIDTH - 8 - sum(_key_width(word) for word in said.values())
    key = []
    for verdict in words:
        key.append(mark(verdict, x + 14, base - 6, paper=sheet.paper) + _word(x + 29, base, said[verdict], "start"))
        x += _key_width(said[verdict])
    return f'<g class="foot">{bar}{"".join(key)}</g>'


def document_svg(sheet: Sheet, words: str, body: str) -> str:
    """The whole drawing as a document with title and description."""
    title = escaped(sheet.speech.words(say("Underside plan")))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="underside-plan" viewBox="0 0 {PAGE_WIDTH:.0f} '
        f'{sheet.height:.0f}" width="{PAGE_WIDTH:.0f}" height="{sheet.height:.0f}" role="img" '
        f'aria-labelledby="underside-plan-title underside-plan-desc" font-family="{FONT}" '
        f'font-size="{TEXT_SIZE:.0f}">\n<title id="underside-plan-title">{title}</title>\n'
        f'<desc id="underside-plan-desc">{escaped(words)}</desc>\n{body}\n</svg>\n'
    )


def _stretch(geometry: PlanGeometry, sheet: Sheet, clip: str) -> str:
    whole, window = geometry.bounds(), sheet.windows[0]
    cuts = [
        x for x, cut in ((window.x_max, window.x_max < whole.x_max), (window.x_min, window.x_min > whole.x_min)) if cut
    ]
    (left, top), (right, bottom) = sheet.point((window.x_max, window.y_min)), sheet.point((window.x_min, window.y_max))
    top, bottom = top - CUT_SLACK * (window.x_max not in cuts), bottom + CUT_SLACK * (window.x_min not in cuts)
    members = "\n".join(line_svg(line, sheet) for line in geometry.structure)
    breaks = "".join(
        _break_line([abs(y) for line in geometry.structure for y in _crossings(line, x)], x, sheet) for x in cuts
    )
    return (
        f'<clipPath id="{clip}"><rect x="{left - CUT_SLACK:.1f}" y="{top:.1f}" '
        f'width="{right - left + 2 * CUT_SLACK:.1f}" height="{bottom - top:.1f}"/></clipPath>'
        f'<g clip-path="url(#{clip})">{members}</g>{breaks}'
    )


def _crossings(line: PlanLine, x: float) -> list[float]:
    """Where a member crosses the vehicle's cross section at `x`: the y values [mm]."""
    found = []
    for (x0, y0), (x1, y1) in pairwise(line.points):
        if min(x0, x1) <= x <= max(x0, x1) and x0 != x1:
            found.append(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    return found


def _break_line(reaches: Sequence[float], x: float, sheet: Sheet) -> str:
    """The drafting sign for structure that runs on: a thin line with two zigzags."""
    half = max(reaches, default=300.0) + 110
    (start, level), (end, _) = sheet.point((x, -half)), sheet.point((x, half))
    third = (end - start) / 3
    zigzag = "l4 -9 8 18 4 -9"
    path = f"M{start:.1f} {level:.1f}h{third - 8:.1f}{zigzag}h{third - 16:.1f}{zigzag}H{end:.1f}"
    return f'<path class="ink-line" d="{path}" fill="none" stroke="{INK}" stroke-width="1.1"/>'


def _verdict(verdict: VerdictWord, speech: Speech) -> str:
    return escaped(speech.words(VERDICT_WORDS[verdict]))


def _key_width(word: str) -> float:
    return 29 + 0.56 * TEXT_SIZE * len(word) + 10


def _word(x: float, y: float, text: str, anchor: str, *, bold: bool = False) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text class="ink-fill" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{weight} '
        f'fill="{INK}">{escaped(text)}</text>'
    )
