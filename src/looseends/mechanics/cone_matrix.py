"""Matrices column by column, as the cone solver reads them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class ConeMatrix:
    """A matrix by its entries that are not zero, column by column; within a column by rising row.

    It answers what the solver asks of scipy's sparse matrices, which take longer to load than most problems to solve.
    """

    data: Array
    indices: NDArray[np.int32]
    indptr: NDArray[np.int32]
    shape: tuple[int, int]
    has_canonical_format: bool = True
    has_sorted_indices: bool = True

    @property
    def nnz(self) -> int:
        """Number of entries."""
        return len(self.data)

    @staticmethod
    def of(matrix: Array) -> ConeMatrix:
        """From a full matrix."""
        columns, rows = np.nonzero(matrix.T)
        starts = np.searchsorted(columns, np.arange(matrix.shape[1] + 1))
        return ConeMatrix(matrix[rows, columns], rows.astype(np.int32), starts.astype(np.int32), matrix.shape)
