"""Lengths of single parts that were measured, put into joint centers so that each comes out exactly."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from looseends.errors import InputError
from looseends.language import refusal
from looseends.mechanics.bodies import Array
from looseends.vehicle.groups import load_groups
from looseends.vehicle.tape.answers import Answers

Points = dict[str, Array]


def with_measured_parts(answers: Answers, points: Points, center: Points, numbers: dict[str, float]) -> None:
    """Bring points [mm] to the lengths of single parts that were measured.

    Heights come first, then the arms that lead the linkage, then what is measured between points.

    Raises
    ------
    InputError
        If a length is shorter than the heights of its ends leave.
    """
    own = answers.numbers
    for ball in ("lower", "upper"):
        if (height := own.get(f"{ball}_ball_height_mm")) is not None:
            points[f"{ball}-ball-joint"][2] = height
    if "pitman-ball" in center:
        _arm_of_the_linkage(answers, "pitman", "pitman-shaft", points, center)
    if "idler-ball" in center:
        _arm_of_the_linkage(answers, "idler", "idler-pivot", points, center)
    if "pitman_arm_mm" in own:
        numbers["pitman_arm_mm"] = own["pitman_arm_mm"]
    if (length := own.get("tie_rod_mm")) is not None:
        inner, outer = points["tie-rod-inner"], points["tie-rod-outer"]
        across = _leg(length, float(np.hypot(*(outer - inner)[[0, 2]])), "tie_rod_mm", answers)
        _shift(points, ("tie-rod-inner", "rack-end"), [0.0, outer[1] - across - inner[1], 0.0])
    for arm in ("lower", "upper"):
        if (length := own.get(f"{arm}_arm_mm")) is not None:
            _pivots(length, arm, points, answers)


def _arm_of_the_linkage(answers: Answers, arm: str, shaft: str, points: Points, center: Points) -> None:
    """Put an arm's ball at its length from its shaft; the linkage goes along as far as the pitman arm leads it.

    An idler that was not measured stays parallel to the pitman arm.
    """
    parallel = "idler-ball" in center
    length = answers.numbers.get(f"{arm}_arm_mm")
    if length is None and (arm == "pitman" or "pitman_arm_mm" not in answers.numbers):
        return
    ball, turns = center[f"{arm}-ball"], center[shaft]
    # Across an upright shaft, or across one that lies across the vehicle.
    plane = np.array([1.0, 1.0, 0.0]) if parallel else np.array([1.0, 0.0, 1.0])
    offset = plane * (ball - turns)
    if length is None:
        # Told by the pitman arm, whose ball has been moved already: the same place along the vehicle.
        change = np.array([center["pitman-ball"][0] - ball[0], 0.0, 0.0])
    else:
        change = offset * (length / float(np.linalg.norm(offset)) - 1.0)
    _shift(center, (f"{arm}-ball", f"{arm}-end", f"drag-link-end-{arm}"), change)
    if arm == "pitman" and parallel:
        _shift(center, ("center-link-middle",), [change[0], 0.0, 0.0])
        _shift(points, ("tie-rod-inner",), [change[0], 0.0, 0.0])


def _pivots(length: float, arm: str, points: Points, answers: Answers) -> None:
    """Move an arm's pivots across the vehicle until its ball joint stands at `length` [mm] from their line."""
    ball, front, rear = (points[name] for name in (f"{arm}-ball-joint", f"{arm}-arm-front", f"{arm}-arm-rear"))
    axis = (rear - front) / float(np.linalg.norm(rear - front))
    square = np.eye(3) - np.outer(axis, axis)
    offset, across = square @ (ball - front), square @ np.array([0.0, 1.0, 0.0])
    # |offset - t across| = length, at the t that keeps the pivots inboard of the ball joint
    a, b = float(across @ across), float(offset @ across)
    rest = float(offset @ offset) - b * b / a
    leg = _leg(length, float(np.sqrt(max(rest, 0.0))), f"{arm}_arm_mm", answers)
    _shift(points, load_groups()[f"{arm}-arm-axis"].points, [0.0, b / a - leg / np.sqrt(a), 0.0])


def _leg(length: float, other: float, field: str, answers: Answers) -> float:
    """The other leg of a right triangle [mm]."""
    if length <= other:
        raise InputError(
            refusal(
                "{where}: {field} must be over {other} mm, which its ends stand apart already, found {found}.",
                where=answers.where,
                field=field,
                other=f"{other:.0f}",
                found=f"{length:.0f}",
            )
        )
    return float(np.sqrt(length**2 - other**2))


def _shift(points: Points, names: Iterable[str], change: Array | list[float]) -> None:
    for name in names:
        if name in points:
            points[name] = points[name] + np.asarray(change)
