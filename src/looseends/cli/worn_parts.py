"""Worn parts as the command line gives them: PART=MM, PART.axial=MM, PART.radial=MM."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from looseends.catalogue.types import Axis, AxisFigures
from looseends.cli.plain_number import plain_number
from looseends.errors import InputError
from looseends.inspection.completed_names import completed_part
from looseends.inspection.plain_values import shown
from looseends.vehicle.setup import Side

if TYPE_CHECKING:
    from looseends.vehicle.vehicle import Part, Vehicle

AXES: tuple[Axis, Axis] = ("radial", "axial")
# Bounds against slips of the pen, not limits of wear: a dial gauge at a joint runs 25 mm, and a joint with 20 times
# its reject clearance has come apart. Common practice, no source.
MOST_MM = 25.0
MOST_REJECTS = 20.0
# A slipped decimal point is offered only where the number meant would be a clearance that a shop meets. Assumed.
MEANT_REJECTS = 5.0
_WHERE = "looseends shake, --worn"


def axes_of(part: Part) -> Mapping[Axis, AxisFigures]:
    """The axes in which the part's joints hold and so can have clearance; none where condition alone is judged."""
    if part.figure is None:
        return {}
    figures: Mapping[Axis, AxisFigures] = {"radial": part.figure.radial, "axial": part.figure.axial}
    return {axis: values for axis, values in figures.items() if values.stiffness is not None}


def read_worn(given: Sequence[str], vehicle: Vehicle, side: Side | None) -> dict[tuple[str, Axis], float]:
    """Clearance, total travel [mm], by part id and axis; `side` completes a kind that is written without its side.

    Raises
    ------
    InputError
        If a part or axis is not there, a clearance is no believable number, or one is given twice.
    """
    worn: dict[tuple[str, Axis], float] = {}
    for text in given:
        name, equals, amount = text.partition("=")
        if not equals:
            raise InputError(f"{_WHERE} must be PART=MM, as in idler-arm=4, found {shown(text)}.")
        part, axes = _part_and_axes(name.strip(), vehicle, side)
        clearance = _clearance(amount, part, axes)
        for axis in axes:
            if (part.id, axis) in worn:
                raise InputError(f"{_WHERE} {part.id}: the {axis} clearance must be given once, found it twice.")
            worn[part.id, axis] = clearance
    return worn


def _part_and_axes(name: str, vehicle: Vehicle, side: Side | None) -> tuple[Part, tuple[Axis, ...]]:
    base, dot, asked = name.partition(".")
    part = vehicle.parts[completed_part(base, side, vehicle.parts, key="part", where=_WHERE)]
    axes = axes_of(part)
    if not axes:
        raise InputError(
            f"{_WHERE} {part.id}: a part with a clearance is accepted, found one that is judged by its condition alone "
            f'("looseends parts {vehicle.id}" lists both).'
        )
    if not dot:
        return part, tuple(axes)
    for axis in AXES:
        if axis == asked and axis in axes:
            return part, (axis,)
    raise InputError(f"{_WHERE} {part.id}: axis must be {' or '.join(axes)}, found {shown(asked)}.")


def _clearance(amount: str, part: Part, axes: Sequence[Axis]) -> float:
    where = f"{_WHERE} {part.id}: clearance"
    value = plain_number(amount, where, "mm")
    figures = axes_of(part)
    rejects = [reject for axis in axes if (reject := figures[axis].reject) is not None]
    most = min([MOST_MM, *(MOST_REJECTS * max(rejects) for _ in rejects[:1])])
    if not 0.0 <= value <= most:
        meant = _meant(value, max(rejects)) if rejects else None
        question = "." if meant is None else f"; did you mean {meant:.2f}?"
        raise InputError(f"{where} must be from 0 to {most:g} mm of total travel, found {value:g}{question}")
    return value


def _meant(value: float, reject: float) -> float | None:
    """The clearance that a slipped decimal point stands for, or None.

    Two places are lost more often than one; below 0.5 mm the tenth is the likelier.
    """
    hundredth, tenth, most = value / 100.0, value / 10.0, MEANT_REJECTS * reject
    if 0.5 <= hundredth <= most:
        return hundredth
    if 0.0 < tenth <= most:
        return tenth
    return hundredth if 0.0 < hundredth <= most else None
