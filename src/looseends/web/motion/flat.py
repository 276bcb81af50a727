"""What moves on the flat underside plan: the fallback of a screen that cannot draw in space."""

from __future__ import annotations

import math

import numpy as np

from looseends.language import AsWritten, Force, Length, Speech, say
from looseends.mechanics.bodies import Array
from looseends.mechanics.model import Watch
from looseends.report.marks import INK, PAPER
from looseends.report.plain_text import escaped
from looseends.report.plan import plan_layout, plan_svg
from looseends.report.plan_drawing import Sheet
from looseends.report.vehicle_plan import plan_geometry
from looseends.web.motion.asked import MotionRequest
from looseends.web.motion.moving import Motion, motion_of

_LONGEST = 60.0
"""Of a movement's arrow [drawing units]."""
_HAND = 74.0
_MOST_TIMES = 30
_TOO_NEAR_MM = 260.0
_UPRIGHT = 0.5
"""From this share of a movement upward on it is told as up and down, which a plan cannot show."""


def motion_plan(request: MotionRequest, speech: Speech) -> str:
    """The plan as SVG with an arrow for each watched movement, exaggerated as written, and one for each hand.

    Raises
    ------
    MechanicsError
        If the vehicle cannot rest in this support.
    """
    motion = motion_of(request)
    geometry = plan_geometry(request.vehicle)
    worn = sorted({part for part, _ in request.worn})
    layout = plan_layout(geometry.said(speech), {}, labels=False, highlight=worn, speech=speech)
    movements = _movements(motion)
    longest = max((float(np.linalg.norm(moved[:2])) for _, moved, _ in movements), default=0.0)
    times = int(min(_MOST_TIMES, max(1.0, _LONGEST / max(longest * layout.sheet.scale, 1e-9))))
    drawn = [_movement(layout.sheet, *movement, times, speech) for movement in _apart(movements)]
    drawn += [_hand(layout.sheet, hand.point, hand.vector, speech) for hand in motion.hands]
    told = speech.words(say("Movement drawn {times} times as large.", times=times))
    drawn.append(_text(8.0, 52.0, told, "start"))
    drawing = plan_svg(geometry, {}, labels=False, highlight=worn, speech=speech)
    return drawing.replace("</svg>", f'<g class="motion">{"".join(drawn)}</g></svg>')


def _movements(motion: Motion) -> list[tuple[Array, Array, float]]:
    """Place (3,), movement (3,) between the two ends on the worn vehicle [mm], and its total [mm], of each watch."""
    columns = motion.held.factors.system.columns
    names, found = list(columns), []
    stroke = motion.worn.displacements[-1] - motion.worn.displacements[0]

    def at(body: str, place: Array) -> Array:
        if body not in columns:
            return np.zeros(3)
        shift, turn = stroke[names.index(body), :3], stroke[names.index(body), 3:]
        return np.asarray(shift + np.cross(turn, place - motion.held.poses[body].origin))

    for name, spots in motion.watches.items():
        for spot in spots[:1]:
            if isinstance(spot, Watch) and spot.body in columns:
                place = motion.held.poses[spot.body].point(spot.points[0])
                moved = at(spot.body, place) - at(spot.against, place)
                found.append((place, moved, motion.worn.curves[name].movement.total))
    return found


def _apart(movements: list[tuple[Array, Array, float]]) -> list[tuple[Array, Array, float]]:
    """The largest movement of those that lie so near each other in plan that their words would cover each other."""
    kept: list[tuple[Array, Array, float]] = []
    for movement in sorted(movements, key=lambda entry: -entry[2]):
        if all(
            abs(float(movement[0][0] - other[0])) > _TOO_NEAR_MM or movement[0][1] * other[1] < 0.0
            for other, _, _ in kept
        ):
            kept.append(movement)
    return kept


def _movement(sheet: Sheet, place: Array, moved: Array, total: float, times: int, speech: Speech) -> str:
    """An arrow in plan, or a sign for what goes up and down, with the true movement beside it."""
    x, y = sheet.point((float(place[0]), float(place[1])))
    reads = speech.words(Length(total, 2))
    if abs(moved[2]) > _UPRIGHT * float(np.linalg.norm(moved)):
        sign = f'<path class="ink-line" d="M{x:.1f} {y - 12:.1f}v24m-5 -6 5 6 5 -6m-10 -12 5 -6 5 6" fill="none" '
        up_down = speech.words(say("{movement} up and down", movement=AsWritten(reads)))
        return f'{sign}stroke="{INK}" stroke-width="2.4"/>{_text(x + 14, y + 6, up_down, "start")}'
    dx, dy = float(moved[1]) * sheet.scale * times, -float(moved[0]) * sheet.scale * times
    return _arrow(x, y, x + dx, y + dy, 2.4) + _text(x + dx + 8, y + dy + 6, reads, "start")


def _hand(sheet: Sheet, place: Array, force: Array, speech: Speech) -> str:
    """A hand's force: an arrow toward its place, or a cross in a ring where it acts up and down."""
    x, y = sheet.point((float(place[0]), float(place[1])))
    newtons = speech.words(Force(float(np.linalg.norm(force)), 0))
    flat = math.hypot(float(force[0]), float(force[1]))
    if flat < _UPRIGHT * float(np.linalg.norm(force)):
        ring = (
            f'<circle class="ink-line" cx="{x:.1f}" cy="{y:.1f}" r="13" fill="none" stroke="{INK}" stroke-width="3.4"/>'
        )
        return ring + _text(x, y - 22, newtons, "middle")
    dx, dy = _HAND * float(force[1]) / flat, -_HAND * float(force[0]) / flat
    return _arrow(x - dx, y - dy, x, y, 3.4) + _text(x - dx, y - dy - 8, newtons, "middle")


def _arrow(x0: float, y0: float, x1: float, y1: float, width: float) -> str:
    length = math.hypot(x1 - x0, y1 - y0)
    if length < 1.0:
        return f'<circle class="ink-fill" cx="{x0:.1f}" cy="{y0:.1f}" r="3" fill="{INK}"/>'
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    wings = " ".join(f"{x1 - 11 * ux + side * 6 * uy:.1f},{y1 - 11 * uy - side * 6 * ux:.1f}" for side in (-1.0, 1.0))
    return (
        f'<path class="ink-line" d="M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}" stroke="{INK}" stroke-width="{width}"/>'
        f'<polygon class="ink-fill" points="{x1:.1f},{y1:.1f} {wings}" fill="{INK}"/>'
    )


def _text(x: float, y: float, words: str, anchor: str) -> str:
    """Words with a rim of paper, so that lines do not run through them."""
    return (
        f'<text class="ink-fill paper-line" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{INK}" '
        f'stroke="{PAPER}" stroke-width="5" paint-order="stroke">{escaped(words)}</text>'
    )
