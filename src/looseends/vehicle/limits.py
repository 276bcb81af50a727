"""Which published limits speak of a vehicle."""

from __future__ import annotations

import math

from looseends.catalogue.types import Limit
from looseends.vehicle.vehicle import Vehicle


def speaks_of(limit: Limit, vehicle: Vehicle) -> bool:
    """Whether a limit speaks of this vehicle: by the diameter of its steering wheel and by how it is steered."""
    if limit.assist is not None and limit.assist != vehicle.assist:
        return False
    if limit.rim_over_mm is None and limit.rim_up_to_mm is None:
        return True
    over, up_to = limit.rim_over_mm or 0.0, limit.rim_up_to_mm or math.inf
    return over < vehicle.numbers.get("rim_diameter_mm", 0.0) <= up_to
