"""What other processes do in the tests of the table store."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import CARRIER, made_table


def save_often(directory: Path, value: float, times: int) -> None:
    """Save the same setup's table many times, every number in it being `value`."""
    table = made_table({CARRIER: np.full((48, 4, 2), value)}, spread=value)
    for _ in range(times):
        TableStore(directory).save("yard-pickup", table)


def tabulated(vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
    """Tables at once, in place of ones that take seconds."""
    return [made_table({}, setup=setup) for setup in setups]


def dying(vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
    """No tables: the process ends, as when the system takes its memory away."""
    os._exit(9)


def dying_once(marker: Path, vehicle_id: str, setups: Sequence[Setup], code: str) -> list[ResponseTable]:
    """The first process that gets here ends, and leaves the marker."""
    try:
        marker.touch(exist_ok=False)
    except FileExistsError:
        return tabulated(vehicle_id, setups, code)
    os._exit(9)
