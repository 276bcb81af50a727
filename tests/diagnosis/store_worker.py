"""What other processes do in the tests of the table store."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from looseends.diagnosis.store import TableStore
from looseends.diagnosis.table import ResponseTable
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import CARRIER, made_table


def save_often(directory: Path, value: float, times: int) -> None:
    """Save the same setup's table many times, every number in it being `value`."""
    table = made_table({CARRIER: np.full((48, 4, 2), value)}, spread=value)
    for _ in range(times):
        TableStore(directory).save("yard-pickup", table)


def tabulated(vehicle_id: str, setup: Setup) -> ResponseTable:
    """A table at once, in place of one that takes seconds."""
    return made_table({}, setup=setup)
