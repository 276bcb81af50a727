"""Sums over dense vectors and triangles, compiled."""

from __future__ import annotations

import numpy as np

from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel.compiled import compiled_sums

PIVOT = 1e-12
"""A pivot below this share of its own diagonal is a free mechanism; it is raised to that, which changes steps only."""


@compiled_sums
def add_scaled(target: Array, source: Array, factor: float) -> None:
    """target += factor × source, both (n,)."""
    for i in range(target.shape[0]):
        target[i] += factor * source[i]


@compiled_sums
def factor_in_place(H: Array, m: int, diagonal: Array) -> None:
    """Cholesky factor R of the leading (m, m) of H = Rᵀ R, in its upper triangle; `diagonal` (m,) is room to work in.

    Four rows are finished, then taken off all below at once, so that a row is fetched once for four.
    Source: the outer-product form by blocks, e.g. G. H. Golub, C. F. Van Loan, Matrix Computations, sec. 4.2 (from
    memory).
    """
    for i in range(m):
        diagonal[i] = H[i, i]
    for first in range(0, m, 4):
        last = min(first + 4, m)
        for i in range(first, last):
            row = H[i]
            for above in range(first, i):
                _take_off(row, H[above], H[above, i], i, m)
            inverse = 1.0 / np.sqrt(max(row[i], PIVOT * diagonal[i] + 1e-300))
            for k in range(i, m):
                row[k] *= inverse
            row[i] = 1.0 / inverse
        if last == m:
            return
        r0, r1, r2, r3 = H[first], H[first + 1], H[first + 2], H[first + 3]
        for i in range(last, m):
            row = H[i]
            c0, c1, c2, c3 = r0[i], r1[i], r2[i], r3[i]
            for k in range(i, m):
                row[k] -= c0 * r0[k] + c1 * r1[k] + c2 * r2[k] + c3 * r3[k]


@compiled_sums
def _take_off(row: Array, other: Array, factor: float, first: int, m: int) -> None:
    for k in range(first, m):
        row[k] -= factor * other[k]


@compiled_sums
def solve_in_place(R: Array, x: Array, m: int) -> None:
    """x becomes (Rᵀ R)⁻¹ x for the upper triangle of the leading (m, m) of R."""
    for i in range(m):
        row = R[i]
        x[i] /= row[i]
        value = x[i]
        for k in range(i + 1, m):
            x[k] -= value * row[k]
    for i in range(m - 1, -1, -1):
        row = R[i]
        total = x[i]
        for k in range(i + 1, m):
            total -= row[k] * x[k]
        x[i] = total / row[i]
