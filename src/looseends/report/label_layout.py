"""Where the labels of the underside plan stand: two margin columns, no box over another, leaders uncrossed."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

PageSide = Literal["page-left", "page-right"]
TEXT_SIZE = 19.0
LINE_HEIGHT = 22.0
LABEL_GAP = 12.0
WIDEST_LETTER_EM = 0.56
"""Mean advance of text in the widest usual fallback face, so that wrapped lines stay inside their column."""


@dataclass(frozen=True)
class LabelWish:
    """A label for the mark at `target` that wants to stand level with page height `level` (drawing units)."""

    part: str
    name: str
    target: tuple[float, float]
    level: float


@dataclass(frozen=True)
class Label:
    """A placed label: its wrapped name under the verdict word, its box, and its mark."""

    part: str
    lines: tuple[str, ...]
    side: PageSide
    x: float
    top: float
    width: float
    height: float
    target: tuple[float, float]

    @property
    def anchor(self) -> tuple[float, float]:
        """Where the leader leaves the label: the edge toward the plan, level with the verdict word."""
        edge = self.x + self.width + 5 if self.side == "page-left" else self.x - 5
        return edge, self.top + 0.55 * LINE_HEIGHT


def wrapped(name: str, width: float) -> tuple[str, ...]:
    """The name in lines that fit `width` drawing units."""
    letters = max(6, int(width / (WIDEST_LETTER_EM * TEXT_SIZE)))
    return tuple(textwrap.wrap(name, letters, break_on_hyphens=False)) or ("",)


def label_height(name: str, width: float) -> float:
    """Height of a label's box: the verdict word and the wrapped name [drawing units]."""
    return LINE_HEIGHT * (1 + len(wrapped(name, width)))


def column_height(names: Sequence[str], width: float) -> float:
    """Least height of a column that holds labels of all `names` [drawing units]."""
    return sum(label_height(name, width) + LABEL_GAP for name in names)


def placed_column(
    wishes: Sequence[LabelWish], side: PageSide, x: float, width: float, top: float, bottom: float
) -> tuple[Label, ...]:
    """Labels of one column between `top` and `bottom`, in the order that keeps leaders from crossing.

    The column must hold them: `bottom - top` is at least the `column_height` of their names.
    """
    order = sorted(wishes, key=lambda wish: wish.level)
    labels = _in_order(order, side, x, width, top, bottom)
    for _ in range(len(order) ** 2):
        crossed = next((i for i in range(len(labels) - 1) if _crossing(labels[i], labels[i + 1])), None)
        if crossed is None:
            break
        order[crossed], order[crossed + 1] = order[crossed + 1], order[crossed]
        labels = _in_order(order, side, x, width, top, bottom)
    return labels


def level_tops(wanted: Sequence[float], heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Tops of stacked boxes closest to the `wanted` tops in the sense of least squares, order kept.

    Less the heights stacked above it, a top must not decrease from box to box: an isotonic regression
    (pool adjacent violators), clipped to the column, solves it exactly.
    """
    stacked = [sum(heights[:i]) for i in range(len(heights))]
    pools: list[tuple[float, int]] = []
    for value in (want - above for want, above in zip(wanted, stacked, strict=True)):
        mean, count = value, 1
        while pools and pools[-1][0] > mean:
            other, size = pools.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        pools.append((mean, count))
    highest = max(top, bottom - sum(heights))
    free = [min(max(mean, top), highest) for mean, count in pools for _ in range(count)]
    return [start + above for start, above in zip(free, stacked, strict=True)]


def _in_order(
    order: Sequence[LabelWish], side: PageSide, x: float, width: float, top: float, bottom: float
) -> tuple[Label, ...]:
    heights = [label_height(wish.name, width) + LABEL_GAP for wish in order]
    wanted = [wish.level - 0.55 * LINE_HEIGHT for wish in order]
    tops = level_tops(wanted, heights, top, bottom)
    return tuple(
        Label(wish.part, wrapped(wish.name, width), side, x, start, width, height - LABEL_GAP, wish.target)
        for wish, start, height in zip(order, tops, heights, strict=True)
    )


def _crossing(first: Label, second: Label) -> bool:
    a, b, c, d = first.anchor, first.target, second.anchor, second.target
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
