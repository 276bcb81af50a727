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
def factor_in_place(H: Array, m: int) -> None:
    """Cholesky factor of the leading (m, m) of H, in its lower triangle.

    Source: the row-wise form, e.g. G. H. Golub, C. F. Van Loan, Matrix Computations, sec. 4.2 (from memory).
    """
    for i in range(m):
        row = H[i]
        diagonal = row[i]
        left = diagonal
        for j in range(i):
            other = H[j]
            total = row[j]
            for k in range(j):
                total -= row[k] * other[k]
            total /= other[j]
            row[j] = total
            left -= total * total
        row[i] = np.sqrt(max(left, PIVOT * diagonal + 1e-300))


@compiled_sums
def solve_in_place(L: Array, x: Array, m: int) -> None:
    """x becomes (L Lᵀ)⁻¹ x for the leading (m, m) of L."""
    for i in range(m):
        row = L[i]
        total = x[i]
        for k in range(i):
            total -= row[k] * x[k]
        x[i] = total / row[i]
    for i in range(m - 1, -1, -1):
        row = L[i]
        x[i] /= row[i]
        for k in range(i):
            x[k] -= row[k] * x[i]
