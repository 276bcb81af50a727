"""States of both parts of some pairs, laid out so that they can be crossed, each or a few neighbors at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from looseends.diagnosis.inference.rows import Numbers, StateRows, ranges, segment_log_sums
from looseends.mechanics.bodies import Array


@dataclass(frozen=True)
class Ladders:
    """Rows (n,) of one part's states for some pairs (q), pair after pair.

    `logs` (n,) their log weights; `first` (q + 1,) where each pair's rows begin, and their end.
    """

    rows: Numbers
    logs: Array
    first: Numbers

    @property
    def counts(self) -> Numbers:
        """Count (q,) of each pair's rows."""
        return np.diff(self.first)

    def by_neighbors(self, rows: StateRows) -> tuple[Ladders, Ladders, Numbers]:
        """Themselves in the order of their neighborhoods, these as one row each, and where they begin (m + 1,).

        A neighborhood stands in its leading row, with the log weight of all.
        """
        pair = np.repeat(np.arange(len(self.first) - 1), self.counts)
        order = np.lexsort((-self.logs, rows.neighborhood[self.rows], pair))
        sorted_rows, logs, pair = self.rows[order], self.logs[order], pair[order]
        where = rows.neighborhood[sorted_rows]
        begins = np.flatnonzero(np.append(True, (where[1:] != where[:-1]) | (pair[1:] != pair[:-1])))
        ends = np.append(begins, len(order))
        first = np.searchsorted(pair[begins], np.arange(len(self.first)))
        together = Ladders(sorted_rows[begins], segment_log_sums(logs, ends), first)
        return Ladders(sorted_rows, logs, self.first), together, ends


def crossed(
    first_a: Numbers, counts_a: Numbers, first_b: Numbers, counts_b: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Every pair (n,) of one of `counts_a` numbers from `first_a` on and one of `counts_b` from `first_b` on (s,).

    Number of the segment that each is of, and both numbers; segment after segment, the second running fastest.
    """
    segment = np.repeat(np.arange(len(counts_a)), counts_a)
    width = counts_b[segment]
    return np.repeat(segment, width), np.repeat(ranges(first_a, counts_a), width), ranges(first_b[segment], width)
