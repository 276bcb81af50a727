"""Sums over dense vectors and triangles, compiled."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array
from looseends.mechanics.kernel.compiled import compiled, compiled_sums

PIVOT = 1e-12
"""A pivot below this share of its own diagonal is a free mechanism; it is raised to that, which changes steps only."""


@compiled_sums
def add_scaled(target: Array, source: Array, factor: float) -> None:
    """target += factor × source, both (n,)."""
    for i in range(target.shape[0]):
        target[i] += factor * source[i]


@compiled_sums
def add_three(target: Array, P: Array, s: int, f0: float, f1: float, f2: float) -> None:
    """target (n,) += the rows s, s + 1 and s + 2 of P (n, n), each times its factor."""
    first, second, third = P[s], P[s + 1], P[s + 2]
    for i in range(target.shape[0]):
        target[i] += f0 * first[i] + f1 * second[i] + f2 * third[i]


@compiled_sums
def add_product(target: Array, S: Array, x: Array, factor: float) -> None:
    """target (n,) += factor × S x for a symmetric S (n, n), by four rows at once; rows of zeros in x are passed by."""
    n = x.shape[0]
    i = 0
    while i + 4 <= n:
        x0, x1, x2, x3 = factor * x[i], factor * x[i + 1], factor * x[i + 2], factor * x[i + 3]
        if x0 != 0.0 or x1 != 0.0 or x2 != 0.0 or x3 != 0.0:
            r0, r1, r2, r3 = S[i], S[i + 1], S[i + 2], S[i + 3]
            for k in range(n):
                target[k] += x0 * r0[k] + x1 * r1[k] + x2 * r2[k] + x3 * r3[k]
        i += 4
    while i < n:
        if x[i] != 0.0:
            add_scaled(target, S[i], factor * x[i])
        i += 1


@compiled
def copy_into(target: Array, source: Array) -> None:
    """target becomes source, both (n,). A slice assigned would bring the text of an error, slow to compile."""
    for i in range(target.shape[0]):
        target[i] = source[i]


@compiled
def fill(target: NDArray[Any], value: float) -> None:
    """Every number of target (n,) becomes value."""
    for i in range(target.shape[0]):
        target[i] = value


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
