"""The blocks of a lash problem as arrays, in h = g / semi-axis, as the compiled functions take them."""

from __future__ import annotations

from typing import NamedTuple

from numpy import bool_, intp
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array


class Blocks(NamedTuple):
    """Unit balls, unbounded balls and half-lines that follow each other.

    starts, sizes (b,): unknowns of each block (1 to 3); half_line (b,): h >= 0; bounded (b,): |h| <= 1;
    seats (b,) [N·mm]: energy of each block per unit of |h|.
    """

    starts: NDArray[intp]
    sizes: NDArray[intp]
    half_line: NDArray[bool_]
    bounded: NDArray[bool_]
    seats: Array
