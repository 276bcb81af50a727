"""Leader lines from label to mark that keep clear of the marks in between."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from looseends.report.label_layout import Label
from looseends.report.marks import MARK_RADIUS
from looseends.report.plan_geometry import Point

CLEAR_OF_MARK = MARK_RADIUS + 5
FIRST_RUN = 14.0
STEPS = 12
LEVEL_REACH = 160
LEVEL_STEP = 8
HIT_COST = 1000.0
"""Far above any length on the page: a longer leader is always better than one that runs through a mark."""


def leader_points(label: Label, marks: Sequence[Point]) -> tuple[Point, Point, Point]:
    """Leader as anchor, elbow, mark: level from the label, then straight to its mark.

    Of `STEPS` elbows the one is taken whose line meets the fewest other `marks` (drawing units), then
    the shortest.
    """
    (x0, y0), (x1, _) = label.anchor, label.target
    ahead = 1.0 if x1 > x0 else -1.0
    reach = max(abs(x1 - x0) - FIRST_RUN, FIRST_RUN)
    runs = [FIRST_RUN + (reach - FIRST_RUN) * step / (STEPS - 1) for step in range(STEPS)]
    paths = [((x0, y0), (x0 + ahead * run, y0), label.target) for run in runs]
    others = [spot for spot in marks if math.dist(spot, label.target) > 1e-6]
    return min(paths, key=lambda path: _cost(path, others))


def clear_level(edge_x: float, target: Point, marks: Sequence[Point]) -> float:
    """Page height nearest to the mark's from which a straight leader starting at `edge_x` meets fewest other marks."""
    others = [spot for spot in marks if math.dist(spot, target) > 1e-6]
    offsets = sorted(range(-LEVEL_REACH, LEVEL_REACH + 1, LEVEL_STEP), key=abs)
    return min(
        (target[1] + offset for offset in offsets),
        key=lambda level: _cost(((edge_x, level), (edge_x, level), target), others),
    )


def distance_to_segment(spot: Point, start: Point, end: Point) -> float:
    """Distance from a spot to the segment between `start` and `end`, in the unit of the points."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length_squared = dx * dx + dy * dy
    share = 0.0 if length_squared == 0 else ((spot[0] - start[0]) * dx + (spot[1] - start[1]) * dy) / length_squared
    share = min(max(share, 0.0), 1.0)
    return math.dist(spot, (start[0] + share * dx, start[1] + share * dy))


def _cost(path: tuple[Point, Point, Point], others: Sequence[Point]) -> float:
    legs = list(pairwise(path))
    hits = sum(any(distance_to_segment(spot, *leg) < CLEAR_OF_MARK for leg in legs) for spot in others)
    return HIT_COST * hits + sum(math.dist(*leg) for leg in legs)
