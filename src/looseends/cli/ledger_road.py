"""What worn parts do on the road, in plain words: each load case, then the tire wear that may come of it."""

from __future__ import annotations

from math import degrees

from rich.console import Console

from looseends.diagnosis.consequences.account import Account
from looseends.diagnosis.consequences.patterns import ExpectedPattern
from looseends.diagnosis.consequences.road import AxleOnRoad, RoadEffects, WheelOnRoad
from looseends.vehicle.vehicle import Vehicle

_SHOWN_DEG = 0.05
"""Angles below this [deg] are not worth a word: an alignment gauge hardly tells them."""


def print_road(vehicle: Vehicle, account: Account, out: Console) -> None:
    """A line for each load case and wheel in which wear does something, then the tires."""
    out.print("On the road, beside a sound vehicle:", style="bold")
    lines = [line for effects in account.road for line in _case_lines(effects)]
    for line in lines or ["In no load case does a wheel do anything that a gauge would tell from a sound one."]:
        out.print(f"  {line}")
    if account.patterns:
        out.print("\nOn the tires:", style="bold")
    for expected in account.patterns:
        out.print(f"  {_pattern_words(vehicle, expected)}")


def _case_lines(effects: RoadEffects) -> list[str]:
    said = [part for wheel in effects.wheels for part in _wheel_words(wheel)]
    said += [part for axle in effects.axles for part in _axle_words(axle)]
    return [f"{effects.case.name.capitalize()}: {'; '.join(said)}."] if said else []


def _wheel_words(wheel: WheelOnRoad) -> list[str]:
    name = f"{wheel.side} {wheel.end} wheel"
    toe, camber, shift = degrees(wheel.toe.added), degrees(wheel.camber.added), degrees(wheel.camber.shift)
    said = []
    if abs(toe) >= _SHOWN_DEG:
        across = f"{abs(wheel.toe_swing_mm(wheel.toe.added)):.1f} mm across {wheel.diameter_mm:.0f} mm"
        said.append(f"{name} swings {abs(toe):.2f}° in toe by its play ({across})")
    if abs(camber) >= _SHOWN_DEG:
        said.append(f"{name} tips {abs(camber):.2f}° in camber by its play")
    if abs(shift) >= _SHOWN_DEG:
        said.append(f"{name} leans {abs(shift):.2f}° further {'out' if shift > 0.0 else 'in'} at the top")
    return said


def _axle_words(axle: AxleOnRoad) -> list[str]:
    shift = axle.total_toe.shift
    if abs(degrees(shift)) < _SHOWN_DEG:
        return []
    way = "toe-in" if shift > 0.0 else "toe-out"
    slip = f"{abs(axle.slip_m_per_km(shift)):.1f} m per km or {abs(axle.slip_ft_per_mile(shift)):.0f} feet per mile"
    return [f"{axle.end} axle stands {abs(degrees(shift)):.2f}° further {way}, a side slip of {slip}"]


def _pattern_words(vehicle: Vehicle, expected: ExpectedPattern) -> str:
    parts = ", ".join(vehicle.parts[part].name for part in expected.parts)
    pattern = expected.pattern
    return (
        f"{expected.where.capitalize()} may come to show {pattern.name} ({pattern.where}): {expected.sign.words}, "
        f"{abs(expected.angle_deg):.2f}° in {expected.case}. {expected.weight.capitalize()} hint at: {parts} "
        f"[{pattern.status}; {pattern.source}]."
    )
