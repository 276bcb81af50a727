"""The same check twice, side by side: in two visits, before and after a repair, or on the left and on the right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt
from typing import Literal

from looseends.diagnosis.beliefs import load_beliefs
from looseends.inspection.types import CheckDone, Reading
from looseends.language import Text, say
from looseends.vehicle.setup import Setup

Change = Literal["more", "less", "as before", "not comparable"]
CHANGE_WORDS: Mapping[Change, Text] = {
    "more": say("more"),
    "less": say("less"),
    "as before": say("no difference shown"),
    "not comparable": say("read in different ways"),
}
TWO_SIDED_95 = 1.96
"""Standard deviations that 95 % of normal errors stay within, either way."""

_GRADES_APART = 2
"""Grades that two calls must be apart: one apart may be the observer's own scatter."""

HOW_JUDGED = say(
    "A gauge reading counts as changed where the difference is beyond 95 % of what setting the gauge up twice and its "
    "steps make; play felt or seen, where it is two grades apart. Where both give the dead zone, that is compared."
)


@dataclass(frozen=True)
class Taken:
    """A reading with the check that it belongs to."""

    done: CheckDone
    reading: Reading


@dataclass(frozen=True)
class Pair:
    """The same watch in the same setup, taken twice, and what became of it.

    `margin_mm` is how far gauge readings may lie apart by their own errors, None for grades.
    """

    before: Taken
    after: Taken
    change: Change
    margin_mm: float | None


def same_checks(
    before: Iterable[CheckDone], after: Iterable[CheckDone], resolution_mm: Mapping[str, float]
) -> tuple[Pair, ...]:
    """Every reading of `after` that `before` has too: same check, support, side, hands, stand and watch.

    Where a reading was taken several times the last one counts. `resolution_mm` is the gauge's step by watch.
    """
    earlier, later = _last(before), _last(after)
    return tuple(_pair(earlier[key], taken, resolution_mm) for key, taken in later.items() if key in earlier)


def both_sides(checks: Sequence[CheckDone], resolution_mm: Mapping[str, float]) -> tuple[Pair, ...]:
    """Every reading on the left beside the same one on the right."""
    sides = {side: _last([done for done in checks if done.setup.side == side]) for side in ("left", "right")}
    right = {_sideless(key): taken for key, taken in sides["right"].items()}
    return tuple(
        _pair(taken, right[_sideless(key)], resolution_mm)
        for key, taken in sides["left"].items()
        if _sideless(key) in right
    )


def _last(checks: Iterable[CheckDone]) -> dict[tuple[Setup, str], Taken]:
    return {(done.setup, reading.watch): Taken(done, reading) for done in checks for reading in done.readings}


def _sideless(key: tuple[Setup, str]) -> tuple[Setup, str]:
    setup, watch = key
    return replace(setup, side=None), watch.replace("-left", "").replace("-right", "")


def _pair(before: Taken, after: Taken, resolution_mm: Mapping[str, float]) -> Pair:
    one, other = before.reading, after.reading
    if one.gauge_mm is not None and other.gauge_mm is not None:
        amounts, error = (one.gauge_mm, other.gauge_mm), (_gauge_error, _gauge_error)
        if one.free_mm is not None and other.free_mm is not None:
            amounts, error = (one.free_mm, other.free_mm), (_dead_zone_error, _dead_zone_error)
        step = resolution_mm.get(other.watch, 0.0)
        margin = TWO_SIDED_95 * hypot(*(of(mm, step) for of, mm in zip(error, amounts, strict=True)))
        return Pair(before, after, _change(amounts[1] - amounts[0], margin), margin)
    if one.grade is not None and other.grade is not None and one.by == other.by:
        return Pair(before, after, _change(_rank(other) - _rank(one), _GRADES_APART - 0.5), None)
    return Pair(before, after, "not comparable", None)


def _change(difference: float, margin: float) -> Change:
    if abs(difference) <= margin:
        return "as before"
    return "more" if difference > 0.0 else "less"


def _gauge_error(mm: float, step_mm: float) -> float:
    """Standard deviation [mm] of a gauge reading from one setting-up to the next."""
    beliefs = load_beliefs()
    return hypot(beliefs.again_error_mm, beliefs.again_error_share * mm, step_mm / sqrt(12.0))


def _dead_zone_error(mm: float, step_mm: float) -> float:
    """Standard deviation [mm] of a dead zone, which is judged by when it goes tight."""
    beliefs = load_beliefs()
    return hypot(beliefs.dead_zone_error_mm, beliefs.dead_zone_error_share * mm, step_mm / sqrt(12.0))


_RANKS: Mapping[str, int] = {
    "none": 0, "slight": 1, "clear": 2, "gross": 3,
    # Two grades only: one is as good as two apart.
    "silent": 0, "knock": 2, "rising": 0, "dead zone": 2, "moved": 2,
}  # fmt: skip


def _rank(reading: Reading) -> int:
    assert reading.grade is not None
    return _RANKS[reading.grade]
