"""The memory that one thread of the kernel works in, made once for a batch."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy import bool_, intp
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array

_ROWS, _NUMBERS, _FLAGS = 17, 6, 3


class Room(NamedTuple):
    """rows, numbers and flags (each some rows, n), matrices P and H (n, n); n is what the largest problem needs."""

    rows: Array
    numbers: NDArray[intp]
    flags: NDArray[bool_]
    P: Array
    H: Array


def new_room(p: int) -> Room:
    """Room for problems of up to p unknowns; two more stand behind them, see `newton.Space`."""
    n = p + 2
    numbers, flags = np.zeros((_NUMBERS, n), np.intp), np.zeros((_FLAGS, n), np.bool_)
    return Room(np.zeros((_ROWS, n)), numbers, flags, np.zeros((n, n)), np.zeros((n, n)))
