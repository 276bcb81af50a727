"""From toe angles to what a tire slips sideways over a distance, and to the distance that a toe gauge reads."""

from __future__ import annotations

from math import sin, tan

FEET_PER_MILE = 5280.0
METRES_PER_KILOMETRE = 1000.0


def side_slip_m_per_km(total_toe_rad: float) -> float:
    """Side slip of an axle [m per km] with a total toe [rad]; positive for toe-in.

    A wheel that rolls one length along its own plane goes tan(toe) of it across.

    Source
    ------
    Geometry; a toe of 1/16 inch at 26.4 inches makes 12.5 feet per mile, since 26.4 × 200 = 5,280.
    """
    return METRES_PER_KILOMETRE * tan(total_toe_rad)


def side_slip_ft_per_mile(total_toe_rad: float) -> float:
    """The same in feet per mile.

    Source
    ------
    As `side_slip_m_per_km`; the unit of 49 CFR 570.7(d).
    """
    return FEET_PER_MILE * tan(total_toe_rad)


def toe_mm(toe_rad: float, diameter_mm: float) -> float:
    """Toe of one wheel as a distance [mm] across the diameter at which it is measured.

    Source
    ------
    Geometry: t = D sin(toe). The same distance at a smaller diameter is a larger angle.
    """
    return diameter_mm * sin(toe_rad)
