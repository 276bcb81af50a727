"""The strokes of an elevation of a held vehicle: bars, wheels, frame, stands, and where its weight runs, as SVG."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.report.plain_text import escaped
from looseends.web.bay.load_lines import LoadLine
from looseends.web.motion.attached import Bar

FLOOR = 0.0
"""Down is positive on the sheet, as everywhere in a drawing; words stand below the floor."""


@dataclass(frozen=True)
class Elevation:
    """A view: which axis of the vehicle runs across the sheet and which way, its scale, where floor and middle are."""

    axis: int
    way: float
    scale: float
    middle: float
    center: float
    floor: float
    lifted: tuple[float, float]
    """How much higher than settled a point is drawn, and by how much more for each mm forward [mm]."""

    def at(self, place: Array) -> tuple[float, float]:
        """Where a place (3,) [mm] of the vehicle is on the sheet."""
        height = float(place[2]) + self.lifted[0] + self.lifted[1] * float(place[0]) - self.floor
        return self.middle + self.way * (
            float(place[self.axis]) - self.center
        ) * self.scale, FLOOR - height * self.scale


@dataclass(frozen=True)
class Wheel:
    """A wheel as the vehicle is held: center (3,) and size [mm], and whether it stands on its tire."""

    end: str
    center: Array
    radius: float
    width: float
    on_tire: bool


def bar_svg(view: Elevation, bar: Bar, start: Array, end: Array) -> str:
    """A bar with its two edges; a thin line where they would run together."""
    (x0, y0), (x1, y1) = view.at(start), view.at(end)
    width = min(max(2.0 * bar.radius * view.scale * 0.55, 1.4), 9.0)
    d = f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}"
    if width < 4.0:
        return f'<path class="ink-line thin" d="{d}" stroke-width="1.4" fill="none"/>'
    return (
        f'<path class="ink-line" d="{d}" stroke-width="{width:.1f}" stroke-linecap="round" fill="none"/>'
        f'<path class="paper-line" d="{d}" stroke-width="{width - 2.6:.1f}" stroke-linecap="round" fill="none"/>'
    )


def tire_svg(view: Elevation, wheel: Wheel, from_front: bool) -> str:
    """A wheel from the front or from the side; one that stands on its tire is cut off by the floor."""
    x, y = view.at(wheel.center)
    radius = wheel.radius * view.scale
    radius = min(radius, FLOOR - y) if wheel.on_tire else radius
    if not from_front:
        at = f'cx="{x:.1f}" cy="{y:.1f}"'
        rim = f'<circle class="ink-line" {at} r="{0.55 * radius:.1f}" fill="none" stroke-width="1.2"/>'
        return f'<circle class="paper-fill ink-line" {at} r="{radius:.1f}" stroke-width="1.8"/>{rim}'
    half = 0.5 * wheel.width * view.scale
    return (
        f'<rect class="paper-fill ink-line" x="{x - half:.1f}" y="{y - radius:.1f}" width="{2 * half:.1f}" '
        f'height="{2 * radius:.1f}" rx="9" stroke-width="1.8"/>'
    )


def rail_svg(view: Elevation, place: Array) -> str:
    """A frame rail or sill where the view cuts it."""
    x, y = view.at(place)
    width, height = 70.0 * view.scale, 110.0 * view.scale
    return (
        f'<rect class="paper-fill ink-line" x="{x - width / 2:.1f}" y="{y - height:.1f}" width="{width:.1f}" '
        f'height="{height:.1f}" stroke-width="1.8"/>'
    )


def stand_svg(view: Elevation, place: Array) -> str:
    """A stand that carries, with its head under a place."""
    x, y = view.at(place)
    return tripod_svg(x, y, 3.4, filled=True)


def tripod_svg(x: float, y: float, width: float, *, filled: bool) -> str:
    """A stand from the floor up to what it holds."""
    half = min(26.0, 0.35 * (FLOOR - y) + 8.0)
    legs = f"M{x - half:.1f} {FLOOR:.1f}L{x:.1f} {FLOOR - 22:.1f}L{x + half:.1f} {FLOOR:.1f}"
    column = f"M{x:.1f} {y + 4:.1f}V{FLOOR - 14:.1f}"
    fill = "ink-fill" if filled else "paper-fill"
    head = f'<rect class="{fill} ink-line" x="{x - 9:.1f}" y="{y:.1f}" width="18" height="5" stroke-width="1.2"/>'
    drawn = f'd="{column}{legs}" fill="none" stroke-width="{width}" stroke-linejoin="round"'
    return f'<path class="ink-line" {drawn}/>{head}'


def block_svg(view: Elevation, place: Array) -> str:
    """A block, or a stop that is pressed."""
    x, y = view.at(place)
    return f'<path class="ink-fill" d="M{x - 9:.1f} {y - 8:.1f}h18v16h-18z"/>'


def load_svg(view: Elevation, line: LoadLine, strongest: float) -> str:
    """A line that is broad where the weight enters and narrows to where it goes on."""
    (x0, y0), (x1, y1) = view.at(line.start), view.at(line.end)
    length = max(float(np.hypot(x1 - x0, y1 - y0)), 1e-6)
    if length < 3.0:
        return ""
    broad = 1.5 + 5.0 * line.force / strongest
    nx, ny = -(y1 - y0) / length, (x1 - x0) / length
    points = [(x0, y0, broad), (x1, y1, 0.55 * broad), (x1, y1, -0.55 * broad), (x0, y0, -broad)]
    corners = " ".join(f"{x + nx * half:.1f},{y + ny * half:.1f}" for x, y, half in points)
    return f'<polygon class="ink-fill load" points="{corners}"/>'


def text_svg(x: float, y: float, words: str, anchor: str) -> str:
    """Words on the sheet."""
    return f'<text class="ink-fill" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escaped(words)}</text>'


def floor_svg(left: float, right: float) -> str:
    """The floor, hatched below."""
    ticks = "".join(f"M{x:.0f} {FLOOR + 2:.0f}l-7 9" for x in np.arange(left + 10, right, 22))
    return (
        f'<path class="ink-line" d="M{left} {FLOOR + 1}H{right}" stroke-width="2.4"/>'
        f'<path class="ink-line" d="{ticks}" stroke-width="1" fill="none"/>'
    )
