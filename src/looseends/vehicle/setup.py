"""How a check is set up on a vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from looseends.catalogue.sides import Side

__all__ = ["Setup", "Side"]


@dataclass(frozen=True)
class Setup:
    """Which check, how supported, which side, what the hands and feet held.

    `stand_inboard_mm` is how far inboard of the joint center the stand sits (support "arm" only).
    """

    check: str
    support: str
    side: Side | None
    steer: Literal["held", "free"]
    brake: Literal["off", "on"]
    stand_inboard_mm: float
